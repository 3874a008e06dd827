"""Reads of holds, releases and returns."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, TypeVar
from uuid import UUID

from django.db.models import Exists, OuterRef, Prefetch, QuerySet

from cases.access import cases_open_to
from cases.models import BodyReceipt, Case, CaseRecord
from cases.remains.models import (
    BodyHold,
    BodyRelease,
    BodyReturn,
    CremationDecision,
    CremationRequest,
    Disposition,
    made_decisions,
)
from cases.remains.rules import Movement, Outcome, Way
from cases.worklists import LIMIT
from me_office.accounts.models import Staff
from me_office.audit.errors import known
from me_office.audit.models import rows_of

RecordT = TypeVar("RecordT", bound=CaseRecord)


@dataclass(frozen=True)
class Stay:
    """One stay of the body in the office: how it came in, and how it left if it did."""

    number: int
    came_in: BodyReceipt | BodyReturn
    release: BodyRelease | None

    @property
    def came_in_at(self) -> Any:
        """When the body came in."""
        came = self.came_in
        return came.received_at if isinstance(came, BodyReceipt) else came.returned_at

    @property
    def is_return(self) -> bool:
        """Tell whether the body came back."""
        return isinstance(self.came_in, BodyReturn)

    @property
    def movements(self) -> list[Movement]:
        """The stay as movements."""
        made = [Movement(Way.IN, self.number, self.came_in_at)]
        if self.release is not None:
            made.append(Movement(Way.OUT, self.number, self.release.released_at))
        return made


def stays_of(case: Case) -> list[Stay]:
    """Return the body's stays in their order, in three statements; none if it never came in."""
    receipt = (
        BodyReceipt.objects.active()
        .filter(case=case)
        .select_related("received_by")
        .order_by("received_at", "id")
        .first()
    )
    if receipt is None:
        return []
    releases = BodyRelease.objects.active().filter(case=case).select_related("released_by")
    ended = {one.stay: one for one in releases}
    returns = BodyReturn.objects.active().filter(case=case).select_related("received_by")
    later = [Stay(one.stay, one, ended.get(one.stay)) for one in returns.order_by("stay")]
    return [Stay(1, receipt, ended.get(1)), *later]


def movements_of(stays: list[Stay]) -> list[Movement]:
    """Return all movements of the body."""
    return [movement for stay in stays for movement in stay.movements]


def holds_of(case: Case) -> list[BodyHold]:
    """Return the holds that were placed, open ones first."""
    rows = BodyHold.objects.active().filter(case=case).select_related("lifted_by", "created_by")
    return sorted(rows, key=lambda one: (one.lifted_at is not None, one.placed_at))


def open_holds_of(case: Case) -> list[BodyHold]:
    """Return the holds that keep the body."""
    return list(BodyHold.objects.active().filter(case=case, lifted_at=None))


def record_for_update(model: type[RecordT], case: Case, record_id: UUID) -> RecordT:
    """Return a record of the case, locked. Raises NotKnown."""
    rows = rows_of(model).select_for_update(of=("self",))
    return known(rows.filter(case=case, pk=record_id).first(), "record")


def record_of(model: type[RecordT], case: Case, record_id: UUID) -> RecordT:
    """Return an active record of the case. Raises NotKnown."""
    return known(rows_of(model).active().filter(case=case, pk=record_id).first(), "record")


def bodies_here(actor: Staff) -> list[Any]:
    """Return the cases whose body is in the office, the longest stay first; each has `on_hold`."""
    held = Exists(BodyHold.objects.active().filter(case=OuterRef("pk"), lifted_at=None))
    rows = cases_open_to(actor).filter(body_in_since__isnull=False).annotate(on_hold=held)
    rows = rows.select_related("decedent")
    return list(rows.order_by("body_in_since", "id")[:LIMIT])


def held_bodies(actor: Staff) -> list[BodyHold]:
    """Return the open holds of the office, the oldest first; one statement."""
    rows = BodyHold.objects.active().filter(lifted_at=None, case__in=cases_open_to(actor))
    return list(rows.select_related("case__decedent").order_by("placed_at", "id")[:LIMIT])


def cremations_of(case: Case) -> list[CremationRequest]:
    """Return the requests for cremation approval with `made_decisions`; two statements."""
    decisions: Prefetch[str, QuerySet[CremationDecision], str] = Prefetch(
        "decisions", made_decisions(), to_attr="made_decisions"
    )
    rows = CremationRequest.objects.active().filter(case=case).prefetch_related(decisions)
    return list(rows.order_by("asked_at", "id"))


def dispositions_of(case: Case) -> list[Disposition]:
    """Return what was recorded of the remains, the latest first."""
    return list(Disposition.objects.active().filter(case=case).order_by("-id"))


def open_cremations(actor: Staff) -> list[CremationRequest]:
    """Return requests for cremation approval that nobody decided; one statement."""
    rows = CremationRequest.objects.active().filter(
        outcome=Outcome.OPEN.value, case__in=cases_open_to(actor)
    )
    return list(rows.select_related("case__decedent").order_by("asked_at", "id")[:LIMIT])
