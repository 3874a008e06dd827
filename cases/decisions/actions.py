"""What a demand reaches, deciding item by item, stops, questions, and the second person's approval.

Each locks the request's case first and the further cases with it, in one order: whoever decides and
whoever approves the same request wait for each other.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.db.models import F
from django.utils import timezone

from cases.access import Act, may_somewhere, people_who_may_see, require
from cases.actions.entry import case_to_change, refuse_wrong, require_for_office
from cases.court.models import Demand, RecordsRequest, RequestCase
from cases.court.queries import request_for_update
from cases.court.rules import RequestState
from cases.decisions import queries
from cases.decisions.models import (
    Approval,
    Ground,
    ItemDecision,
    LookAsked,
    ProposalRule,
    Reach,
    Stop,
    StopSettled,
)
from cases.decisions.proposal_rules import RULES_BY_KEY
from cases.decisions.queries import Row, Standing
from cases.decisions.rules import CHOSEN, ItemKind, Outcome, why_not_approved, wrong_in_decision
from cases.models import Case
from me_office.accounts.models import Staff
from me_office.audit.actions import (
    action,
    recorded_before,
    require_reason,
    require_version,
    save_new,
    save_next_version,
    void,
)
from me_office.audit.errors import Conflict, NotKnown, Refused, known
from me_office.audit.fields import set_fields
from me_office.audit.ids import new_id

OUTDATED = "What was decided has changed since."
REACH_FIELDS = ("kind", "first", "last", "words")
STOP_FIELDS = ("kind", "why", "until")
SETTLED_FIELDS = ("words", "on_word_of")
GROUND_FIELDS = ("number", "words", "citation", "approved_by", "approved_on")
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


def _request_to_decide(
    actor: Staff, act: Act, case_id: UUID, request_id: UUID
) -> tuple[RecordsRequest, dict[UUID, Case]]:
    """Return a request of the case, locked with it, and all its cases. Raises NotKnown, NotAllowed.

    Whatever is decided of a request is written under the lock of its own case. Its further cases
    are read as they are: two requests that name each other's case would wait for each other.
    """
    case = case_to_change(actor, act, case_id)
    further = RequestCase.objects.active().filter(request=request_id, request__case=case_id)
    rows = Case.objects.filter(pk__in=further.values("case_id"))
    return request_for_update(case, request_id), {case.pk: case, **{one.pk: one for one in rows}}


def _require_open(asked: RecordsRequest) -> None:
    if asked.state != RequestState.OPEN:
        raise Refused(f"The request is {asked.state}; nothing more is decided about it.")


def _case_of(actor: Staff, act: Act, cases: Mapping[UUID, Case], of_case: UUID | None) -> Case:
    """Return one of the request's cases that the person may decide about. Raises NotKnown."""
    case = known(cases.get(of_case) if of_case else None, "record")
    require(actor, act, case)
    return case


def _end_approval(actor: Staff, asked: RecordsRequest) -> None:
    approval = Approval.objects.active().filter(request=asked).first()
    if approval is not None:
        void(actor, approval, reason=OUTDATED)


@action
def reach_records(
    actor: Staff,
    *,
    case_id: UUID,
    request_id: UUID,
    demand_id: UUID,
    record_id: UUID,
    entry: Mapping[str, Any],
    reason: str = "",
) -> Reach:
    """Say that a demand reaches records of a kind. `entry` holds REACH_FIELDS and `of_case`.

    `first` and `last` are numbers of the log; `words` name what the record does not keep.
    Raises NotAllowed, NotKnown, Refused, Invalid, Conflict.
    """
    asked, cases = _request_to_decide(actor, Act.DECIDE_RELEASE, case_id, request_id)
    demand = queries.demand_of(asked, demand_id)
    case = _case_of(actor, Act.DECIDE_RELEASE, cases, entry.get("of_case") or case_id)
    made = Reach(pk=record_id, case=case, request=asked, demand=demand)
    set_fields(made, entry, REACH_FIELDS)
    there = recorded_before(made, assigned=("voided_at", "voided_by", "void_reason"))
    if there is not None:
        return there
    _require_open(asked)
    if demand.kind != queries.ASKS_RECORDS:
        raise Refused("This demand asks for no records.")
    _end_approval(actor, asked)
    return save_new(actor, made, own_key=True)


