"""Pages of the reviewer's own opinion, of the review sheet, and of the rules of review."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_http_methods, require_POST

from cases.access import Act, may, may_somewhere, require_role
from cases.course import CaseFrame, case_frame
from cases.review import needs, peer_actions
from cases.review.authorship import parts_written_by
from cases.review.models import ReportDraft, ReviewPolicy, ReviewSeed, ReviewSheet
from cases.review.needs_rules import QUESTIONS
from cases.review.peer_forms import (
    AgreeForm,
    GiveForm,
    OpinionForm,
    PolicyForm,
    SeedForm,
    SettleForm,
    SheetForm,
)
from cases.review.rules import why_no_reviewer
from cases.review.views import review_page
from me_office.accounts.requests import StaffRequest
from me_office.audit.errors import NotKnown
from me_office.audit.queries import record_history
from me_office.shell.forms import OfficeFormMixin, answer_done, answer_form, submitted


def _newest(frame: CaseFrame) -> ReportDraft:
    drafts = ReportDraft.objects.filter(case=frame.case).select_related("created_by", "decision")
    found: ReportDraft | None = drafts.order_by("-number").first()
    if found is None:
        raise NotKnown("No draft has been sent for review.")
    return found


def _opinion_page(
    request: StaffRequest, frame: CaseFrame, draft: ReportDraft, **refused: OfficeFormMixin
) -> HttpResponse:
    opinions = [] if frame.is_held_back else needs.opinions_of(frame.case.pk)
    own = next((one for one in opinions if one.created_by_id == request.user.pk), None)
    asked = needs.review_of(draft)
    may_sign = may(request.user, Act.SIGN_REVIEW, frame.case)
    wrote = parts_written_by(request.user.pk, frame.case.pk) if may_sign else []
    states = [(one, needs.opinion_state(one, draft)) for one in opinions]
    context = {
        "frame": frame,
        "draft": draft,
        "asked": asked,
        "grounds": asked.opinion_grounds if asked and not frame.is_held_back else [],
        "opinions": states,
        "own": own,
        "to_compare": may_sign
        and own
        and not needs.opinion_state(own, draft).compared
        and own.is_own,
        "author_cause": "" if frame.is_held_back else peer_actions.authors_cause(draft),
        "author_manner": frame.facts.get("manner_words", ""),
        "may_record": may_sign and not wrote and own is None and bool(asked and asked.asks_opinion),
        "why_not": why_no_reviewer(wrote),
        "may_settle": may(request.user, Act.DISCUSS_REVIEW, frame.case),
        "was_open": "" if frame.is_held_back else peer_actions.WAS_OPEN,
        "form": OpinionForm(
            initial={"draft_id": draft.pk, "kind": "own" if frame.is_held_back else "knows"}
        ),
        "agree_form": AgreeForm(record=own, auto_id="agree_%s"),
        "settle_form": SettleForm(auto_id="settle_%s"),
        **refused,
    }
    stale = any(form.is_stale for form in refused.values())
    status = 409 if stale else 422 if refused else 200
    return render(request, "review/opinion.html", context, status=status)


@require_http_methods(["GET", "POST"])
def opinion(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Record an own opinion before the author's is shown; afterward both side by side."""
    frame = case_frame(request.user, case_id, current="review")
    draft = _newest(frame)
    if request.method != "POST":
        return _opinion_page(request, frame, draft)
    form = OpinionForm(request.POST)
    if submitted(request, form, peer_actions.record_opinion, case_id=case_id):
        return answer_done(
            request,
            "Your opinion is recorded. The author’s is shown beside it.",
            "review:opinion",
            case_id=case_id,
        )
    return _opinion_page(request, frame, draft, form=form)


@require_POST
def agree(request: StaffRequest, case_id: UUID, opinion_id: UUID) -> HttpResponse:
    """Say whether the author's cause is one's own."""
    form = AgreeForm(request.POST, auto_id="agree_%s")
    known = {"case_id": case_id, "opinion_id": opinion_id}
    if submitted(request, form, peer_actions.compare_opinion, **known):
        return answer_done(request, "The comparison is kept.", "review:opinion", case_id=case_id)
    frame = case_frame(request.user, case_id, current="review")
    return _opinion_page(request, frame, _newest(frame), agree_form=form)


