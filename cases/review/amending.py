"""Amendments that change what a signed case says: the datum itself, never the signed text.

The first version stays in the frozen draft and in the trail. The amendment names each field with
its old and its new value, is signed by who makes it, and keeps how each passage of the report that
it touches read before and reads now. The database lets no other change of a signed case pass.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from copy import copy
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.db.models import Max
from django.utils import timezone

from cases import access
from cases.access import Act
from cases.actions.entry import names_entered, refuse_wrong
from cases.actions.report import DECEDENT_NAMES, name_for_search
from cases.certification.actions import FIELDS
from cases.certification.models import Certification
from cases.models import Case, Decedent, Identification
from cases.queries import case_for_update
from cases.review.amend_checks import check_items, check_step
from cases.review.amended_passages import Passages
from cases.review.late import result_to_rest_on
from cases.review.models import Addendum
from cases.rules import intake as intake_rules
from evidence.items.models import Item
from evidence.specimens.actions import DESCRIBED, require_site_asked
from evidence.specimens.models import Specimen
from evidence.specimens.site_rules import site_question
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.audit.actions import action
from me_office.audit.errors import Conflict, NotAllowed, NotKnown, Refused
from me_office.audit.fields import entered, set_fields
from me_office.audit.models import Record
from me_office.audit.records import (
    recorded_as,
    require_reason,
    require_version,
    save_new,
    save_next_version,
)
from me_office.audit.tidy import one_line, tidy
from me_office.entries import Entry


@dataclass(frozen=True)
class Target:
    """A record and its fields that an amendment may change; `many`: a case has several of them."""

    model: type[Any]
    names: tuple[str, ...]
    title: str
    by: frozenset[Role]
    derived: tuple[str, ...] = ()
    many: bool = False


TARGETS = {
    "cause-and-manner": Target(
        Certification,
        FIELDS,
        "Cause and manner",
        # An opinion of medicine is a physician's.
        frozenset({Role.PATHOLOGIST}),
        ("stated_by_id", "stated_at"),
    ),
    "decedent": Target(
        Decedent,
        tuple(DECEDENT_NAMES),
        "The decedent",
        frozenset({Role.PATHOLOGIST, Role.SUPERVISOR}),
        ("search_name",),
    ),
    "specimen": Target(
        Specimen,
        DESCRIBED,
        "A specimen",
        frozenset({Role.PATHOLOGIST, Role.SUPERVISOR}),
        many=True,
    ),
}


OTHER_CONTENT = "A record with this key has different content."
STEP_NAMES = names_entered(Identification)
EARLIER_STEP = "Earlier step of identification, added"
# The fields whose name alone does not say which line of the certificate they are.
LINES = {
    f"{name}_{letter}": f"{words}, line {letter}"
    for name, words in (("cause", "Cause of death"), ("interval", "Interval"))
    for letter in "abcd"
}


@action
def amend_record(
    actor: Staff,
    *,
    case_id: UUID,
    record_id: UUID,
    what: str,
    version: int,
    entry: Entry,
    reason: str,
    of: UUID | None = None,
    rests_on: UUID | None = None,
) -> Addendum:
    """Change a datum of a signed case by an amendment; `record_id` is the amendment's key.

    `what` is a key of TARGETS, `version` and `entry` are those of the record that is changed,
    `of` says which one where a case has several, `reason` is printed, as is the result that it
    `rests_on`, if any.
    Raises NotKnown, NotAllowed, StaleRecord, Refused, Invalid, Conflict.
    """
    target = TARGETS[what]
    # What is compared, printed and signed is what is kept, not what was sent.
    entry = entered(target.model, entry, target.names)
    case = case_for_update(case_id)
    access.require_at_all(actor, Act.AMEND_SIGNED, case)
    record = record_for_update(case, target, of)
    entry = _without_an_idle_answer(record, target, entry)
    there = _made_before(actor, case, record_id, reason, rests_on)
    if there is not None:
        _require_the_same(there, record, target, entry)
        return there
    access.require(actor, Act.AMEND_SIGNED, case)
    if not actor.has_role(*target.by):
        raise NotAllowed("A pathologist amends cause and manner.")
    require_version(record, version)
    if getattr(record, "voided_at", None):
        raise Refused("What was withdrawn is not amended.")
    changes = _changes(record, target, entry)
    if not changes:
        raise Refused("Nothing was changed.")
    _check(record, target, entry)
    with Passages(actor, case) as keep:
        addendum = _amendment(
            actor,
            case,
            record_id,
            changes,
            reason,
            follow=_follow(record, target),
            rests_on=rests_on,
        )
        _apply(actor, record, target, entry)
        keep(addendum)
    return addendum


@action
def amend_identity(
    actor: Staff,
    *,
    case_id: UUID,
    record_id: UUID,
    step_id: UUID,
    entry: Entry,
    reason: str,
    rests_on: UUID | None = None,
) -> Addendum:
    """Record, in a signed case, a step of identification made since; the name is amended apart.

    `step_id` is the new step's key, `record_id` the amendment's. As before the signature, the
    latest active step sets the identity: one made before it is added and changes nothing.
    Raises NotKnown, NotAllowed, Refused, Invalid, Conflict.
    """
    case = case_for_update(case_id)
    access.require_at_all(actor, Act.AMEND_SIGNED, case)
    step = Identification(pk=step_id, case=case)
    set_fields(step, entry, STEP_NAMES)
    tidy(step)
    there = _made_before(actor, case, record_id, reason, rests_on)
    if there is not None:
        _require_the_same_step(there, step)
        return there
    access.require(actor, Act.AMEND_SIGNED, case)
    decedent = Decedent.objects.select_for_update().get(case=case)
    check_step(step, decedent)
    latest = Identification.objects.active().filter(case=case).order_by("-made_at", "-id").first()
    is_latest = latest is None or (step.made_at, step.pk) > (latest.made_at, latest.pk)
    if is_latest:
        changes = [
            _change(step, "*", "Identification", _said(latest), _said(step)),
            _change(decedent, "identity", "Identity", decedent.identity, step.identity),
        ]
    else:
        changes = [_change(step, "*", EARLIER_STEP, "none", _said(step))]
    with Passages(actor, case) as keep:
        addendum = _amendment(actor, case, record_id, changes, reason, rests_on=rests_on)
        save_new(actor, step)
        if is_latest and decedent.identity != step.identity:
            decedent.identity = step.identity
            save_next_version(actor, decedent)
        keep(addendum)
    return addendum


def _made_before(
    actor: Staff, case: Case, record_id: UUID, reason: str, rests_on: UUID | None
) -> Addendum | None:
    access.require_at_all(actor, Act.AMEND_SIGNED, case)
    made = Addendum.objects.filter(pk=record_id).first()
    if made is None:
        return None
    if made.case_id != case.pk:
        raise Conflict(OTHER_CONTENT)
    return recorded_as(made, made_by_id=actor.pk, why=reason.strip(), rests_on_id=rests_on)


def record_for_update(case: Case, target: Target, of: UUID | None) -> Any:
    """Return the locked record that is amended. Raises NotKnown."""
    which = {"pk": of} if target.many else {}
    record = target.model.objects.select_for_update().filter(case=case, **which).first()
    if record is None:
        raise NotKnown(f"{target.title} is not on record.")
    return record


def _require_the_same(made: Addendum, record: Record, target: Target, entry: Entry) -> None:
    """Raise Conflict if a key that was used before comes with another change.

    A field is compared with what the amendment made of it; one that it left alone, with what the
    record says, unless a later amendment has changed that.
    """
    table, key = record._meta.db_table, str(record.pk)
    said = {one["field"]: one.get("now") for one in made.changes if one["record"] == key}
    if not said:
        raise Conflict(OTHER_CONTENT)
    later = {
        one["field"]
        for addendum in Addendum.objects.filter(case_id=made.case_id, number__gt=made.number)
        for one in addendum.changes
        if (one["table"], one["record"]) == (table, key)
    }
    for name in target.names:
        if name not in entry:
            continue
        field: Any = record._meta.get_field(name)
        sent = _said_in(field, entry[name])
        if field.column in said:
            same = sent == said[field.column]
        else:
            same = field.column in later or sent == words_of(record, name)
        if not same:
            raise Conflict(OTHER_CONTENT)


def _require_the_same_step(made: Addendum, step: Identification) -> None:
    """Raise Conflict if a key that was used before comes with another step, or was no step's."""
    named = [one["record"] for one in made.changes if one["field"] == "*"]
    there = Identification.objects.filter(pk__in=named, case_id=made.case_id).first()
    if there is None or any(getattr(there, name) != getattr(step, name) for name in STEP_NAMES):
        raise Conflict(OTHER_CONTENT)