@action
def leave_out_records(
    actor: Staff,
    *,
    case_id: UUID,
    request_id: UUID,
    record_id: UUID,
    version: int,
    reason: str,
) -> Reach:
    """Take back that a demand reaches some records; what was decided about them is kept.

    Raises NotAllowed, NotKnown, StaleRecord, Refused.
    """
    asked, _ = _request_to_decide(actor, Act.DECIDE_RELEASE, case_id, request_id)
    rows = Reach.objects.select_for_update(of=("self",)).filter(request=asked, pk=record_id)
    reach = known(rows.first(), "choice")
    require_version(reach, version)
    _require_open(asked)
    _end_approval(actor, asked)
    return void(actor, reach, reason=reason)


@action
def decide_items(
    actor: Staff,
    *,
    case_id: UUID,
    request_id: UUID,
    demand_id: UUID,
    record_id: UUID,
    entry: Mapping[str, Any],
    reason: str = "",
) -> ItemDecision:
    """Decide what becomes of one or several items of a demand, all in one way.

    `entry`: items (Picked, each as the person saw it), outcome, ground (of what is kept back),
    held_by (of what is not ours), note. A decision that was seen is replaced, with the reason; one
    that was made meanwhile is not. Returns the first. `record_id` is the key of what is decided
    together. Raises NotAllowed, NotKnown, Refused, Invalid, Conflict.
    """
    asked, cases = _request_to_decide(actor, Act.DECIDE_RELEASE, case_id, request_id)
    demand = queries.demand_of(asked, demand_id)
    picked = _each_once(entry.get("items") or ())
    said = {name: entry.get(name) or "" for name in ("outcome", "held_by", "note")}
    ground = _ground_now(entry)
    content = {**said, "ground": ground}
    there = _decided_before(record_id, demand, picked, content)
    if there is not None:
        return there
    _require_open(asked)
    if not picked:
        raise Refused("Choose at least one item.", field="items")
    wrong = wrong_in_decision(
        said["outcome"], has_ground=ground is not None, held_by=said["held_by"], note=said["note"]
    )
    refuse_wrong(wrong)
    if ground is not None and ground.is_voided:
        raise Refused("This ground is no longer in the list. Choose another.", field="ground")
    return _decide(actor, asked, demand, cases, picked, content, record_id, reason)


def _as_picked(one: Picked | Mapping[str, str]) -> Picked:
    return one if isinstance(one, Picked) else Picked(**one)


def _each_once(sent: Sequence[Picked | Mapping[str, str]]) -> list[Picked]:
    """Return the items, each once, however often it was sent. Raises Refused for too many."""
    picked = list({one.name: one for one in map(_as_picked, sent)}.values())
    if len(picked) > MOST_AT_ONCE:
        raise Refused(f"Decide about {MOST_AT_ONCE} items at most at once.", field="items")
    return picked


def _ground_now(entry: Mapping[str, Any]) -> Ground | None:
    """Return the ground that is named as it is now, locked: it is not withdrawn meanwhile."""
    named = entry.get("ground")
    return None if named is None else queries.ground_for_update(getattr(named, "pk", named))


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
    if any(row.is_decided for row in chosen):
        require_reason(reason)
    for of_case in {row.item.case_id for row in chosen}:
        require(actor, Act.DECIDE_RELEASE, cases[of_case])
    _replace(actor, [row.decision for row in chosen if row.decision], reason)
    _end_approval(actor, asked)
    return _save(actor, asked, demand, chosen, content, together)


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
    reason: str = "",
) -> ItemDecision:
    """Set aside what an earlier release sent of a demand, where it is not decided yet.

    Each notes when and to whom it was sent. Raises NotAllowed, NotKnown, Refused, Conflict.
    """
    asked, cases = _request_to_decide(actor, Act.DECIDE_RELEASE, case_id, request_id)
    demand = queries.demand_of(asked, demand_id)
    there = ItemDecision.objects.filter(together=record_id).order_by("created_at", "id").first()
    if there is not None:
        if there.demand_id != demand.pk or there.outcome != Outcome.SENT:
            raise Conflict("This key was used for something else. Reload the page.")
        return there
    _require_open(asked)
    standing = queries.standing_of(asked, actor)
    chosen = [row for row in standing.rows[demand.pk] if row.sent and row.decision is None]
    if not chosen:
        raise Refused("Nothing that is undecided was sent before.")
    for of_case in {row.item.case_id for row in chosen}:
        require(actor, Act.DECIDE_RELEASE, cases[of_case])
    _end_approval(actor, asked)
    content = {
        "outcome": Outcome.SENT.value, "held_by": "", "note": chosen[0].sent, "ground": None,
        "sent_words": {row.item.name: row.sent for row in chosen},
    }  # fmt: skip
    return _save(actor, asked, demand, chosen, content, record_id)