@require_POST
def settle(request: StaffRequest, case_id: UUID, opinion_id: UUID) -> HttpResponse:
    """Record how a disagreement was settled."""
    form = SettleForm(request.POST, auto_id="settle_%s")
    known = {"case_id": case_id, "opinion_id": opinion_id}
    if submitted(request, form, peer_actions.settle_disagreement, **known):
        return answer_done(
            request,
            "It is recorded how the disagreement was settled.",
            "review:opinion",
            case_id=case_id,
        )
    frame = case_frame(request.user, case_id, current="review")
    return _opinion_page(request, frame, _newest(frame), settle_form=form)


@require_http_methods(["GET", "POST"])
def sheet(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Answer the questions of the office on a draft; read what other reviewers answered."""
    frame = case_frame(request.user, case_id, current="review")
    draft = _newest(frame)
    asked = needs.review_of(draft)
    questions = asked.questions if asked else []
    rows = ReviewSheet.objects.active().filter(case=frame.case)
    sheets = list(rows.select_related("created_by", "draft").order_by("-created_at", "-id"))
    mine = [one for one in sheets if one.created_by_id == request.user.pk]
    own = next((one for one in mine if one.draft_id == draft.pk), None)
    kept = mine[0].answers if mine else []
    initial = {"draft_id": draft.pk}
    form = SheetForm(
        request.POST or None, questions=questions, kept=kept, record=own, initial=initial
    )
    if submitted(request, form, peer_actions.fill_sheet, case_id=case_id):
        return answer_done(request, "The sheet is saved.", "review:review", case_id=case_id)
    may_sign = may(request.user, Act.SIGN_REVIEW, frame.case)
    wrote = parts_written_by(request.user.pk, frame.case.pk) if may_sign else []
    context = {
        "frame": frame,
        "draft": draft,
        "asked": asked,
        "grounds": asked.sheet_grounds if asked and not frame.is_held_back else [],
        "may_fill": may_sign and not wrote and bool(questions),
        "why_not": why_no_reviewer(wrote),
        "others": [] if frame.is_held_back else [one for one in sheets if one is not own],
        "carried": own is None and bool(kept),
    }
    return answer_form(request, "review/sheet.html", context, form)


@require_POST
def give(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Give the review to somebody."""
    frame = case_frame(request.user, case_id, current="review")
    form = GiveForm(request.POST, reviewers=needs.reviewers_for(frame.case), auto_id="give_%s")
    saved = submitted(request, form, peer_actions.give_review, case_id=case_id)
    if saved:
        who = f"given to {saved.reviewer}" if saved.reviewer else "open to whoever takes it up"
        return answer_done(request, f"The review is {who}.", "review:review", case_id=case_id)
    return review_page(request, frame, give_form=form)


def _rules_context(request: StaffRequest) -> dict[str, object]:
    rules = needs.policy()
    table, saved = ReviewPolicy._meta.db_table, not rules._state.adding
    return {
        "rules": rules,
        "standard": [one.text for one in QUESTIONS],
        "questions": needs.questions_of(rules),
        "seeds": ReviewSeed.objects.active().select_related("created_by").order_by("-created_at"),
        "acts": record_history(table, str(rules.pk)) if saved else [],
        "may_change": may_somewhere(request.user, Act.KEEP_REVIEW_RULES),
        "seed_form": SeedForm(auto_id="seed_%s"),
    }


@require_http_methods(["GET", "POST"])
def rules(request: StaffRequest) -> HttpResponse:
    """Show which cases need what review; a supervisor changes it, with the reason."""
    require_role(request.user, Act.REVIEW, called="see the rules of review")
    form = PolicyForm(request.POST or None, instance=needs.policy())
    if submitted(request, form, peer_actions.change_review_policy):
        return answer_done(
            request, "The rules of review are saved; they hold for drafts sent now.", "review:rules"
        )
    return answer_form(request, "review/rules.html", _rules_context(request), form)


@require_POST
def seed(request: StaffRequest) -> HttpResponse:
    """Draw a new seed."""
    form = SeedForm(request.POST, auto_id="seed_%s")
    if submitted(request, form, peer_actions.draw_seed):
        return answer_done(
            request, "A new seed is drawn, for cases that begin from now on.", "review:rules"
        )
    context = {
        **_rules_context(request),
        "seed_form": form,
        "form": PolicyForm(instance=needs.policy()),
    }
    return render(request, "review/rules.html", context, status=422)
