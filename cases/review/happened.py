"""What report and review add to the time line of a case, up to what came after the signature."""

from __future__ import annotations

from django.urls import reverse

from cases.course import Moment
from cases.models import Case
from cases.review.models import Addendum, CaseClosing, ReviewDecision
from evidence.results.models import Result

_DONE = {
    "signed": "Report reviewed and signed",
    "outside": "Report reviewed outside the office and signed",
    "waived": "Report signed without peer review",
}


def moments_of(case: Case) -> list[Moment]:
    """Return signing, late results, addenda and amendments, closing, opening; four statements."""
    after = [*_signed(case), *_late(case), *_added(case)] if case.is_locked else []
    return [*after, *_closed(case)]


def _signed(case: Case) -> list[Moment]:
    page = reverse("review:report", kwargs={"case_id": case.pk})
    rows = ReviewDecision.objects.standing().filter(case=case, outcome__in=_DONE)
    return [
        Moment(
            one.decided_at, _DONE[one.outcome], f"draft {one.draft.number}",
            who=one.signed_as or str(one.decided_by), url=page,
        )
        for one in rows.select_related("draft", "decided_by")
    ]  # fmt: skip


def _late(case: Case) -> list[Moment]:
    rows = Result.objects.standing().filter(case=case, after_signing=True)
    return [
        Moment(
            one.created_at,
            "Result received after signing",
            f"{one}, {one.organization}",
            who=str(one.created_by),
            url=reverse("results:one", kwargs={"case_id": case.pk, "result_id": one.pk}),
        )
        for one in rows.select_related("created_by")
    ]


def _added(case: Case) -> list[Moment]:
    page = reverse("review:addenda", kwargs={"case_id": case.pk})
    rows = Addendum.objects.standing().filter(case=case).select_related("made_by")
    return [
        Moment(
            one.made_at,
            f"{one.get_kind_display().capitalize()} {one.number}",
            one.amends,
            reason=one.why,
            who=one.signed_as or str(one.made_by),
            url=f"{page}#addendum-{one.number}",
        )
        for one in rows
    ]


def _closed(case: Case) -> list[Moment]:
    found = []
    for one in CaseClosing.objects.standing().filter(case=case).select_related("created_by"):
        detail = one.get_kind_display()
        if one.certified_by:
            detail = f"{detail}; certified by {one.certified_by}"
        title, who = "Closed without a report", str(one.created_by)
        found.append(Moment(one.closed_at, title, detail, reason=one.why, who=who))
        if one.reopened_at:
            found.append(Moment(one.reopened_at, "Opened again", reason=one.reopened_why))
    return found