@action
def note_stop(
    actor: Staff, *, case_id: UUID, record_id: UUID, entry: Mapping[str, Any], reason: str = ""
) -> Stop:
    """Note what keeps answers of the case back. `entry`: STOP_FIELDS, `request_id` for one alone.

    Raises NotAllowed, NotKnown, Invalid, Conflict.
    """
    case = case_to_change(actor, Act.DECIDE_RELEASE, case_id)
    made = Stop(pk=record_id, case=case)
    set_fields(made, entry, STOP_FIELDS)
    if entry.get("request_id"):
        made.request = request_for_update(case, entry["request_id"])
    there = recorded_before(made, assigned=("voided_at", "voided_by", "void_reason"))
    if there is not None:
        return there
    refuse_wrong({} if made.why else {"why": "Say why, and since when."})
    return save_new(actor, made, own_key=True)


@action
def lift_stop(actor: Staff, *, case_id: UUID, record_id: UUID, version: int, reason: str) -> Stop:
    """Lift what kept answers back, with the reason.

    Raises NotAllowed, NotKnown, StaleRecord, Refused.
    """
    case = case_to_change(actor, Act.DECIDE_RELEASE, case_id)
    rows = Stop.objects.select_for_update(of=("self",)).filter(case=case, pk=record_id)
    return void(actor, known(rows.first(), "stop"), version=version, reason=reason)


@action
def settle_stop(
    actor: Staff,
    *,
    case_id: UUID,
    request_id: UUID,
    record_id: UUID,
    stop: str,
    entry: Mapping[str, Any],
    reason: str = "",
) -> StopSettled:
    """Decide that a stop does not keep this request's answer back. `entry`: SETTLED_FIELDS.

    Raises NotAllowed, NotKnown, Refused, Invalid, Conflict.
    """
    asked, _ = _request_to_decide(actor, Act.DECIDE_RELEASE, case_id, request_id)
    made = StopSettled(pk=record_id, case=asked.case, request=asked, stop=stop)
    set_fields(made, entry, SETTLED_FIELDS)
    there = recorded_before(made, assigned=("voided_at", "voided_by", "void_reason"))
    if there is not None:
        return there
    _require_open(asked)
    standing = queries.standing_of(asked, actor)
    if stop not in {one.key for one in standing.stops}:
        raise NotKnown("There is no such stop for this request.")
    _end_approval(actor, asked)
    return save_new(actor, made, own_key=True)


@action
def ask_to_look(
    actor: Staff,
    *,
    case_id: UUID,
    request_id: UUID,
    demand_id: UUID,
    record_id: UUID,
    entry: Mapping[str, Any],
    reason: str = "",
) -> LookAsked:
    """Ask a named person to look. `entry`: asked_of, words; item (Picked) for one item alone.

    Raises NotAllowed, NotKnown, Refused, Invalid, Conflict.
    """
    asked, _ = _request_to_decide(actor, Act.DECIDE_RELEASE, case_id, request_id)
    demand = queries.demand_of(asked, demand_id)
    made = LookAsked(pk=record_id, case=asked.case, request=asked, demand=demand)
    set_fields(made, entry, ("asked_of", "words"))
    if entry.get("item"):
        one = _as_picked(entry["item"])
        made.kind, made.item = one.kind, one.item
        rows = {row.item.name: row for row in queries.standing_of(asked, actor).rows[demand.pk]}
        row = rows.get(one.name)
        if row is None:
            raise Refused("This item is not among those that the demand reaches.")
        made.label = f"{row.item.number} {row.item.label}".strip()[:240]
    there = recorded_before(
        made, assigned=("answer", "answered_at", "answered_by", "voided_at", "voided_by",
                        "void_reason"),
    )  # fmt: skip
    if there is not None:
        return there
    _require_open(asked)
    if made.asked_of_id and not people_who_may_see(asked.case).filter(pk=made.asked_of_id).exists():
        raise Refused("This person may not see the case.", field="asked_of")
    if made.asked_of_id and not may_somewhere(made.asked_of, Act.APPROVE_RELEASE):
        raise Refused("This person could not answer here. Ask another.", field="asked_of")
    _end_approval(actor, asked)
    return save_new(actor, made, own_key=True)


