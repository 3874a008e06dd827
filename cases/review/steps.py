"""What report and review add to the course of a case and to the worklists."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.db.models import Case as WhenCase
from django.db.models import CharField, Exists, OuterRef, Q, Subquery, Value, When
from django.urls import reverse

from cases import access, course, worklists
from cases.models import Case
from cases.review.blind import is_held_from
from cases.review.happened import TIME_LINE
from cases.review.late import results_waiting
from cases.review.models import CaseClosing, DraftReview, Report
from cases.review.rules import ReportState
from cases.rules.case import CaseState
from cases.worklists import Section, Waiting
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.prepared import Facts
from me_office.shell.templatetags.office import short_moment

REPORT_STATE = {
    "review_state": Subquery(Report.objects.filter(case=OuterRef("pk")).values("state")[:1])
}


def _report_words(case: Case, facts: Facts) -> str:
    if case.state == CaseState.CLOSED:
        return "closed without"
    return ReportState(facts["review_state"]).words if facts["review_state"] else "not begun"


def _review_words(case: Case, facts: Facts) -> str:
    if case.state == CaseState.CLOSED:
        return "none"
    words = {
        ReportState.SUBMITTED: "waiting for review",
        ReportState.RETURNED: "sent back",
        ReportState.SIGNED: "finished",
    }
    return words.get(facts["review_state"], "not begun")


course.add_to_time_line(*TIME_LINE)
course.hold_back_where(is_held_from)
_KIND_WORDS = WhenCase(
    *(When(kind=kind, then=Value(words)) for kind, words in CaseClosing.KINDS),
    output_field=CharField(),
)
_CLOSED = CaseClosing.objects.active().filter(case=OuterRef("pk"), reopened_at=None)
CLOSED_AS = {
    # Named without a prefix: the notice on every page of a closed case shows them.
    "closed_kind": Subquery(_CLOSED.values(words=_KIND_WORDS)[:1]),
    "closed_certified_by": Subquery(_CLOSED.values("certified_by")[:1]),
    "closed_why": Subquery(_CLOSED.values("why")[:1]),
}
course.register(
    course.Step(
        "report", "Report", 90, "review:report", _report_words, {**REPORT_STATE, **CLOSED_AS}
    )
)
course.register(course.Step("review", "Review", 100, "review:review", _review_words))


def _reports(actor: Staff) -> Any:
    return Report.objects.filter(case__in=access.cases_open_to(actor)).select_related(
        "case__decedent", "author"
    )


def _row(report: Report, *, title: str, detail: str, since: datetime | None, page: str) -> Waiting:
    return Waiting(
        number=report.case.label,
        title=title,
        detail=detail,
        when=f"since {short_moment(since)}",
        url=reverse(page, kwargs={"case_id": report.case_id}),
        since=since,
    )


def _to_review(actor: Staff, now: datetime) -> list[Waiting]:
    """Drafts that wait: those that the person was asked for first, then those for anybody.

    Who leads the office sees those of others, too.
    """
    reports = _reports(actor).filter(state=ReportState.SUBMITTED).exclude(author=actor)
    named = DraftReview.objects.filter(draft__report=OuterRef("pk"), draft__decision=None)
    reports = reports.annotate(
        asked_of=Subquery(named.values("reviewer")[:1]),
        asked_name=Subquery(named.values("reviewer__display_name")[:1]),
        own=Exists(named.filter(reviewer=actor)),
    )
    if not actor.has_role(Role.SUPERVISOR):
        reports = reports.filter(Q(asked_of=None) | Q(own=True))
    return [
        _row(
            report,
            title=f"Draft {report.drafts_sent}, {report.case.decedent.full_name}",
            detail=f"by {report.author}; {report.case.heading}{_asked_words(report)}",
            since=report.submitted_at,
            page="review:review",
        )
        for report in reports.order_by("-own", "submitted_at", "id")[: worklists.LIMIT]
    ]


def _asked_words(report: Any) -> str:
    if report.own:
        return "; you are asked to review it"
    return f"; {report.asked_name} is asked to review it" if report.asked_name else ""


def _sent_back(actor: Staff, now: datetime) -> list[Waiting]:
    reports = _reports(actor).filter(state=ReportState.RETURNED, author=actor)
    return [
        _row(
            report,
            title=f"Sent back: draft {report.drafts_sent}, {report.case.decedent.full_name}",
            detail=report.case.heading,
            since=report.changed_at,
            page="review:review",
        )
        for report in reports.order_by("submitted_at", "id")[: worklists.LIMIT]
    ]


worklists.register(
    Section(
        "to-review",
        "Waiting for your review",
        frozenset({Role.PATHOLOGIST, Role.SUPERVISOR}),
        10,
        _to_review,
        empty="No drafts are waiting for review.",
    )
)


def _late_results(actor: Staff, now: datetime) -> list[Waiting]:
    """Results that came after the signature, on which no addendum or amendment rests."""
    return [
        Waiting(
            number=result.case.label,
            title=f"{result}, {result.case.decedent.full_name}",
            detail=f"received after signing; {result.organization}",
            when=short_moment(result.created_at),
            url=reverse("review:report", kwargs={"case_id": result.case_id}),
            urgency="attention",
            since=result.created_at,
        )
        for result in results_waiting(actor)[: worklists.LIMIT]
    ]


worklists.register(
    Section(
        "late-results",
        "Results received after signing",
        frozenset({Role.PATHOLOGIST}),
        12,
        _late_results,
    )
)
worklists.register(
    Section(
        "sent-back",
        "Sent back to you",
        frozenset({Role.PATHOLOGIST}),
        10,
        _sent_back,
        empty="No reports have been sent back.",
    )
)
