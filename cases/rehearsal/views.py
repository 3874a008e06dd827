"""Pages of rehearsal: a set, one exhibit question by question, the office's own questions."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from cases.access import Act
from cases.course import case_frame
from cases.exhibits.models import Exhibit, ExhibitSet
from cases.exhibits.queries import exhibit_of, exhibits_of, set_of
from cases.models import Case
from cases.rehearsal import actions, asking, queries
from cases.rehearsal.forms import MarkForm, QuestionForm
from cases.rehearsal.models import OwnQuestion
from cases.rehearsal.rules import Standing
from cases.views.confirming import confirms
from me_office.accounts.requests import StaffRequest
from me_office.audit.errors import Invalid
from me_office.shell.confirming import Confirmation
from me_office.shell.forms import answer_done, answer_form, submitted

STEP = "court"
NOT_YET = Standing()


@require_GET
def rehearsal(request: StaffRequest, case_id: UUID, set_id: UUID) -> HttpResponse:
    """Show a set's exhibits, each with how far the witness is."""
    frame = case_frame(request.user, case_id, current=STEP, act=Act.REHEARSE)
    shown = set_of(frame.case, set_id)
    so_far = queries.standings_of(request.user, shown)
    own = queries.own_counts(shown)
    rows = [(one, so_far.get(one.pk, NOT_YET), own.get(one.pk, 0)) for one in exhibits_of(shown)]
    context = {
        "frame": frame,
        "exhibit_set": shown,
        "rows": rows,
        "whole": so_far.get(None, NOT_YET),
        "whole_own": own.get(None, 0),
        "again": [exhibit for exhibit, there, _ in rows if there.again],
    }
    return render(request, "rehearsal/rehearsal.html", context)


@require_GET
def rehearse(
    request: StaffRequest, case_id: UUID, set_id: UUID, exhibit_id: UUID | None = None
) -> HttpResponse:
    """Ask what is asked on an exhibit, or on the set as a whole, one question at a time."""
    frame = case_frame(request.user, case_id, current=STEP, act=Act.REHEARSE)
    shown = set_of(frame.case, set_id)
    exhibit = exhibit_of(frame.case, set_id, exhibit_id) if exhibit_id else None
    page, own = _page_of(case_id, set_id, exhibit_id), queries.own_questions(shown, exhibit)
    context = {
        "frame": frame,
        "exhibit_set": shown,
        "exhibit": exhibit,
        "rehearsal": asking.asked_on(request.user, frame.case, shown, exhibit, own),
        "own": own,
        "page": page,
    }
    return render(request, "rehearsal/rehearse.html", context)


@require_POST
def mark(
    request: StaffRequest, case_id: UUID, set_id: UUID, exhibit_id: UUID | None = None
) -> HttpResponse:
    """Note how the person's own answer came; sent by the page's script."""
    form = MarkForm(request.POST)
    if not form.is_valid():
        raise Invalid({name: [*map(str, said)] for name, said in form.errors.items()})
    actions.mark_answer(
        request.user,
        case_id=case_id,
        set_id=set_id,
        exhibit_id=exhibit_id,
        record_id=form.record_id,
        **form.entry,
    )
    return HttpResponse(status=204)


@require_http_methods(["GET", "POST"])
def add_question(
    request: StaffRequest, case_id: UUID, set_id: UUID, exhibit_id: UUID | None = None
) -> HttpResponse:
    """Add a question that is expected."""
    frame = case_frame(request.user, case_id, current=STEP, act=Act.REHEARSE)
    shown = set_of(frame.case, set_id)
    exhibit = exhibit_of(frame.case, set_id, exhibit_id) if exhibit_id else None
    form = QuestionForm(request.POST or None)
    keys = {"case_id": case_id, "set_id": set_id, "exhibit_id": exhibit_id}
    back = _page_of(case_id, set_id, exhibit_id)
    if submitted(request, form, actions.add_own_question, **keys):
        return answer_done(request, "The question is added.", back)
    context = {"frame": frame, "exhibit_set": shown, "exhibit": exhibit, "back": back}
    return answer_form(request, "rehearsal/question_form.html", context, form)


@require_http_methods(["GET", "POST"])
def change_question(request: StaffRequest, case_id: UUID, question_id: UUID) -> HttpResponse:
    """Change an own question or its answer."""
    frame = case_frame(request.user, case_id, current=STEP, act=Act.REHEARSE)
    question, shown, exhibit = _own(frame.case, question_id)
    stored = queries.own_question_of(frame.case, question_id)
    form = QuestionForm(request.POST or None, instance=stored)
    back = _page_of(case_id, shown.pk, question.exhibit_id)
    keys = {"case_id": case_id, "question_id": question_id}
    if submitted(request, form, actions.change_own_question, **keys):
        return answer_done(request, "The question is changed.", back)
    context = {"frame": frame, "exhibit_set": shown, "exhibit": exhibit, "back": back}
    return answer_form(
        request, "rehearsal/question_form.html", {**context, "record": question}, form
    )


def _own(case: Case, question_id: UUID) -> tuple[OwnQuestion, ExhibitSet, Exhibit | None]:
    question = queries.own_question_of(case, question_id)
    shown = set_of(case, question.exhibit_set_id)
    if question.exhibit_id is None:
        return question, shown, None
    return question, shown, exhibit_of(case, shown.pk, question.exhibit_id)


@confirms(STEP, Act.REHEARSE, lambda case, key: _own(case, key)[0], actions.withdraw_own_question)
def withdraw_question(question: OwnQuestion) -> Confirmation:
    """Withdraw an own question, with the reason."""
    return Confirmation(
        "Withdraw this question",
        "It is no longer asked. It stays among the work notes of the office.",
        "Withdraw the question",
        back=_page_of(question.case_id, question.exhibit_set_id, question.exhibit_id),
        done="The question is withdrawn.",
        in_step=False,
    )


def _page_of(case_id: UUID, set_id: UUID, exhibit_id: UUID | None) -> str:
    keys = {"case_id": case_id, "set_id": set_id}
    if exhibit_id is None:
        return reverse("rehearsal:whole", kwargs=keys)
    return reverse("rehearsal:exhibit", kwargs={**keys, "exhibit_id": exhibit_id})
