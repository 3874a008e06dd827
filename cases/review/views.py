"""Pages of report, review and addenda."""

from __future__ import annotations

from collections.abc import Callable
from copy import copy
from typing import Any
from uuid import UUID

from django.conf import settings
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from cases.access import Act, decision_on, may, may_somewhere
from cases.checking.queries import with_reasons
from cases.course import CaseFrame, case_frame
from cases.drafting.queries import spelled_so
from cases.review import actions, finishing, needs, queries
from cases.review.anchors import offered
from cases.review.announced import said_before_signing
from cases.review.authorship import parts_written_by
from cases.review.blind import without_opinion
from cases.review.comment_rules import Weight
from cases.review.content import content_of
from cases.review.differences import reads_as_before
from cases.review.edited import edited_apart
from cases.review.forms import (
    AddendumForm,
    AnswerForm,
    CommentForm,
    ReportForm,
    ReturnForm,
    SignForm,
    SubmitForm,
    WithoutReviewForm,
)
from cases.review.late import late_results, results_to_name
from cases.review.outside import outside_reviews_of
from cases.review.peer_forms import GiveForm
from cases.review.reported import NOT_AVAILABLE, FromOutside, from_outside
from cases.review.rules import ADDED, REVIEWED, missing_before_review, why_no_reviewer
from cases.review.threads import threads_in
from cases.review.where import with_pages
from cases.review.wording import wording_questions
from evidence.specimens.queries import specimens_of
from findings.queries import findings_of
from findings.questions.queries import Question, examination_to_question, questions_in
from me_office.accounts.requests import StaffRequest
from me_office.accounts.roles import Role
from me_office.shell.forms import OfficeFormMixin, answer_done, answer_form, submitted


def _report_context(
    request: StaffRequest, frame: CaseFrame, whole: Any | None = None
) -> dict[str, object]:
    case_id = frame.case.pk
    whole = whole or queries.case_to_report_on(case_id)
    report = getattr(whole, "report", None)
    examination = getattr(whole, "examination", None)
    locked = frame.case.is_locked
    addenda = queries.addenda_of(case_id) if locked else []
    outside = FromOutside() if locked else from_outside(case_id)
    # What was signed is shown as it was signed, whatever the file says since.
    signed = queries.signed_draft(case_id) if locked else None
    kept = getattr(signed, "signed_pdf", None)
    content = signed.content if signed else None
    findings = [] if content else findings_of(whole)
    content = content or content_of(whole, findings, outside)
    liver = queries.liver_read_at(whole)
    lacking = missing_before_review(queries.readiness_in(whole))
    may_write = may(request.user, Act.WRITE_REPORT, frame.case)
    drafts = queries.sent_drafts(case_id)
    sends = may_write and not lacking
    return {
        "frame": frame,
        "report": report,
        "content": content,
        "not_available": outside.not_available,
        "lacking": with_pages(lacking, case_id),
        "missing_pictures": [] if frame.case.is_locked else queries.missing_pictures_in(whole),
        "questions": with_reasons(
            frame.case,
            questions_in(examination, findings, liver, weighed=bool(whole.review_organs)),
        )
        if examination is not None and not locked
        else [],
        "edited": [] if locked else edited_apart(findings),
        "wording": [] if locked else wording_questions(content, spelled_so()),
        "may_add_words": may_somewhere(request.user, Act.KEEP_OFFICE_TEXTS),
        "photograph_keys": queries.photograph_keys_in(whole),
        "drafts": drafts,
        "may_write": may_write,
        "addenda": addenda,
        "amended": queries.amended_passages(addenda),
        "written_before": queries.written_before(addenda, content),
        "places": kept.places if kept else {},
        "late": late_results(case_id, addenda) if frame.case.is_locked else [],
        "may_addend": may(request.user, Act.AMEND_SIGNED, frame.case),
        "submit_form": SubmitForm(
            actor=request.user,
            not_available=outside.not_available,
            reviewers=needs.reviewers_for(frame.case) if sends else [],
            auto_id="submit_%s",
            initial={
                "version": report.version if report else 0,
                "reviewer": needs.asked_before(drafts),
            },
        ),
        "statement": actions.AUTHORS_STATEMENT,
        "follows": said_before_signing(request.user) if sends else "",
    }


