"""What report and review add to the time line of a case, up to what came after the signature."""

from __future__ import annotations

from django.urls import reverse

from cases.course import Moment, TimeLineRows
from cases.models import Case
from cases.review.models import Addendum, CaseClosing, ReportDraft, ReviewDecision
from evidence.results.models import Result

_DONE = {
    "signed": "Report reviewed and signed",
    "outside": "Report reviewed outside the office and signed",
    "waived": "Report finished without peer review",
}


def _signed(case: Case, one: ReviewDecision, who: str) -> list[Moment]:
    page = reverse("review:report", kwargs={"case_id": case.pk})
    detail = f"draft {one.draft.number}, case file locked"
    if one.outside_name:
        detail = f"{detail}; reviewed by {one.outside_name}, {one.outside_office}"
    why = one.words if one.outcome == "waived" else ""
    who = one.signed_as or who
    return [Moment(one.decided_at, _DONE[one.outcome], detail, reason=why, who=who, url=page)]


def _sent_by_author(case: Case, one: ReportDraft, who: str) -> list[Moment]:
    page = reverse("review:review", kwargs={"case_id": case.pk})
    # Not every draft was sent with a signature: what was not signed is not told as signed.
    title = "Report signed" if one.signed_as else "Report sent to peer review"
    who = one.signed_as or who
    return [Moment(one.submitted_at, title, f"draft {one.number}", who=who, url=page)]


def _late(case: Case, one: Result, who: str) -> list[Moment]:
    page = reverse("results:one", kwargs={"case_id": case.pk, "result_id": one.pk})
    title, detail = "Result received after signing", f"{one}, {one.organization}"
    return [Moment(one.created_at, title, detail, who=who, url=page)]


def _added(case: Case, one: Addendum, who: str) -> list[Moment]:
    page = reverse("review:addenda", kwargs={"case_id": case.pk})
    return [
        Moment(
            one.made_at,
            f"{one.get_kind_display().capitalize()} {one.number}",
            one.amends,
            reason=one.why,
            who=one.signed_as or who,
            url=f"{page}#addendum-{one.number}",
        )
    ]


def _closed(case: Case, one: CaseClosing, who: str) -> list[Moment]:
    detail = one.get_kind_display()
    if one.certified_by:
        detail = f"{detail}; certified by {one.certified_by}"
    return [Moment(one.closed_at, "Closed without a report", detail, reason=one.why, who=who)]


def _opened_again(case: Case, one: CaseClosing, who: str) -> list[Moment]:
    at, why = one.reopened_at, one.reopened_why
    return [Moment(at, "Case reopened", reason=why, who=who)] if at else []


TIME_LINE = (
    TimeLineRows(
        # Of the drafts, the one that is in review or was finished.
        ReportDraft.objects.active().exclude(decision__outcome="returned"),
        ("submitted_at", "number", "signed_as"),
        _sent_by_author,
        who="created_by",
    ),
    TimeLineRows(
        ReviewDecision.objects.active().filter(outcome__in=_DONE),
        (
            *("decided_at", "outcome", "words", "signed_as", "draft__number"),
            *("outside_name", "outside_office"),
        ),
        _signed,
        who="decided_by",
    ),
    TimeLineRows(
        Result.objects.active().filter(after_signing=True),
        ("id", "number", "kind", "organization", "created_at"),
        _late,
        who="created_by",
    ),
    TimeLineRows(
        Addendum.objects.active(),
        ("made_at", "kind", "number", "amends", "why", "signed_as"),
        _added,
        who="made_by",
    ),
    TimeLineRows(
        CaseClosing.objects.active(),
        ("closed_at", "kind", "certified_by", "why"),
        _closed,
        who="created_by",
    ),
    TimeLineRows(
        # Opening the case again is the last that is done to a closing.
        CaseClosing.objects.active().filter(reopened_at__isnull=False),
        ("reopened_at", "reopened_why"),
        _opened_again,
        who="changed_by",
    ),
)
