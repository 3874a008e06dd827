"""What the body's stay adds to the time line of a case: leaving, coming back, disposition."""

from __future__ import annotations

from datetime import datetime, time

from django.urls import reverse
from django.utils import timezone

from cases.course import Moment, TimeLineRows
from cases.models import Case
from cases.remains.models import BodyRelease, BodyReturn, CremationDecision, Disposition


def _page(case: Case) -> str:
    return reverse("remains:remains", kwargs={"case_id": case.pk})


def _released(case: Case, one: BodyRelease, who: str) -> list[Moment]:
    detail = f"to {one.released_to}, taken by {one.taken_by}"
    return [Moment(one.released_at, "Body released", detail, who=who, url=_page(case))]


def _returned(case: Case, one: BodyReturn, who: str) -> list[Moment]:
    detail = f"{one.get_purpose_display()}; {one.authority}"
    return [Moment(one.returned_at, "Body received again", detail, who=who, url=_page(case))]


def _decided(case: Case, one: CremationDecision, who: str) -> list[Moment]:
    title = f"Cremation {one.outcome}"
    return [Moment(one.decided_at, title, reason=one.why, who=who, url=_page(case))]


def _disposed(case: Case, one: Disposition, who: str) -> list[Moment]:
    if one.done_on is None:
        return []
    at = timezone.make_aware(datetime.combine(one.done_on, time.max))
    where = ", ".join(part for part in (one.place, one.location) if part)
    title = f"Final disposition: {one.words}"
    return [Moment(at, title, where, url=_page(case), day_only=True)]


TIME_LINE = (
    TimeLineRows(
        BodyRelease.objects.active(),
        ("released_at", "released_to", "taken_by"),
        _released,
        who="released_by",
    ),
    TimeLineRows(
        BodyReturn.objects.active(),
        ("returned_at", "purpose", "authority"),
        _returned,
        who="received_by",
    ),
    TimeLineRows(
        CremationDecision.objects.active(),
        ("decided_at", "outcome", "why"),
        _decided,
        who="decided_by",
    ),
    TimeLineRows(
        Disposition.objects.active().filter(done_on__isnull=False),
        ("done_on", "method", "method_other", "by_county", "place", "location"),
        _disposed,
    ),
)
