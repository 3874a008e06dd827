"""What is said and settled in the thread of a comment, on the page of the review."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.views.decorators.http import require_POST

from cases.course import case_frame
from cases.review import threads
from cases.review.forms import ReopenCommentForm, ReplyForm, ResolveForm
from cases.review.views import review_page, to_place
from me_office.accounts.requests import StaffRequest
from me_office.shell.forms import OfficeFormMixin, submitted


def _settle(
    request: StaffRequest, case_id: UUID, comment_id: UUID, form: OfficeFormMixin,
    action: Callable[..., Any], done: str,
) -> HttpResponse:  # fmt: skip
    if submitted(request, form, action, case_id=case_id, comment_id=comment_id):
        messages.success(request, done)
        return to_place(case_id, f"comment-{comment_id}")
    frame = case_frame(request.user, case_id, current="review")
    return review_page(request, frame, thread_form=form)


@require_POST
def reply(request: StaffRequest, case_id: UUID, comment_id: UUID) -> HttpResponse:
    """Say something in the thread of a comment."""
    form = ReplyForm(request.POST)
    done = "The reply is added."
    return _settle(request, case_id, comment_id, form, threads.reply_to_comment, done)


@require_POST
def resolve(request: StaffRequest, case_id: UUID, comment_id: UUID) -> HttpResponse:
    """Say that a comment is settled."""
    form = ResolveForm(request.POST)
    done = "The comment is resolved."
    return _settle(request, case_id, comment_id, form, threads.resolve_comment, done)


@require_POST
def reopen(request: StaffRequest, case_id: UUID, comment_id: UUID) -> HttpResponse:
    """Say that a comment is not settled after all."""
    form = ReopenCommentForm(request.POST)
    done = "The comment is open again."
    return _settle(request, case_id, comment_id, form, threads.reopen_comment, done)
