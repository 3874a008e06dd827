"""What becomes of the items of a demand, decided one by one or several at once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.db.models import F
from django.utils import timezone

from cases.access import Act, require
from cases.actions.entry import refuse_wrong
from cases.actions.office import locked_of_office
from cases.court.models import Demand, RecordsRequest
from cases.decisions import queries
from cases.decisions.actions.request import (
    OUTDATED,
    end_standing_approval,
    request_to_decide,
    require_open,
)
from cases.decisions.models import Ground, ItemDecision
from cases.decisions.queries import Row
from cases.decisions.rules import Outcome, marked_words, wrong_in_decision
from cases.models import Case
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Conflict, Refused
from me_office.audit.ids import new_id
from me_office.audit.records import require_reason, save_new
from me_office.entries import Entry

MOST_AT_ONCE = 3000


@dataclass(frozen=True)
class Picked:
    """An item as the person saw it: its kind, key and digest, and the decision that stood then."""

    kind: str
    item: str
    digest: str
    read: str = ""

    @property
    def name(self) -> tuple[str, str]:
        """By what decisions know it."""
        return self.kind, self.item


@action
def decide_items(
    actor: Staff,
    *,
    case_id: UUID,
    request_id: UUID,
    demand_id: UUID,
    record_id: UUID,
    entry: Entry,
    reason: str = "",
) -> ItemDecision:
    """Decide what becomes of one or several items of a demand, all in one way.

    `entry`: items (Picked, each as the person saw it), outcome, ground (of what is kept back),
    held_by (of what is not ours), note, `whole` (it is sent whole although places in it are marked
    for redaction). A decision that was seen is replaced, with the reason; one
    that was made meanwhile is not. Returns the first. `record_id` is the key of what is decided
    together. Raises NotAllowed, NotKnown, Refused, Invalid, Conflict.
    """
    asked, cases = request_to_decide(actor, Act.DECIDE_RELEASE, case_id, request_id)
    demand = queries.demand_of(asked, demand_id)
    picked = _each_once(entry.get("items") or ())
    said = {name: entry.get(name) or "" for name in ("outcome", "held_by", "note")}
    ground = _ground_now(entry)
    content = {**said, "ground": ground, "whole": bool(entry.get("whole"))}
    there = _decided_before(record_id, demand, picked, content)
    if there is not None:
        return there
    require_open(asked)
    if not picked:
        raise Refused("Choose at least one item.", field="items")
    wrong = wrong_in_decision(
        said["outcome"], has_ground=ground is not None, held_by=said["held_by"], note=said["note"]
    )
    refuse_wrong(wrong)
    if ground is not None and ground.is_voided:
        raise Refused("This ground is no longer in the list. Choose another.", field="ground")
    return _decide(actor, asked, demand, cases, picked, content, record_id, reason)


def as_picked(one: Picked | Mapping[str, str]) -> Picked:
    """Return an item as the page or the API sent it."""
    return one if isinstance(one, Picked) else Picked(**one)


def _each_once(sent: Sequence[Picked | Mapping[str, str]]) -> list[Picked]:
    """Return the items, each once, however often it was sent. Raises Refused for too many."""
    picked = list({one.name: one for one in map(as_picked, sent)}.values())
    if len(picked) > MOST_AT_ONCE:
        raise Refused(f"Decide about {MOST_AT_ONCE} items at most at once.", field="items")
    return picked


def _ground_now(entry: Entry) -> Ground | None:
    """Return the ground that is named as it is now, locked: it is not withdrawn meanwhile."""
    named: Any = entry.get("ground")
    if named is None:
        return None
    return locked_of_office(Ground, getattr(named, "pk", named), "ground")


def _decided_before(
    together: UUID, demand: Demand, picked: Sequence[Picked], content: Mapping[str, Any]
) -> ItemDecision | None:
    """Return the first of what was decided under this key, if it is the same. Raises Conflict."""
    rows = list(ItemDecision.objects.filter(together=together).order_by("created_at", "id"))
    if not rows:
        return None
    ground = content["ground"]
    same = all(
        one.demand_id == demand.pk
        and (one.outcome, one.held_by, one.note) == _as_kept(content)
        and one.ground_id == (ground.pk if ground else None)
        and (content["whole"] or not one.marked)
        for one in rows
    )
    names = {(one.kind, one.item) for one in rows}
    if not same or not names <= {one.name for one in picked}:
        raise Conflict("This was decided under the same key in another way. Reload the page.")
    return rows[0]


def _as_kept(content: Mapping[str, Any]) -> tuple[str, str, str]:
    return content["outcome"], content["held_by"].strip(), content["note"].strip()


def _decide(
    actor: Staff,
    asked: RecordsRequest,
    demand: Demand,
    cases: Mapping[UUID, Case],
    picked: Sequence[Picked],
    content: Mapping[str, Any],
    together: UUID,
    reason: str,
) -> ItemDecision:
    standing = queries.standing_of(asked, actor)
    rows = {row.item.name: row for row in standing.rows[demand.pk]}
    chosen: list[Row] = []
    same: list[ItemDecision] = []
    for one in picked:
        row = _as_seen(rows.get(one.name), one)
        if row.decision is not None and not row.is_changed and _says(row.decision, content):
            same.append(row.decision)
            continue
        _require_seen(row, one)
        chosen.append(row)
    if not chosen:
        return same[0]
    _require_whole(chosen, content)
    if any(row.is_decided for row in chosen):
        require_reason(reason)
    for of_case in {row.item.case_id for row in chosen}:
        require(actor, Act.DECIDE_RELEASE, cases[of_case])
    _replace(actor, [row.decision for row in chosen if row.decision], reason)
    end_standing_approval(actor, asked)
    return _save(actor, asked, demand, chosen, content, together)


def _require_whole(chosen: Sequence[Row], content: Mapping[str, Any]) -> None:
    """Ask plainly before something goes out whole in which places are marked. Raises Refused."""
    if content["outcome"] != Outcome.RELEASE or content["whole"]:
        return
    marked = [row.item.called for row in chosen if row.item.marked]
    if marked:
        raise Refused(marked_words(marked), field="whole")


def _as_seen(row: Row | None, one: Picked) -> Row:
    """Return what is decided about, if it is what the person saw. Raises Refused."""
    if row is None:
        raise Refused("An item is no longer among those that this demand reaches. Reload the page.")
    if row.item.digest != one.digest:
        raise Refused(f"{row.item.called} has changed since you read it. Look at it again.")
    return row


def _require_seen(row: Row, one: Picked) -> None:
    """Refuse where somebody decided meanwhile, and tell the decision. Raises Conflict."""
    stands = str(row.decision.pk) if row.decision else ""
    if stands == one.read:
        return
    if row.decision is None:
        raise Conflict(f"The decision on {row.item.called} was taken back meanwhile.")
    by = row.decision.created_by
    ground = f", ground {row.decision.ground.number}" if row.decision.ground else ""
    raise Conflict(
        f"{row.item.called} was decided meanwhile by {by}: "
        f"{row.decision.get_outcome_display()}{ground}. Nothing of yours was saved.",
        record=row.decision,
    )


def _says(decision: ItemDecision, content: Mapping[str, Any]) -> bool:
    ground = content["ground"]
    return (
        (decision.outcome, decision.held_by, decision.note) == _as_kept(content)
        and decision.ground_id == (ground.pk if ground else None)
    )  # fmt: skip


def _replace(actor: Staff, decisions: Sequence[ItemDecision], reason: str) -> None:
    """Withdraw decisions in one statement: another takes the place of each."""
    if decisions:
        now = timezone.now()
        ItemDecision.objects.filter(pk__in=[one.pk for one in decisions]).update(
            voided_at=now, voided_by=actor, void_reason=reason.strip() or OUTDATED,
            changed_at=now, changed_by=actor, version=F("version") + 1,
        )  # fmt: skip


def _save(
    actor: Staff,
    asked: RecordsRequest,
    demand: Demand,
    chosen: Sequence[Row],
    content: Mapping[str, Any],
    together: UUID,
) -> ItemDecision:
    """Check the first, which is like all others, and write all in one statement."""
    outcome, held_by, note = _as_kept(content)
    made = [
        ItemDecision(
            pk=together if place == 0 else new_id(),
            case_id=row.item.case_id,
            request=asked,
            demand=demand,
            kind=row.item.kind.value,
            item=row.item.key,
            digest=row.item.digest,
            number=row.item.number,
            label=row.item.label[:240],
            outcome=outcome,
            ground=content["ground"],
            held_by=held_by,
            note=content.get("sent_words", {}).get(row.item.name, note),
            marked=row.item.marked if outcome == Outcome.RELEASE else "",
            sent_with=content.get("sent_with"),
            together=together,
            created_by=actor,
            changed_by=actor,
        )
        for place, row in enumerate(chosen)
    ]
    first = save_new(actor, made[0], own_key=True)
    ItemDecision.objects.bulk_create(made[1:])
    return first


@action
def set_aside_sent(
    actor: Staff,
    *,
    case_id: UUID,
    request_id: UUID,
    demand_id: UUID,
    record_id: UUID,
    sent: str = "",
    reason: str = "",
) -> ItemDecision:
    """Set aside what one earlier release sent of a demand, where it is not decided yet.

    `sent` says which, in its own words; it may be left out where there is only one. What others
    sent stays: it may have gone to somebody else. Each notes when and to whom it was sent. Raises
    NotAllowed, NotKnown, Refused, Conflict.
    """
    asked, cases = request_to_decide(actor, Act.DECIDE_RELEASE, case_id, request_id)
    demand = queries.demand_of(asked, demand_id)
    there = ItemDecision.objects.filter(together=record_id).order_by("created_at", "id").first()
    if there is not None:
        is_same = there.demand_id == demand.pk and there.outcome == Outcome.SENT
        if not is_same or sent not in {"", there.note}:
            raise Conflict("This key was used for something else. Reload the page.")
        return there
    require_open(asked)
    standing = queries.standing_of(asked, actor)
    before = [row for row in standing.rows[demand.pk] if row.sent and row.decision is None]
    chosen = [row for row in before if sent in {"", row.sent}]
    if not chosen:
        raise Refused("Nothing that is undecided was sent before.")
    if len({row.sent for row in chosen}) > 1:
        raise Refused("Several releases sent some of it: say which.", field="sent")
    for of_case in {row.item.case_id for row in chosen}:
        require(actor, Act.DECIDE_RELEASE, cases[of_case])
    end_standing_approval(actor, asked)
    content = {
        "outcome": Outcome.SENT.value, "held_by": "", "note": chosen[0].sent, "ground": None,
        "sent_words": {row.item.name: row.sent for row in chosen},
    }  # fmt: skip
    return _save(actor, asked, demand, chosen, content, record_id)
