"""What testimony adds to the time line of a case; how it went is not told there."""

from __future__ import annotations

from django.urls import reverse

from cases.appearances.models import Appearance
from cases.appearances.rules import AppearanceState
from cases.course import Moment, TimeLineRows, add_to_time_line
from cases.models import Case


def _heard(case: Case, one: Appearance, who: str) -> list[Moment]:
    page = reverse("appearances:appearances", kwargs={"case_id": case.pk})
    title = one.get_kind_display().capitalize()
    return [Moment(one.begins_at, title, one.court or one.place, who=who, url=page)]


add_to_time_line(
    TimeLineRows(
        Appearance.objects.active().filter(state=AppearanceState.DONE.value),
        ("begins_at", "kind", "court", "place"),
        _heard,
        who="witness",
    )
)
