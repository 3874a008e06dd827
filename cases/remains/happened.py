"""What the body's stay adds to the time line of a case: leaving, coming back, disposition."""

from __future__ import annotations

from datetime import datetime, time

from django.urls import reverse
from django.utils import timezone

from cases.course import Moment
from cases.models import Case
from cases.remains.models import BodyRelease, BodyReturn, CremationDecision, Disposition


def moments_of(case: Case) -> list[Moment]:
    """Return releases, returns, decisions on a cremation and dispositions; four statements."""
    page = reverse("remains:remains", kwargs={"case_id": case.pk})
    released = BodyRelease.objects.standing().filter(case=case).select_related("released_by")
    returned = BodyReturn.objects.standing().filter(case=case).select_related("received_by")
    decided = CremationDecision.objects.standing().filter(case=case).select_related("decided_by")
    disposed = Disposition.objects.standing().filter(case=case, done_on__isnull=False)
    return [
        *(
            Moment(
                one.released_at,
                "Body released",
                f"to {one.released_to}, taken by {one.taken_by}",
                who=str(one.released_by),
                url=page,
            )
            for one in released
        ),
        *(
            Moment(
                one.returned_at,
                "Body received again",
                f"{one.get_purpose_display()}; {one.authority}",
                who=str(one.received_by),
                url=page,
            )
            for one in returned
        ),
        *(
            Moment(
                one.decided_at,
                f"Cremation {one.outcome}",
                reason=one.why,
                who=str(one.decided_by),
                url=page,
            )
            for one in decided
        ),
        *(
            Moment(
                timezone.make_aware(datetime.combine(one.done_on, time.max)),
                f"Final disposition: {one.words}",
                ", ".join(part for part in (one.place, one.location) if part),
                url=page,
                day_only=True,
            )
            for one in disposed
            if one.done_on
        ),
    ]