def _follow(record: Any, target: Target) -> list[dict[str, str]]:
    """Name what changes along with the datum, for the database's lock."""
    table, key = record._meta.db_table, str(record.pk)
    follow = [{"table": table, "record": key, "field": name} for name in target.derived]
    if isinstance(record, Specimen):
        item = {"table": Item._meta.db_table, "record": str(record.item_id), "field": "title"}
        follow.append(item)
    return follow


def _changes(record: Record, target: Target, entry: Entry) -> list[dict[str, str]]:
    found = []
    for name in target.names:
        if name not in entry or getattr(record, name) == entry[name]:
            continue
        field: Any = record._meta.get_field(name)
        label = LINES.get(name) or str(field.verbose_name).capitalize()
        if isinstance(record, Specimen):
            label = f"Item {record.item.number}, {label.lower()}"
        was, now = words_of(record, name), _said_in(field, entry[name])
        found.append(_change(record, field.column, label, was, now))
    return found


def words_of(record: Record, name: str) -> str:
    """Return what a field of a record says, in the words a person chose it by."""
    return _said_in(record._meta.get_field(name), getattr(record, name))


def _said_in(field: Any, value: Any) -> str:
    choices = dict(getattr(field, "base_field", field).flatchoices)
    if isinstance(value, list | tuple):
        return _words([choices.get(one, one) for one in value])
    return _words(choices.get(value, value))