@require_http_methods(["GET", "POST"])
def report(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Show the report as it would read now; the pathologist writes its own words."""
    frame = case_frame(request.user, case_id, current="report")
    whole = queries.case_to_report_on(case_id)
    # The form writes into its instance, the page shows what stands.
    form = ReportForm(request.POST or None, instance=copy(getattr(whole, "report", None)))
    saved = submitted(request, form, actions.write_report, case_id=case_id)
    if saved:
        return answer_done(request, "The report's text is saved.", "review:report", case_id=case_id)
    context = _report_context(request, frame, whole)
    return answer_form(request, "review/report.html", context, form)


@require_POST
def submit(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Freeze a draft and send it to review."""
    frame = case_frame(request.user, case_id, current="report")
    form = SubmitForm(
        request.POST,
        actor=request.user,
        not_available=from_outside(case_id).not_available,
        reviewers=needs.reviewers_for(frame.case),
        auto_id="submit_%s",
    )
    sent = submitted(request, form, actions.submit_report, case_id=case_id)
    if sent:
        return answer_done(
            request,
            f"You signed draft {sent.number}; it is in peer review.",
            "review:review",
            case_id=case_id,
        )
    context = _report_context(request, frame) | {"submit_form": form}
    context["form"] = ReportForm(instance=context["report"])
    status = 409 if form.is_stale else 422
    return render(request, "review/report.html", context, status=status)


def _review_context(request: StaffRequest, frame: CaseFrame) -> dict[str, object]:
    drafts = queries.drafts_of(frame.case.pk)
    draft = drafts[0] if drafts else None
    decided = getattr(draft, "decision", None) if draft else None
    decision = decision_on(request.user, Act.REVIEW, frame.case)
    under_review = draft is not None and decided is None
    asked = decision.allowed and under_review
    examination = examination_to_question(frame.case) if under_review else None
    may_discuss = draft is not None and may(request.user, Act.DISCUSS_REVIEW, frame.case)
    # Only who may settle a comment is asked about it: reading needs no statement for it.
    wrote = parts_written_by(request.user.pk, frame.case.pk) if may_discuss else []
    own = why_no_reviewer(wrote) if asked else ""
    held = frame.is_held_back
    threads = {} if held else threads_in(drafts, person_id=request.user.pk, wrote=wrote)
    content = draft.content if draft else {}
    content = without_opinion(content) if held else content
    asked_of = needs.review_of(draft) if draft and under_review else None
    may_give = asked_of is not None and may(request.user, Act.ASSIGN, frame.case)
    may_sign = asked and not own and may(request.user, Act.SIGN_REVIEW, frame.case)
    photographs = queries.photograph_keys(frame.case.pk) if draft else {}
    unchanged = {
        comment.pk
        for earlier in drafts[1:]
        for comment in earlier.comments.all()
        # What is open is told beside its passage.
        if comment.is_resolved
        and reads_as_before(comment.passage, earlier.content, drafts[0].content)
    }
    draft_key = {"draft_id": draft.pk if draft else None}
    findings = findings_of(frame.case) if examination is not None else []
    questions: list[Question] = []
    if examination is not None:
        read_at, weighed = examination.liver_read_at, examination.weighed
        questions = questions_in(examination, findings, read_at, weighed=weighed)
    return {
        "frame": frame,
        "draft": draft,
        "content": content,
        "asked_of": asked_of,
        "may_give": may_give,
        "may_see_rules": may_somewhere(request.user, Act.REVIEW),
        "give_form": GiveForm(
            record=asked_of,
            reviewers=needs.reviewers_for(frame.case),
            auto_id="give_%s",
            initial={"draft_id": draft.pk, "reviewer": str(asked_of.reviewer_id or "")},
        )
        if draft and asked_of and may_give
        else None,
        "lacks": needs.lacking_for(draft, request.user) if draft and may_sign else None,
        "not_available": _not_available_in(draft) if under_review else [],
        "decided": decided,
        "drafts": drafts,
        "outside": outside_reviews_of(frame.case.pk)
        if decided is not None and decided.outcome == "outside"
        else [],
        "may_record_outside": under_review
        and not held
        and may(request.user, Act.RECORD_OUTSIDE, frame.case)
        and not (wrote if may_discuss else parts_written_by(request.user.pk, frame.case.pk)),
        "comments": threads,
        "whole": threads.get("", []),
        "weights": Weight.choices(),
        "may_be_about": offered(frame.case.pk, content, photographs) if draft and asked else [],
        "unchanged": unchanged,
        "questions": questions if held else with_reasons(frame.case, questions),
        "edited": edited_apart(findings) if under_review else [],
        "wording": wording_questions(content, spelled_so()) if draft and under_review else [],
        "may_add_words": may_somewhere(request.user, Act.KEEP_OFFICE_TEXTS),
        "under_review": under_review,
        "photograph_keys": photographs,
        "may_review": asked,
        "may_discuss": may_discuss,
        "may_sign": may_sign,
        "own": own,
        "statement": REVIEWED,
        "follows": said_before_signing(request.user) if may_sign else "",
        **_finishing(request, draft if asked else None, examination),
        "may_answer": may(request.user, Act.WRITE_REPORT, frame.case),
        "comment_form": CommentForm(auto_id="comment_%s", initial=draft_key),
        "return_form": ReturnForm(auto_id="return_%s", initial=draft_key),
        "sign_form": SignForm(
            actor=request.user,
            auto_id="sign_%s",
            initial={"draft_id": draft.pk, "sha256": draft.sha256} if draft else None,
        ),
        "answer_form": AnswerForm(auto_id="answer_%s"),
        "refused_form": None,
        "open_passage": request.GET.get("passage", ""),
    }


def _not_available_in(draft: Any) -> list[dict[str, object]]:
    """Return the passages of a draft that say what its author signed without."""
    return [
        passage
        for section in draft.content["sections"]
        if section["key"] == NOT_AVAILABLE
        for passage in section["passages"]
    ]


def _finishing(request: StaffRequest, draft: Any | None, examination: Any) -> dict[str, object]:
    """What author and supervisor may do where the office's rule asks for no review."""
    if draft is None:
        return {"may_finish": False}
    is_author = draft.created_by_id == request.user.pk
    key = {"draft_id": draft.pk, "sha256": draft.sha256}
    rule, why_not_waived = finishing.waiver_for(examination)
    return {
        "is_author": is_author,
        "may_finish": is_author or request.user.has_role(Role.SUPERVISOR),
        "waiver_rule": rule,
        "why_not_waived": why_not_waived if settings.REVIEW_WAIVED_FOR else "",
        "without_form": WithoutReviewForm(actor=request.user, auto_id="without_%s", initial=key),
    }


def review_page(
    request: StaffRequest, frame: CaseFrame, **refused: OfficeFormMixin
) -> HttpResponse:
    """Show the review, with the form of each name as it was refused."""
    context = _review_context(request, frame) | refused
    for form in refused.values():
        context["refused_form"] = form
        context["open_passage"] = form.data.get("passage", "")
        context["open_whole"] = bool(form.data.get("on"))
    return render(request, "review/review.html", context, status=422 if refused else 200)


@require_http_methods(["GET"])
def review(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Show the draft under review with its comments, and the earlier rounds."""
    return review_page(request, case_frame(request.user, case_id, current="review"))


def to_place(case_id: UUID, place: str) -> HttpResponse:
    """Go back to a place of the review's page."""
    back = redirect("review:review", case_id=case_id)
    back["Location"] += f"#{place}"
    return back


@require_POST
def comment(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Comment on a passage."""
    form = CommentForm(request.POST, auto_id="comment_%s")
    saved = submitted(request, form, actions.comment_on_passage, case_id=case_id)
    if saved:
        messages.success(request, "The comment is added.")
        return to_place(case_id, f"comment-{saved.pk}")
    frame = case_frame(request.user, case_id, current="review")
    return review_page(request, frame, comment_form=form)


@require_POST
def answer(request: StaffRequest, case_id: UUID, comment_id: UUID) -> HttpResponse:
    """Answer a comment."""
    form = AnswerForm(request.POST)
    saved = submitted(request, form, actions.answer_comment, case_id=case_id, comment_id=comment_id)
    if saved:
        messages.success(request, "The comment is answered.")
        return to_place(case_id, f"comment-{saved.pk}")
    frame = case_frame(request.user, case_id, current="review")
    return review_page(request, frame, answer_form=form)


def _decide(
    request: StaffRequest, case_id: UUID, name: str, form: OfficeFormMixin,
    action: Callable[..., Any], done: str,
) -> HttpResponse:  # fmt: skip
    """Decide on the draft under review, or show its page with the form called `name` refused."""
    if submitted(request, form, action, case_id=case_id):
        return answer_done(request, done, "review:review", case_id=case_id)
    frame = case_frame(request.user, case_id, current="review")
    return review_page(request, frame, **{name: form})


@require_POST
def return_report(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Send the draft back."""
    form = ReturnForm(request.POST, auto_id="return_%s")
    done = "The draft went back to its author."
    return _decide(request, case_id, "return_form", form, actions.return_report, done)


@require_POST
def sign(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Sign the draft off and lock the case file."""
    form = SignForm(request.POST, actor=request.user, auto_id="sign_%s")
    done = "Signed. The case file is locked."
    return _decide(request, case_id, "sign_form", form, actions.sign_off, done)


@require_POST
def finish_without_review(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Finish without peer review by the office's rule, and lock the case file."""
    form = WithoutReviewForm(request.POST, actor=request.user, auto_id="without_%s")
    done = "Finished without peer review. The case file is locked."
    return _decide(request, case_id, "without_form", form, finishing.finish_without_review, done)


@require_http_methods(["GET", "POST"])
def addenda(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Show addenda and amendments; add one to a signed case."""
    frame = case_frame(request.user, case_id, current="report")
    form = AddendumForm(
        request.POST or None,
        actor=request.user,
        results=results_to_name(case_id),
        initial={"rests_on": request.GET.get("result", "")},
    )
    saved = submitted(request, form, actions.add_addendum, case_id=case_id)
    if saved:
        return answer_done(
            request,
            f"{saved.get_kind_display().capitalize()} added.",
            "review:addenda",
            case_id=case_id,
        )
    addend = decision_on(request.user, Act.AMEND_SIGNED, frame.case)
    added = queries.addenda_of(case_id)
    follows = said_before_signing(request.user) if addend.allowed else ""
    context = {
        "frame": frame,
        "addenda": added,
        "late": late_results(case_id, added) if frame.case.is_locked else [],
        "addend": addend,
        "statement": ADDED,
        "follows": follows,
        "by_two": settings.SECOND_SIGNATURE,
        "specimens": specimens_of(frame.case) if addend.allowed else [],
    }
    return answer_form(request, "review/addenda.html", context, form)
