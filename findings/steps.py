"""What this part of the office adds to the course of a case and to the worklists."""

from __future__ import annotations

from datetime import datetime

from django.db.models import Exists, OuterRef, QuerySet, Subquery
from django.urls import reverse

from cases import course, worklists
from cases.access import cases_open_to
from cases.models import BodyReceipt, Case
from cases.rules.case import CaseState
from cases.worklists import LIMIT, Section, Waiting
from findings.models import Examination, Finding
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.moments import clock_words
from me_office.prepared import Facts

# A body is examined within a day or two of its receipt (common practice).
LATE_AFTER_HOURS = 48


def _words(case: Case, facts: Facts) -> str:
    if facts["findings_opened_at"] is None:
        return "not opened"
    count: int = facts["findings_count"]
    if count:
        return "1 finding" if count == 1 else f"{count} findings"
    return "opened, no findings"


def register_step() -> None:
    """Add the examination to the course and to the time line of every case."""
    course.add_to_time_line(
        course.TimeLineRows(
            Examination.objects.all(),
            ("kind", "began_at", "ended_at"),
            _examined,
            who="pathologist",
        )
    )
    course.register(
        course.Step(
            key="examination",
            title="Examination",
            order=40,
            url_name="findings:chart",
            words=_words,
            annotations={
                "findings_opened_at": Subquery(
                    Examination.objects.filter(case=OuterRef("pk")).values("began_at")[:1]
                ),
                "findings_count": course.count_of(Finding.objects.active()),
            },
        )
    )


def _examined(case: Case, one: Examination, who: str) -> list[course.Moment]:
    page = reverse("findings:chart", kwargs={"case_id": case.pk})
    kind = one.get_kind_display()
    found = [course.Moment(one.began_at, "Examination began", kind, who=who, url=page)]
    if one.ended_at:
        found.append(course.Moment(one.ended_at, "Examination ended", url=page))
    return found


def _own_cases(actor: Staff) -> QuerySet[Case]:
    return cases_open_to(actor).filter(pathologist=actor, state=CaseState.OPEN.value)


def _when(moment: datetime) -> str:
    return clock_words(moment, "%d %b, %H:%M")


def to_open(actor: Staff, now: datetime) -> list[Waiting]:
    """Assigned to me, body received, examination not opened."""
    received = BodyReceipt.objects.active().filter(case=OuterRef("pk"))
    rows = (
        _own_cases(actor)
        .exclude(Exists(Examination.objects.filter(case=OuterRef("pk"))))
        .annotate(received_at=Subquery(received.values("received_at")[:1]))
        .filter(received_at__isnull=False)
        .select_related("decedent")
        .order_by("received_at", "pk")[:LIMIT]
    )
    return [
        Waiting(
            number=case.label,
            title=case.decedent.full_name,
            detail=case.heading,
            when=f"received {_when(case.received_at)}",
            url=reverse("findings:examination", args=[case.pk]),
            urgency="attention" if _hours(case.received_at, now) > LATE_AFTER_HOURS else "",
            since=case.received_at,
        )
        for case in rows
    ]


def _hours(since: datetime, now: datetime) -> float:
    return (now - since).total_seconds() / 3600


def not_ended(actor: Staff, now: datetime) -> list[Waiting]:
    """Examinations that I opened and that have not ended."""
    rows = (
        Examination.objects.filter(
            case__in=cases_open_to(actor).filter(state=CaseState.OPEN.value),
            pathologist=actor,
            ended_at=None,
        )
        .select_related("case__decedent")
        .order_by("began_at", "pk")[:LIMIT]
    )
    return [
        Waiting(
            number=one.case.label,
            title=one.case.decedent.full_name,
            detail=f"{one.get_kind_display()} · {one.case.heading}",
            when=f"began {_when(one.began_at)}",
            url=reverse("findings:chart", args=[one.case_id]),
            since=one.began_at,
        )
        for one in rows
    ]


def register_sections() -> None:
    """Add what waits for a pathologist."""
    pathologist = frozenset({Role.PATHOLOGIST})
    worklists.register(
        Section(
            key="examinations-to-open",
            title="Bodies to examine",
            roles=pathologist,
            order=40,
            rows=to_open,
            empty="No received bodies are waiting for your examination.",
        )
    )
    worklists.register(
        Section(
            key="examinations-not-ended",
            title="Examinations not ended",
            roles=pathologist,
            order=41,
            rows=not_ended,
            empty="You have no open examinations.",
        )
    )


register_step()
register_sections()
