"""What requests add to the course of a case and to the worklists."""

from __future__ import annotations

from datetime import datetime

from django.db.models import OuterRef, Subquery
from django.urls import reverse
from django.utils import timezone

from cases import course, worklists
from cases.court import queries
from cases.court.models import RecordsRequest, Release
from cases.court.rules import RequestState, due_words
from cases.models import Case
from cases.worklists import Section, Waiting
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.prepared import Facts
from me_office.shell.templatetags.office import clock, short_moment

CLERKS = frozenset({Role.RECORDS_CLERK})
LATELY = 6

_OPEN = RecordsRequest.objects.filter(state=RequestState.OPEN.value)
_ANSWERED = RecordsRequest.objects.filter(state=RequestState.ANSWERED.value)
_ANNOTATIONS = {
    "court_open": course.count_of(_OPEN),
    "court_answered": course.count_of(_ANSWERED),
    "court_due_on": Subquery(
        _OPEN.filter(case=OuterRef("pk"), stopped_since__isnull=True)
        .order_by("due_on", "id")
        .values("due_on")[:1]
    ),
}


def _court_words(case: Case, facts: Facts) -> str:
    if facts["court_open"]:
        # Of those whose clock runs; where it is stopped for all, none is due.
        on = facts["court_due_on"]
        due = due_words(on, timezone.localdate()).words if on else "clock stopped"
        return f"{facts['court_open']} open, {due}" if facts["court_open"] > 1 else due
    return f"{facts['court_answered']} answered" if facts["court_answered"] else "no requests"


course.register(
    course.Step("court", "Court", 110, "court:requests", _court_words, annotations=_ANNOTATIONS)
)


def _when_words(at: datetime, now: datetime) -> str:
    days = (timezone.localtime(now).date() - timezone.localtime(at).date()).days
    if days == 0:
        return f"today, {clock(at)}"
    if days == 1:
        return f"yesterday, {clock(at)}"
    return f"{timezone.localtime(at):%A}" if days < 7 else short_moment(at).partition(",")[0]


def _released_row(release: Release, now: datetime) -> Waiting:
    asked = release.request
    cause = f", cause {asked.cause_number}" if asked.cause_number else ""
    return Waiting(
        number=release.case.label,
        title=f"Released to {release.released_to}",
        detail=f"{asked.get_kind_display()}{cause}; {release.get_method_display()}",
        when=_when_words(release.released_at, now),
        url=reverse("court:requests", kwargs={"case_id": release.case_id}),
    )


def _lately_done(actor: Staff, now: datetime) -> list[Waiting]:
    return [_released_row(one, now) for one in queries.late_releases(actor, most=LATELY)]


def _answered_in_time(actor: Staff, now: datetime) -> list[Waiting]:
    counted = queries.punctuality_of(actor, now)
    office = reverse("court:office-requests")
    if not counted.answered:
        return []
    words = f"the last {queries.LAST_ANSWERS} releases, twelve months at most"
    days = f"{counted.median_days:g}" if counted.median_days is not None else ""
    return [
        Waiting("", "In time", words, counted.share_words, f"{office}?state=answered"),
        Waiting("", "Median days to answer", "", days, f"{office}?state=answered"),
    ]


worklists.register(
    Section(
        "lately-done",
        "Recently released",
        CLERKS,
        30,
        _lately_done,
        empty="No releases recorded yet.",
        waits=False,
    )
)
worklists.register(
    Section(
        "answered-in-time",
        "Answered in time",
        CLERKS,
        110,
        _answered_in_time,
        empty="Counted once the first request is answered.",
        waits=False,
    )
)
