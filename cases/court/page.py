"""What a request's page reads, for its own view and for pages that share its columns."""

from __future__ import annotations

from dataclasses import dataclass, replace
from uuid import UUID

from django.urls import reverse
from django.utils import timezone

from cases.access import Act, Decision, decision_on, may
from cases.course import CaseFrame
from cases.court import queries
from cases.court.models import Demand, Original, RecordsRequest
from cases.court.on_page import once
from cases.court.rules import NAMES_ITS_COURT, Due, closed_day_words, due_words
from cases.court.side import MIDDLE, SIDE, Offer, Part, demand_page, parts_of, told_of_demands
from me_office.accounts.models import Staff


@dataclass(frozen=True)
class DemandShown:
    """A demand in the left column: what is said below it, and where it is shown."""

    demand: Demand
    words: str
    url: str
    current: bool


@dataclass(frozen=True)
class RequestPage:
    """The two columns and the head that all pages of a request share."""

    asked: RecordsRequest
    due: Due
    demands: list[DemandShown]
    head: str
    side: list[Part]
    offers: list[Offer]
    middle: list[Part]
    may_handle: bool
    may_charge: bool
    packet_decision: Decision

    @property
    def wants(self) -> str:
        """What it asks for: by its demands, where they are listed, else as it was logged."""
        kinds = {one.demand.kind for one in self.demands}
        if kinds:
            return " and ".join(words for kind, words in Demand.KINDS if kind in kinds)
        return self.asked.get_wants_display() if self.asked.kind in NAMES_ITS_COURT else ""

    @property
    def original(self) -> bool:
        """Tell whether the paper is attached and stands."""
        parts = [one.part for one in self.side if one.key == "original"]
        return any(not paper.is_voided for papers in parts for paper in _papers(papers))


def _papers(part: object) -> list[Original]:
    return [one for one in part if isinstance(one, Original)] if isinstance(part, list) else []


def due_of(asked: RecordsRequest) -> Due:
    """Say when a request is due and, where it is open, whether courts are closed that day.

    While its clock is stopped it is not due, and not overdue.
    """
    if not asked.is_open:
        return due_words(asked.due_on, timezone.localdate())
    closed = "" if asked.stopped_since else closed_day_words(asked.due_on)
    return replace(asked.due_at(timezone.localdate()), closed=closed)


def read_request_page(
    actor: Staff, frame: CaseFrame, request_id: UUID, *, current: UUID | None = None
) -> RequestPage:
    """Read a request of a case with what all rooms say of it, in a fixed number of statements.

    `current` is the demand that the page shows. Raises NotKnown.
    """
    asked = queries.request_of(frame.case.pk, request_id)
    asked.case = frame.case
    demands = once(asked, queries.demands_of, lambda: queries.demands_of(asked))
    words, head = told_of_demands(actor, asked, demands)
    handles = may(actor, Act.HANDLE_REQUEST, frame.case) and asked.is_open
    side = parts_of(actor, asked, demands, SIDE, handles=handles)
    return RequestPage(
        asked=asked,
        due=due_of(asked),
        demands=[_shown(asked, one, words, current) for one in demands],
        head=head,
        side=[one for one in side if one.offers is None],
        offers=[offer for one in side for offer in one.offers or ()],
        middle=parts_of(actor, asked, demands, MIDDLE),
        may_handle=handles,
        may_charge=may(actor, Act.HANDLE_REQUEST, frame.case) and not asked.is_voided,
        packet_decision=decision_on(actor, Act.BUILD_PACKET, frame.case),
    )


def _shown(
    asked: RecordsRequest, demand: Demand, words: dict[UUID, str], current: UUID | None
) -> DemandShown:
    own = demand_page()
    keys = {"case_id": asked.case_id, "request_id": asked.pk}
    if own:
        url = reverse(own, kwargs={**keys, "demand_id": demand.pk})
    else:
        url = f"{reverse('court:request', kwargs=keys)}#demand-{demand.pk}"
    return DemandShown(demand, words.get(demand.pk, ""), url, demand.pk == current)
