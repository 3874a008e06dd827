"""Recording what was reported, and withdrawing what was entered by mistake."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any
from uuid import UUID

from django.db.models import Max
from django.utils import timezone

from cases.access import Act
from cases.actions.entry import case_to_change
from cases.models import Case
from evidence.items.models import Item
from evidence.results import queries, rules
from evidence.results.models import Result, ResultItem, ResultLine
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Conflict, Invalid, Refused
from me_office.audit.fields import said_of
from me_office.audit.records import recorded_before, require_version, save_new, void
from me_office.audit.tidy import entry_as_kept
from me_office.entries import Entry

FIELDS = (
    "kind", "status", "organization", "reported_by", "reference", "reported_on", "received_on",
    "statement", "why_replaced",
)  # fmt: skip
MOST_LINES = 60


@action
def record_result(
    actor: Staff,
    *,
    case_id: UUID,
    record_id: UUID,
    entry: Entry,
    items: Sequence[UUID] = (),
    lines: Sequence[Mapping[str, Any]] = (),
    replaces: UUID | None = None,
    reason: str = "",
) -> Result:
    """Record what was reported; `entry` takes FIELDS, a line `rules.LINE_FIELDS`.

    `items` are keys of items of the case; `replaces` names the result whose place this one takes.
    Errors of a line stand under `lines`, or `name_place` (value_2). A signed case takes it too.
    Raises NotKnown, NotAllowed, Invalid, Refused, Conflict.
    """
    case = case_to_change(actor, Act.RECORD_RESULT, case_id)
    entered = {name: entry[name] for name in FIELDS if name in entry}
    result = Result(pk=record_id, case=case, replaces_id=replaces, **entered)
    # As they are kept: a retry is compared with what stands.
    lines = [
        entry_as_kept(
            ResultLine, {name: str(line.get(name) or "").strip() for name in rules.LINE_FIELDS}
        )
        for line in lines
    ]
    there = recorded_before(result, assigned=("number", "after_signing"))
    if there is not None:
        return _same_content(there, items, lines)
    _check(case, result, lines)
    named = _items_of(case, items)
    last = Result.objects.filter(case=case).aggregate(last=Max("number"))["last"] or 0
    result.number, result.after_signing = last + 1, case.is_locked
    save_new(actor, result, own_key=True)
    for item in named:
        save_new(actor, ResultItem(case=case, result=result, item=item), own_key=True)
    for place, line in enumerate(lines, start=1):
        save_new(actor, ResultLine(case=case, result=result, place=place, **line), own_key=True)
    return result


@action
def withdraw_result(
    actor: Staff, *, case_id: UUID, record_id: UUID, version: int, reason: str
) -> Result:
    """Withdraw what was entered by mistake, while the case is open; it stays readable.

    Raises NotKnown, NotAllowed, StaleRecord, Refused.
    """
    case = case_to_change(actor, Act.RECORD_RESULT, case_id)
    if case.is_locked:
        raise Refused("The case is signed: record the corrected result in its place.")
    Result.objects.select_for_update().filter(pk=record_id, case=case).first()
    result = queries.result_of(case, record_id)
    require_version(result, version)
    if queries.replacement_of(result) is not None:
        raise Refused("A later result replaced it; withdraw that one first.")
    return void(actor, result, reason=reason)


def _same_content(
    there: Result, items: Sequence[UUID], lines: Sequence[Mapping[str, Any]]
) -> Result:
    kept = [said_of(line, rules.LINE_FIELDS) for line in there.lines.order_by("place")]
    named = set(there.item_links.values_list("item_id", flat=True))
    if kept != list(lines) or named != set(items):
        raise Conflict("A record with this key has different content.", record=there)
    return there


def _check(case: Case, result: Result, lines: Sequence[Mapping[str, Any]]) -> None:
    wrong: dict[str, list[str]] = {
        name: [words]
        for name, words in rules.wrong_in_result(
            reported_on=result.reported_on,
            received_on=result.received_on,
            today=timezone.localdate(),
            replaces=result.replaces_id is not None,
            why=result.why_replaced,
        ).items()
    }
    if len(lines) > MOST_LINES:
        wrong["lines"] = [f"At most {MOST_LINES} lines; put the rest in the statement."]
    for place, line in enumerate(lines, start=1):
        for name, words in rules.wrong_in_line(line).items():
            wrong[f"{name}_{place}"] = [words]
    if wrong:
        raise Invalid(wrong)
    if result.replaces_id is None:
        return
    older = Result.objects.filter(case=case, pk=result.replaces_id).first()
    if older is None or older.is_voided:
        raise Refused("The result that it replaces is not in this case.")
    if queries.replacement_of(older) is not None:
        raise Refused("Another result has already replaced it.")


def _items_of(case: Case, items: Sequence[UUID]) -> list[Item]:
    """Return the items by their keys, in their order. Raises Refused."""
    found = {item.pk: item for item in queries.items_to_name(case)}
    wanted = list(dict.fromkeys(items))
    if any(key not in found for key in wanted):
        raise Refused("One of these items is not in this case.", field="items")
    return sorted((found[key] for key in wanted), key=lambda item: item.number)