@action
def answer_look(
    actor: Staff,
    *,
    case_id: UUID,
    request_id: UUID,
    record_id: UUID,
    version: int,
    entry: Mapping[str, Any],
    reason: str = "",
) -> LookAsked:
    """Answer what one was asked to look at; nobody answers for another. `entry`: answer.

    Raises NotAllowed, NotKnown, StaleRecord, Refused, Invalid.
    """
    asked, _ = _request_to_decide(actor, Act.APPROVE_RELEASE, case_id, request_id)
    rows = LookAsked.objects.select_for_update(of=("self",)).filter(request=asked, pk=record_id)
    look = known(rows.first(), "question")
    require_version(look, version)
    if look.is_voided or look.answered_at:
        raise Refused("This question no longer waits for an answer.")
    if look.asked_of_id != actor.pk:
        raise Refused(f"{look.asked_of} was asked, and answers in person.")
    set_fields(look, entry, ("answer",))
    refuse_wrong({} if look.answer else {"answer": "Say what you found."})
    look.answered_at, look.answered_by = timezone.now(), actor
    return save_next_version(actor, look)


@action
def withdraw_look(
    actor: Staff, *, case_id: UUID, request_id: UUID, record_id: UUID, version: int, reason: str
) -> LookAsked:
    """Take back a question. Raises NotAllowed, NotKnown, StaleRecord, Refused."""
    asked, _ = _request_to_decide(actor, Act.DECIDE_RELEASE, case_id, request_id)
    rows = LookAsked.objects.select_for_update(of=("self",)).filter(request=asked, pk=record_id)
    return void(actor, known(rows.first(), "question"), version=version, reason=reason)


@action
def approve_release(
    actor: Staff,
    *,
    case_id: UUID,
    request_id: UUID,
    record_id: UUID,
    digest: str,
    entry: Mapping[str, Any],
    reason: str = "",
) -> Approval:
    """Approve, as the second person, exactly what was read; `digest` is that of the decisions.

    Raises NotAllowed, NotKnown, Refused, Invalid, Conflict.
    """
    asked, cases = _request_to_decide(actor, Act.APPROVE_RELEASE, case_id, request_id)
    there = Approval.objects.filter(pk=record_id).first()
    if there is not None:
        if there.request_id != asked.pk or there.digest != digest:
            raise Conflict("A record with this key has different content.")
        return there
    standing: Standing = queries.standing_of(asked, actor)
    if standing.is_approved:
        raise Refused("This was approved already.")
    why_not = why_not_approved(
        lacks=standing.lacking,
        read=digest,
        now=standing.digest,
        approver=actor.pk,
        deciders=standing.deciders,
    )
    if why_not:
        raise Refused(why_not)
    for case in cases.values():
        require(actor, Act.APPROVE_RELEASE, case)
    _end_approval(actor, asked)
    made = Approval(
        pk=record_id, case=asked.case, request=asked, digest=digest, items=len(standing.decided)
    )
    set_fields(made, entry, ("note",))
    return save_new(actor, made, own_key=True)


@action
def end_approval(
    actor: Staff, *, case_id: UUID, request_id: UUID, record_id: UUID, version: int, reason: str
) -> Approval:
    """Take back an approval, with the reason. Raises NotAllowed, NotKnown, StaleRecord, Refused."""
    asked, _ = _request_to_decide(actor, Act.APPROVE_RELEASE, case_id, request_id)
    rows = Approval.objects.select_for_update(of=("self",)).filter(request=asked, pk=record_id)
    return void(actor, known(rows.first(), "approval"), version=version, reason=reason)


