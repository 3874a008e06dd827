"""Reads of what demands reach, of decisions, and whether an answer is ready to be built."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from contextvars import ContextVar
from dataclasses import dataclass, field
from datetime import date
from functools import cache
from uuid import UUID

from django.db.models import Exists, OuterRef, Q, QuerySet
from django.utils import timezone

from cases.access import cases_open_to, cases_open_to_person, knows_cases
from cases.court.models import Demand, RecordsRequest, RequestCase
from cases.court.on_page import once
from cases.court.queries import demands_of, why_no_authority
from cases.court.rules import RequestState
from cases.decisions.items import items_of, sent_earlier, stops_in, stops_of
from cases.decisions.models import (
    Approval,
    Enclosure,
    Ground,
    ItemDecision,
    LookAsked,
    ProposalRule,
    Reach,
    StopSettled,
)
from cases.decisions.proposal_rules import (
    RULES,
    Earlier,
    Proposal,
    RuleNow,
    proposal_for,
    sent_before,
)
from cases.decisions.rules import (
    BY_HAND,
    GOES_OUT,
    Decided,
    DemandState,
    Item,
    ItemKind,
    Outcome,
    StopFound,
    StopKind,
    contradicting,
    decisions_digest,
    digest_of,
    is_marked_anew,
    lacking,
    still_stops,
)
from cases.models import Case
from me_office.accounts.models import Staff
from me_office.audit.errors import known, known_of_office
from me_office.prepared import PreparedRows

ASKS_RECORDS = "documents"


@dataclass(frozen=True)
class Row:
    """One item that a demand reaches: what is proposed, what was decided, where it went before."""

    demand: int
    item: Item
    proposal: Proposal
    decision: ItemDecision | None = None
    is_changed: bool = False
    sent: str = ""

    @property
    def is_decided(self) -> bool:
        """Tell whether it is decided as it stands now."""
        return self.decision is not None and not self.is_changed

    @property
    def is_marked_anew(self) -> bool:
        """Tell whether it was decided to go out whole, and places in it were marked since."""
        return self.decision is not None and _is_marked_anew(self.decision, self.item)

    @property
    def lacks_file(self) -> bool:
        """Tell whether it was named by hand, goes out, and nothing is there that could."""
        return (
            self.item.kind in BY_HAND
            and self.is_decided
            and self.decision is not None
            and self.decision.outcome in GOES_OUT
            and not self.item.enclosed
        )

    @property
    def lacks_copy(self) -> bool:
        """Tell whether it goes out redacted and no redacted copy stands."""
        return (
            self.is_decided
            and self.decision is not None
            and self.decision.outcome == Outcome.REDACT
            and self.item.kind not in BY_HAND
            and not self.item.copy_digest
        )


@dataclass(frozen=True)
class Standing:
    """Everything about one request that decides whether its answer may be built."""

    asked: RecordsRequest
    cases: Sequence[Case]
    demands: Sequence[Demand]
    reaches: Sequence[Reach]
    rows: Mapping[UUID, Sequence[Row]]  # by demand
    stops: Sequence[StopFound]
    looks: Sequence[LookAsked]
    approval: Approval | None
    closed_cases: int = 0
    grounds: Mapping[int, Ground] = field(default_factory=dict)
    settled: Sequence[StopSettled] = ()
    # Who said what the demands reach, or took it back.
    reached_by: frozenset[UUID] = frozenset()
    # What keeps it back as to the right of who asks, in words.
    right: str = ""

    @property
    def all_rows(self) -> list[Row]:
        """The items of all demands, in their order."""
        return [row for demand in self.demands for row in self.rows.get(demand.pk, ())]

    @property
    def decided(self) -> list[Decided]:
        """The decisions that stand on what is reached now."""
        return [
            as_decided(row.decision, row.demand, row.item.copy_digest)
            for row in self.all_rows
            if row.decision is not None
        ]  # fmt: skip

    @property
    def digest(self) -> str:
        """The digest of what was decided: what a second person approves."""
        return decisions_digest(self.decided)

    @property
    def deciders(self) -> frozenset[UUID]:
        """Who decided any of it, what it reaches, or that a stop does not keep it back."""
        return self.reached_by.union(
            [one.by for one in self.decided], [one.created_by_id for one in self.settled]
        )

    def state_of(self, demand: Demand) -> DemandState:
        """Say how far a demand is decided."""
        rows = self.rows.get(demand.pk, ())
        return DemandState(
            number=demand.number,
            asks_records=demand.kind == ASKS_RECORDS,
            reached=len(rows),
            undecided=sum(row.decision is None for row in rows),
            changed=sum(row.is_changed for row in rows),
            lacks_copy=tuple(row.item.called for row in rows if row.lacks_copy),
            lacks_file=tuple(row.item.called for row in rows if row.lacks_file),
        )

    @property
    def lacking(self) -> list[str]:
        """Say what keeps the decisions from being approved."""
        return lacking(
            is_open=self.asked.state == RequestState.OPEN,
            demands=[self.state_of(one) for one in self.demands],
            stops=self.stops,
            questions=[str(one.asked_of) for one in self.looks if one.answered_at is None],
            contradictions=contradicting(self.decided),
            closed_cases=self.closed_cases,
            right=self.right,
        )

    @property
    def is_approved(self) -> bool:
        """Tell whether a second person approved exactly what stands now."""
        return self.approval is not None and self.approval.digest == self.digest

    @property
    def why_not_ready(self) -> list[str]:
        """Say what keeps the answer from being built."""
        lacks = self.lacking
        if not lacks and not self.is_approved:
            lacks = ["A second person has not approved what was decided."]
        return lacks


def as_decided(one: ItemDecision, demand: int, copy_digest: str = "") -> Decided:
    """Return a decision as the rules take it."""
    return Decided(
        decision_id=one.pk,
        demand=demand,
        kind=one.kind,
        item=one.item,
        digest=one.digest,
        outcome=Outcome(one.outcome),
        by=one.created_by_id,
        ground=one.ground.number if one.ground else 0,
        held_by=one.held_by,
        note=one.note,
        number=one.number,
        label=one.label,
        copy_digest=copy_digest if one.outcome == Outcome.REDACT else "",
    )


def cases_asked_for(asked: RecordsRequest) -> list[Case]:
    """Return the cases whose records a request asks for, the one under which it is logged first."""
    cases, _ = _cases_for(asked, None)
    return cases


def _cases_for(asked: RecordsRequest, actor: Staff | None) -> tuple[list[Case], int]:
    """Return the same, of which a person may know, and how many others there are; one statement."""
    if actor is not None and knows_cases(actor):
        every = _cases_as_known().objects(Case, asked.pk, asked.case_id, actor.pk)
        rows = [case for case in every if case.__dict__["is_open"]]
    else:
        every = _cases_of_request().objects(Case, asked.pk, asked.case_id)
        rows = every if actor is None else []
    found = sorted(rows, key=lambda case: (case.pk != asked.case_id, case.label))
    return found, len(every) - len(rows)


@cache
def _cases_of_request() -> PreparedRows:
    return PreparedRows(_every_case, keys=2)


def _every_case(asked_id: UUID, case_id: UUID) -> QuerySet[Case]:
    further = RequestCase.objects.active().filter(request=asked_id).values("case")
    return Case.objects.filter(Q(pk=case_id) | Q(pk__in=further)).select_related("decedent")


@cache
def _cases_as_known() -> PreparedRows:
    def rows_of(asked_id: UUID, case_id: UUID, person_id: UUID) -> QuerySet[Case]:
        open_one = cases_open_to_person(person_id).filter(pk=OuterRef("pk"))
        return _every_case(asked_id, case_id).annotate(is_open=Exists(open_one))

    return PreparedRows(rows_of, keys=3)


def rules_now() -> dict[str, RuleNow]:
    """Return the rules of proposals as the office has them; one statement."""
    rows = ProposalRule.objects.active().select_related("ground")
    changed = {
        row.key: RuleNow(row.key, row.is_on, row.ground.number if row.ground else 0)
        for row in rows
    }  # fmt: skip
    return {rule.key: changed.get(rule.key, RuleNow(rule.key)) for rule in RULES}


def standing_of(
    asked: RecordsRequest, actor: Staff | None = None, *, on_page: bool = False
) -> Standing:
    """Read a request with all that is decided about it, in a fixed number of statements.

    With an actor, of the cases that they may know of alone; how many others it asks for is counted.
    `on_page` takes what other parts of the page have read.
    """
    cases, closed = _cases_for(asked, actor)
    demands = once(asked, demands_of, lambda: demands_of(asked)) if on_page else demands_of(asked)
    of = {case.pk for case in cases}
    chosen = [one for one in _chosen().objects(Reach, asked.pk) if one.case_id in of]
    reaches = [one for one in chosen if not one.is_voided]
    made = _decisions().objects(ItemDecision, asked.pk)
    decisions = {(one.demand_id, one.kind, one.item): one for one in made}
    settled = _settled().objects(StopSettled, asked.pk)
    return Standing(
        asked=asked,
        cases=cases,
        demands=demands,
        reaches=reaches,
        rows=_rows(asked, demands, reaches, cases, decisions),
        stops=_stops(asked, cases, settled),
        looks=_looks().objects(LookAsked, asked.pk),
        approval=_approvals().one(Approval, asked.pk),
        closed_cases=closed,
        grounds={one.number: one for one in Ground.objects.active()},
        settled=settled,
        reached_by=frozenset(
            by for one in chosen for by in (one.created_by_id, one.voided_by_id) if by
        ),
        right=why_no_authority(asked, on_page=on_page),
    )  # fmt: skip


@cache
def _chosen() -> PreparedRows:
    rows = Reach.objects.filter(demand__voided_at=None).order_by("created_at", "id")
    return PreparedRows(lambda asked_id: rows.filter(request=asked_id))


@cache
def _decisions() -> PreparedRows:
    rows = ItemDecision.objects.active().select_related("ground", "created_by")
    return PreparedRows(lambda asked_id: rows.filter(request=asked_id))


@cache
def _settled() -> PreparedRows:
    rows = StopSettled.objects.active().select_related("created_by")
    return PreparedRows(lambda asked_id: rows.filter(request=asked_id))


@cache
def _looks() -> PreparedRows:
    beside = ("asked_of", "answered_by", "created_by", "demand")
    rows = LookAsked.objects.active().filter(demand__voided_at=None).select_related(*beside)
    return PreparedRows(lambda asked_id: rows.filter(request=asked_id))


@cache
def _approvals() -> PreparedRows:
    rows = Approval.objects.active().select_related("created_by")
    return PreparedRows(lambda asked_id: rows.filter(request=asked_id))


_on_page: ContextVar[tuple[RecordsRequest, UUID, Standing] | None] = ContextVar(
    "_on_page", default=None
)


def standing_on_page(asked: RecordsRequest, actor: Staff) -> Standing:
    """Read the same once for all parts of a page, which are given one and the same row.

    Nothing is decided on it: an action reads anew.
    """
    last = _on_page.get()
    if last is None or last[0] is not asked or last[1] != actor.pk:
        last = (asked, actor.pk, standing_of(asked, actor, on_page=True))
        _on_page.set(last)
    return last[2]


def _rows(
    asked: RecordsRequest,
    demands: Sequence[Demand],
    reaches: Sequence[Reach],
    cases: Sequence[Case],
    decisions: Mapping[tuple[UUID, str, str], ItemDecision],
) -> dict[UUID, list[Row]]:
    kinds = [ItemKind(one.kind) for one in reaches if one.kind not in BY_HAND]
    by_hand = [one.pk for one in reaches if one.kind in BY_HAND]
    rows = Enclosure.objects.active().filter(reach__in=by_hand).select_related("file")
    enclosed = {one.reach_id: one for one in rows} if by_hand else {}
    by_kind: dict[tuple[UUID, str], list[Item]] = defaultdict(list)
    for item in items_of(kinds, cases, asked):
        by_kind[item.case_id, item.kind.value].append(item)
    rules, earlier = rules_now(), sent_earlier(cases)
    found: dict[UUID, list[Row]] = {}
    for demand in demands:
        own = [one for one in reaches if one.demand_id == demand.pk]
        reached = _reached(own, by_kind, enclosed)
        sent = sent_before(reached, earlier)
        found[demand.pk] = [
            _row(demand, item, rules, decisions, sent) for item in reached
        ]  # fmt: skip
    return found


def _reached(
    reaches: Iterable[Reach],
    by_kind: Mapping[tuple[UUID, str], Sequence[Item]],
    enclosed: Mapping[UUID, Enclosure],
) -> list[Item]:
    found: dict[tuple[str, str], Item] = {}
    for reach in reaches:
        if reach.kind in BY_HAND:
            named = named_item(reach, enclosed.get(reach.pk))
            found[named.name] = named
            continue
        for item in by_kind.get((reach.case_id, reach.kind), ()):
            if reach.first is not None and item.place < reach.first:
                continue
            if reach.last is not None and item.place > reach.last:
                continue
            found[item.name] = item
    order = list(ItemKind)
    return sorted(
        found.values(),
        key=lambda one: (order.index(one.kind), str(one.case_id), one.place),
    )


def named_item(reach: Reach, enclosed: Enclosure | None = None) -> Item:
    """Return what somebody named by hand as an item, with what was enclosed for it.

    What is enclosed is a part of what is decided about: another file is decided about anew.
    """
    kind, called = ItemKind(reach.kind), str(reach)
    if enclosed is None:
        return Item(
            kind, reach.case_id, str(reach.pk), called,
            details="named by hand; not kept in this record",
            digest=digest_of(reach.pk, reach.words),
        )  # fmt: skip
    file = enclosed.file
    return Item(
        kind, reach.case_id, str(reach.pk), called,
        details=f"named by hand; {enclosed}",
        digest=digest_of(reach.pk, reach.words, enclosed.pk),
        pages=enclosed.pages,
        files=1 if file else 0,
        size_bytes=file.size_bytes if file else 0,
        # Redacted, it is the file itself that is the copy.
        copy_digest=file.sha256 if file else "",
        enclosed=str(enclosed),
        enclosed_key=str(enclosed.pk),
        has_file=file is not None,
    )  # fmt: skip


def _row(
    demand: Demand,
    item: Item,
    rules: Mapping[str, RuleNow],
    decisions: Mapping[tuple[UUID, str, str], ItemDecision],
    sent: Mapping[tuple[str, str], str],
) -> Row:
    decision = decisions.get((demand.pk, *item.name))
    proposal = proposal_for(item, rules)
    if item.kind in BY_HAND:
        asks = (
            "Look at what is enclosed."
            if item.enclosed
            else "Say whether it exists and who has it."
        )
        proposal = Proposal(None, f"It was named by hand. {asks}")
    return Row(
        demand=demand.number,
        item=item,
        proposal=proposal,
        decision=decision,
        is_changed=decision is not None
        and (decision.digest != item.digest or _is_marked_anew(decision, item)),
        sent=sent.get(item.name, ""),
    )


def _is_marked_anew(decision: ItemDecision, item: Item) -> bool:
    return is_marked_anew(decision.outcome, decided=decision.marked, now=item.marked)


def _stops(
    asked: RecordsRequest, cases: Sequence[Case], settled: Sequence[StopSettled]
) -> list[StopFound]:
    words = {one.stop: f"{one.words} ({one.on_word_of})" for one in settled}
    labels = {case.pk: case.label for case in cases}
    found: list[tuple[str, StopKind, UUID, str, date | None]] = [
        (key, kind, case.pk, "", None) for case in cases for key, kind in stops_of(case)
    ]
    today = timezone.localdate()
    for stop in stops_in(cases):
        if stop.request_id not in (None, asked.pk):
            continue
        if still_stops(stop.until, today):
            kind = StopKind(stop.kind)
            found.append((str(stop.pk), kind, stop.case_id, stop.why, stop.until))
    return [
        StopFound(key, kind, labels[case_id], why, until, words.get(key, ""), case_id)
        for key, kind, case_id, why, until in found
    ]


# --- single records -------------------------------------------------------------------------------


def reach_by_hand(asked: RecordsRequest, reach_id: UUID) -> Reach:
    """Return what was named by hand for a request. Raises NotKnown."""
    rows = Reach.objects.active().filter(request=asked, pk=reach_id, kind__in=list(BY_HAND))
    return known(rows.select_related("demand", "case").first(), "item")


def enclosure_for_update(reach: Reach) -> Enclosure | None:
    """Return what is enclosed for something named by hand, locked; None for nothing."""
    rows = Enclosure.objects.active().select_for_update(of=("self",)).filter(reach=reach)
    found: Enclosure | None = rows.select_related("file").first()
    return found


def enclosure_of(asked: RecordsRequest, record_id: UUID) -> Enclosure:
    """Return what was enclosed, also where something else took its place. Raises NotKnown."""
    rows = Enclosure.objects.filter(request=asked, pk=record_id)
    return known(rows.select_related("file", "reach__demand", "case").first(), "enclosure")


def grounds() -> list[Ground]:
    """Return the office's list as it stands, by number."""
    return list(Ground.objects.active().select_related("created_by"))


