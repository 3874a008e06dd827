"""Pages of the drafts: one as it was sent, and two side by side, word by word."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from cases.course import case_frame
from cases.review import comparing
from cases.review.comparing import CompareForm, offered
from cases.review.queries import draft_numbered, photograph_keys, sent_drafts
from cases.review.rules import WROTE_REPORT
from cases.review.threads import threads_in
from me_office.accounts.requests import StaffRequest


@require_GET
def draft(request: StaffRequest, case_id: UUID, number: int) -> HttpResponse:
    """Show a draft as it was sent, with the comments that were made on it. Raises NotKnown."""
    frame = case_frame(request.user, case_id, current="review")
    shown = draft_numbered(case_id, number)
    threads = threads_in([shown], person_id=request.user.pk, wrote=[WROTE_REPORT])
    context = {
        "frame": frame,
        "draft": shown,
        "comments": threads,
        "whole": threads.get("", []),
        "drafts": sent_drafts(case_id),
        "photograph_keys": photograph_keys(case_id),
    }
    return render(request, "review/draft.html", context)


@require_GET
def compare(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Show what two drafts, or a draft and the case file now, say differently."""
    frame = case_frame(request.user, case_id, current="review")
    drafts = sent_drafts(case_id)
    readings = offered(drafts, is_locked=frame.case.is_locked)
    form = CompareForm(request.GET or None, readings=readings)
    asked = form.asked(readings)
    context = {
        "frame": frame,
        "drafts": drafts,
        "form": form,
        "asked": asked,
        "names": [dict(readings)[one] for one in asked or ()],
        "differences": comparing.between(case_id, *asked) if asked else [],
    }
    status = 422 if form.is_bound and not form.is_valid() else 200
    return render(request, "review/compare.html", context, status=status)