@action
def add_ground(
    actor: Staff, *, record_id: UUID, entry: Mapping[str, Any], reason: str = ""
) -> Ground:
    """Add a ground to the office's list. `entry` holds GROUND_FIELDS.

    Raises NotAllowed, Invalid, Conflict.
    """
    require_for_office(actor, Act.KEEP_CLERK_LISTS)
    made = Ground(pk=record_id)
    set_fields(made, entry, GROUND_FIELDS)
    refuse_wrong(_wrong_in_ground(made))
    there = recorded_before(made)
    return there if there is not None else save_new(actor, made, own_key=True)


@action
def replace_ground(
    actor: Staff,
    *,
    ground_id: UUID,
    record_id: UUID,
    version: int,
    entry: Mapping[str, Any],
    reason: str,
) -> Ground:
    """Put another wording in the place of a ground, under the same number.

    What was decided on the earlier one goes on saying it. Raises NotAllowed, NotKnown,
    StaleRecord, Refused, Invalid, Conflict.
    """
    require_for_office(actor, Act.KEEP_CLERK_LISTS)
    earlier = queries.ground_for_update(ground_id)
    made = Ground(pk=record_id, number=earlier.number)
    set_fields(made, entry, tuple(name for name in GROUND_FIELDS if name != "number"))
    there = recorded_before(made)
    if there is not None:
        return there
    refuse_wrong(_wrong_in_ground(made))
    void(actor, earlier, version=version, reason=reason)
    saved = save_new(actor, made, own_key=True)
    for rule in ProposalRule.objects.active().select_for_update().filter(ground=earlier):
        rule.ground = saved
        save_next_version(actor, rule)
    return saved


@action
def withdraw_ground(actor: Staff, *, record_id: UUID, version: int, reason: str) -> Ground:
    """Take a ground out of the list, unless a decision of an open request rests on it.

    Raises NotAllowed, NotKnown, StaleRecord, Refused.
    """
    require_for_office(actor, Act.KEEP_CLERK_LISTS)
    ground = queries.ground_for_update(record_id)
    used = ItemDecision.objects.active().filter(
        ground=ground, request__state=RequestState.OPEN.value
    )
    if used.exists():
        raise Refused("Decisions of an open request rest on it. Replace it instead.")
    if ProposalRule.objects.active().filter(ground=ground).exists():
        raise Refused("A rule proposes it. Name another ground there first.")
    return void(actor, ground, version=version, reason=reason)


def _wrong_in_ground(ground: Ground) -> dict[str, str]:
    wrong = {}
    if ground.approved_on and not ground.approved_by:
        wrong["approved_by"] = "Say who approved it."
    if ground.approved_by and not ground.approved_on:
        wrong["approved_on"] = "Say on which day it was approved."
    if ground.approved_on and ground.approved_on > timezone.localdate():
        wrong["approved_on"] = "The day of approval cannot be in the future."
    return wrong


@action
def set_proposal_rule(
    actor: Staff,
    *,
    key: str,
    record_id: UUID,
    version: int,
    entry: Mapping[str, Any],
    reason: str = "",
) -> ProposalRule:
    """Switch a rule of proposals on or off, or name its ground. `entry`: is_on, ground.

    Version 0 where the office never changed it. Raises NotAllowed, NotKnown, StaleRecord, Refused.
    """
    require_for_office(actor, Act.KEEP_CLERK_LISTS)
    rule = RULES_BY_KEY.get(key)
    if rule is None:
        raise NotKnown("There is no such rule.")
    rows = ProposalRule.objects.active().select_for_update(of=("self",)).filter(key=key)
    standing = rows.first()
    if standing is None:
        if version:
            raise NotKnown("There is no such record.")
        standing = ProposalRule(pk=record_id, key=key)
    else:
        require_version(standing, version)
    set_fields(standing, entry, ("is_on", "ground"))
    if not standing.is_on and not rule.may_be_off:
        raise Refused("This rule is always used.", field="is_on")
    if standing.ground is not None and standing.ground.is_voided:
        raise Refused("This ground is no longer in the list. Choose another.", field="ground")
    if version:
        return save_next_version(actor, standing)
    return save_new(actor, standing)


CHOICES = [(one.value, one.value) for one in CHOSEN]
KINDS_TO_REACH = [one.value for one in ItemKind]