def demand_of(asked: RecordsRequest, demand_id: UUID) -> Demand:
    """Return a demand of a request that was not withdrawn. Raises NotKnown."""
    rows = Demand.objects.active().filter(request=asked, pk=demand_id)
    return known(rows.first(), "demand")


def active_decisions(demand: Demand) -> dict[tuple[str, str], ItemDecision]:
    """Return what is decided of a demand, by kind and key of the item."""
    rows = ItemDecision.objects.active().filter(demand=demand)
    return {(one.kind, one.item): one for one in rows.select_related("ground", "created_by")}


def looks_waiting_for(actor: Staff, most: int) -> list[LookAsked]:
    """Return what a person was asked to look at and has not answered; one statement."""
    rows = LookAsked.objects.active().filter(
        asked_of=actor,
        answered_at=None,
        request__state=RequestState.OPEN.value,
        case__in=cases_open_to(actor),
    )
    rows = rows.select_related("case__decedent", "request", "created_by")
    return list(rows.order_by("created_at", "id")[:most])


def earlier_of(cases: Sequence[Case]) -> list[Earlier]:
    """Return what was released of these cases before."""
    return sent_earlier(cases)


def cases_open_of(asked: RecordsRequest, actor: Staff) -> list[Case]:
    """Return the cases that a request asks for, of which the person may know."""
    cases = cases_asked_for(asked)
    keys = cases_open_to(actor).filter(pk__in=[one.pk for one in cases])
    open_ones = set(keys.values_list("pk", flat=True))
    return [one for one in cases if one.pk in open_ones]


def ground_numbered(number: int) -> Ground | None:
    """Return the ground that stands under a number, or None."""
    return Ground.objects.active().filter(number=number).first() if number else None


def ground_of(record_id: UUID) -> Ground:
    """Return a ground that stands. Raises NotKnown."""
    found: Ground | None = Ground.objects.active().filter(pk=record_id).first()
    return known_of_office(found, "ground in the list")


def changed_rules() -> list[ProposalRule]:
    """Return what the office changed of the rules of proposals."""
    return list(ProposalRule.objects.active().select_related("ground"))


def next_ground_number() -> int:
    """Return the number after the highest that was ever given."""
    last = Ground.objects.order_by("-number").values_list("number", flat=True).first()
    return (last or 0) + 1


def earlier_grounds() -> list[Ground]:
    """Return what was replaced or withdrawn, by number, the latest first."""
    rows = Ground.objects.filter(voided_at__isnull=False).select_related("voided_by")
    return list(rows.order_by("number", "-voided_at")[:200])
