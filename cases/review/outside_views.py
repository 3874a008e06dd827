"""Pages: recording a review that was made outside the office, and the document that came of it."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpResponse, HttpResponseBase
from django.views.decorators.http import require_http_methods, require_safe

from cases.access import Act, case_for
from cases.course import case_frame
from cases.review import needs
from cases.review import outside as made_outside
from cases.review.authorship import parts_written_by
from cases.review.outside_forms import OutsideReviewForm
from cases.review.peer_actions import newest_draft
from cases.review.rules import why_no_recorder
from evidence.store.serving import hand_over
from evidence.store.uploads import name_of_paper
from me_office.accounts.requests import StaffRequest
from me_office.audit.errors import NotKnown
from me_office.shell.forms import answer_done, answer_form, submitted


@require_http_methods(["GET", "POST"])
def outside(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Record a review made in another office, and lock the case file."""
    # Whoever sends it again, when the case is locked by it, gets the same answer from the action.
    act = Act.SEE if request.method == "POST" else Act.RECORD_OUTSIDE
    frame = case_frame(request.user, case_id, current="review", act=act)
    draft = newest_draft(frame.case)
    asked = needs.review_of(draft)
    form = OutsideReviewForm(
        request.POST or None,
        request.FILES or None,
        actor=request.user,
        asked=asked,
        initial={"draft_id": draft.pk, "sha256": draft.sha256},
    )
    if submitted(request, form, made_outside.record, case_id=case_id):
        done = "The outside review is recorded. The case file is locked."
        return answer_done(request, done, "review:review", case_id=case_id)
    why_not = why_no_recorder(parts_written_by(request.user.pk, case_id))
    context = {"frame": frame, "draft": draft, "asked": asked, "why_not": why_not}
    return answer_form(request, "review/outside.html", context, form)


@require_safe
def document(request: StaffRequest, case_id: UUID) -> HttpResponseBase:
    """Send what the reviewer sent, as it came; that it was fetched is noted."""
    case = case_for(request.user, Act.SEE, case_id)
    found = made_outside.outside_reviews_of(case.pk)
    if not found:
        raise NotKnown("No document of an outside review is kept in this case.")
    (one,) = found
    return hand_over(
        request, one.file, case_id=case.pk, record_id=one.pk, what="outside review",
        filename=name_of_paper(one.file, "outside-review"),
    )  # fmt: skip