def _change(record: Record, column: str, label: str, was: Any, now: Any) -> dict[str, str]:
    said = {"label": label, "was": _words(was), "now": _words(now)}
    return {"table": record._meta.db_table, "record": str(record.pk), "field": column, **said}


def _words(value: Any) -> str:
    if value is None or value == "" or value == []:
        return "not stated"
    if isinstance(value, list | tuple):
        return ", ".join(str(one) for one in value)
    return str(value)


def _said(step: Identification | None) -> str:
    if step is None:
        return "none"
    return f"{step.identity}, {step.get_method_display()}, {step.made_by}"


def _check(record: Any, target: Target, entry: Entry) -> None:
    if target.model is Specimen:
        require_site_asked(_as_amended(record, target, entry))
    if target.model is Certification:
        check_items(record, entry)
    if target.model is not Decedent:
        return
    wanted = {name: entry.get(name, getattr(record, name)) for name in target.names}
    refuse_wrong(
        intake_rules.wrong_in_decedent(
            identity=record.identity,
            is_named=bool(wanted["family_name"] or wanted["given_names"]),
            born_on=wanted["born_on"],
            today=timezone.localdate(),
        )
    )


def _without_an_idle_answer(record: Any, target: Target, entry: Entry) -> Mapping[str, Any]:
    """Empty the answer to a question about a site that is not asked of the amended one."""
    if target.model is not Specimen:
        return entry
    amended = _as_amended(record, target, entry)
    asked = site_question(amended.case.decedent.sex, amended.material, amended.site)
    return entry if asked or not amended.site_reason else {**entry, "site_reason": ""}


def _as_amended(record: Any, target: Target, entry: Entry) -> Any:
    wanted = copy(record)
    vars(wanted).update({name: entry[name] for name in target.names if name in entry})
    return wanted


def _amendment(
    actor: Staff,
    case: Case,
    record_id: UUID,
    changes: list[dict[str, str]],
    reason: str,
    follow: Sequence[dict[str, str]] = (),
    rests_on: UUID | None = None,
) -> Addendum:
    why = require_reason(reason, field="why")
    last = Addendum.objects.filter(case=case).aggregate(last=Max("number"))["last"] or 0
    # A line for each change: a text of several lines must not read like further changes.
    lines = [one_line(f"{one['label']}: {one['was']} → {one['now']}") for one in changes]
    labels = ", ".join(one["label"] for one in changes)
    return save_new(
        actor,
        Addendum(
            pk=record_id,
            case=case,
            number=last + 1,
            kind="amendment",
            amends=labels[:160],
            text="\n".join(lines),
            why=why,
            made_at=timezone.now(),
            made_by=actor,
            signed_as=actor.printed_name,
            changes=[*changes, *follow],
            rests_on=result_to_rest_on(case, rests_on),
        ),
        own_key=True,
    )


def _apply(actor: Staff, record: Any, target: Target, entry: Entry) -> None:
    set_fields(record, entry, target.names)
    if isinstance(record, Decedent):
        name_for_search(record)
    elif isinstance(record, Certification):
        record.stated_by, record.stated_at = actor, timezone.now()
    save_next_version(actor, record)
    if isinstance(record, Specimen):
        item = Item.objects.select_for_update().get(pk=record.item_id)
        if item.title != (title := str(record)[:160]):
            item.title = title
            save_next_version(actor, item)
