"""What a date in court runs into: leave of its witness, and another court on the same day.

Shown wherever a date is shown that is not ready; the same hour is told by the dates themselves.
"""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.db.models import DateTimeField, ExpressionWrapper, OuterRef, Subquery
from django.db.models.functions import Lower, TruncDate
from django.urls import reverse

from cases.appearances.before import says_before
from cases.appearances.models import Appearance
from cases.appearances.readiness import Check, Lack, register
from cases.appearances.rules import AHEAD
from cases.calendars.models import Leave
from me_office.moments import local

_DAY = TruncDate("begins_at", tzinfo=settings.OFFICE_ZONE)
_OUTER_DAY = TruncDate(
    ExpressionWrapper(OuterRef("begins_at"), output_field=DateTimeField()),
    tzinfo=settings.OFFICE_ZONE,
)
_LEAVE = (
    Leave.objects.active()
    .filter(person=OuterRef("witness"), first_on__lte=_OUTER_DAY, last_on__gte=_OUTER_DAY)
    .order_by("first_on", "id")
)
_ELSEWHERE = (
    Appearance.objects.active()
    .filter(witness=OuterRef("witness"), state__in=[one.value for one in AHEAD])
    .exclude(pk=OuterRef("pk"))
    .exclude(court="")
    .annotate(day=_DAY, called=Lower("court"))
    .filter(day=_OUTER_DAY)
    .exclude(called=Lower(OuterRef("court")))
    .order_by("begins_at", "id")
)


def _on_leave(row: Any) -> Lack | None:
    if row.leave_until is None:
        return None
    words = f"{row.witness} on leave until {row.leave_until.day} {row.leave_until:%b}"
    return Lack(words, reverse("calendars:leave"))


def _two_courts(row: Any) -> Lack | None:
    # The other court may be of a case that the reader may not know of: it is not named.
    if not row.other_court_on_day or not row.court:
        return None
    return Lack("another court on the same day", reverse("appearances:office"))


def _before(draft: Appearance) -> list[str]:
    """Say of a date that is not recorded yet whether its witness is away, or in another court."""
    day = local(draft.begins_at).date()
    away = Leave.objects.active().filter(
        person=draft.witness_id, first_on__lte=day, last_on__gte=day
    )
    said = [
        f"{one.person} is on leave until {one.last_on.day} {one.last_on:%b}."
        for one in away.select_related("person").order_by("first_on", "id")[:1]
    ]
    elsewhere = (
        Appearance.objects.active()
        .filter(witness=draft.witness_id, state__in=[one.value for one in AHEAD])
        .exclude(pk=draft.pk)
        .exclude(court="")
        .annotate(day=_DAY)
        .filter(day=day)
        .exclude(court__iexact=draft.court)
    )
    if draft.court and elsewhere.exists():
        said.append("The witness has another court on the same day.")
    return said


says_before("calendars", _before)
register(Check("leave", 5, _on_leave, {"leave_until": Subquery(_LEAVE.values("last_on")[:1])}))
register(
    Check(
        "two-courts", 6, _two_courts,
        {"other_court_on_day": Subquery(_ELSEWHERE.values("pk")[:1])},
    )
)  # fmt: skip
