"""Pages of earlier statements: the list, one read page by page, and side by side."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import (
    require_GET,
    require_http_methods,
    require_POST,
    require_safe,
)

from cases.access import Act, case_for, decision_on, may
from cases.course import CaseFrame, case_frame
from cases.models import Case
from cases.statements import actions, queries, reading
from cases.statements.compared import side_by_side
from cases.statements.forms import NewStatementForm, PassageForm, StatementForm
from cases.statements.models import Statement, StatementPage, StatementPassage
from cases.statements.rules import Line
from cases.views.confirming import confirms
from cases.views.parts import part_of
from evidence.items.pages import Withdrawal
from evidence.store.serving import hand_over
from me_office.accounts.requests import StaffRequest
from me_office.jobs.forms import tried_again
from me_office.shell.forms import answer_done, answer_form, submitted

STEP = "court"
KEEP = Act.KEEP_STATEMENTS


@dataclass(frozen=True)
class LineShown:
    """A line of a page, and the passages that begin on it or cover it."""

    number: int
    words: str
    place: str
    begins: list[StatementPassage]
    covered: bool


@require_GET
def statements(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Show the case's statements."""
    frame = case_frame(request.user, case_id, current=STEP)
    decision = decision_on(request.user, KEEP, frame.case)
    context = {"frame": frame, "may_keep": decision.allowed, "why_not": decision.why}
    return render(request, "statements/statements.html", context | _listed(frame.case))


@part_of("statements:statements")
def listing(request: StaffRequest, case: Case) -> HttpResponse:
    """Answer with the list as it stands, for the page that waits for a file to be read."""
    context = {"may_keep": may(request.user, KEEP, case), **_listed(case)}
    return render(request, "statements/_statements.html", context)


def _listed(case: Case) -> dict[str, object]:
    rows = queries.statements_of(case)
    return {"case_id": case.pk, "statements": rows, "under_way": queries.is_waiting(rows)}


@require_http_methods(["GET", "POST"])
def add_statement(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Add a statement as a PDF or as text."""
    frame = case_frame(request.user, case_id, current=STEP, act=KEEP)
    form = NewStatementForm(request.POST or None, request.FILES or None)
    saved = submitted(request, form, reading.add, case_id=case_id)
    if saved and saved.is_read:
        return answer_done(request, f"Added: {saved}.", _page_of(saved))
    if saved:
        messages.info(request, f"Added: {saved}. Its pages are being read.")
        return redirect("statements:statements", case_id=case_id)
    return answer_form(request, "statements/add.html", {"frame": frame}, form)


@require_http_methods(["GET", "POST"])
def change_statement(request: StaffRequest, case_id: UUID, statement_id: UUID) -> HttpResponse:
    """Correct what is said of a statement."""
    frame = case_frame(request.user, case_id, current=STEP, act=KEEP)
    shown = queries.statement_of(frame.case, statement_id)
    form = StatementForm(
        request.POST or None, instance=queries.statement_of(frame.case, statement_id)
    )
    saved = submitted(
        request, form, actions.change_statement, case_id=case_id, statement_id=statement_id
    )
    if saved:
        return answer_done(request, f"Saved: {saved}.", _page_of(shown))
    context = {"frame": frame, "statement": shown, "back_url": _page_of(shown)}
    return answer_form(request, "statements/change.html", context, form)


@confirms(STEP, KEEP, queries.statement_of, actions.void_statement)
def withdraw_statement(shown: Statement) -> Withdrawal:
    """Withdraw a statement."""
    return Withdrawal(
        "Withdraw an earlier statement",
        f"{shown} and the passages marked in it are no longer shown. The file, the passages and "
        "your reason stay in the history.",
        "Withdraw the statement",
        back=_page_of(shown),
        then=reverse("statements:statements", kwargs={"case_id": shown.case_id}),
        done="The statement is withdrawn.",
    )


@require_POST
def retry(request: StaffRequest, case_id: UUID, statement_id: UUID) -> HttpResponse:
    """Try again to read a file that was not read, or dismiss it."""
    retry, leave = actions.retry_statement_reading, actions.abandon_statement
    tried_again(request, retry, leave, case_id=case_id, statement_id=statement_id)
    return redirect("statements:statements", case_id=case_id)


@require_safe
def statement_file(request: StaffRequest, case_id: UUID, statement_id: UUID) -> HttpResponseBase:
    """Send the file as it came, or a part of it; that it was fetched is noted."""
    case = case_for(request.user, Act.SEE, case_id)
    shown = queries.statement_of(case, statement_id)
    ending = "pdf" if shown.is_pdf else "txt"
    return hand_over(
        request,
        shown.file,
        case_id=case.pk,
        record_id=shown.pk,
        what="statement",
        filename=f"{shown.kind}-{shown.given_on.isoformat()}-{shown.file.sha256[:12]}.{ending}",
        media_type="" if shown.is_pdf else "text/plain; charset=utf-8",
    )


@require_http_methods(["GET", "POST"])
def statement(
    request: StaffRequest, case_id: UUID, statement_id: UUID, number: int | None = None
) -> HttpResponse:
    """Read one page of a statement, and mark lines of it."""
    posting = request.method == "POST"
    frame = case_frame(request.user, case_id, current=STEP, act=KEEP if posting else Act.SEE)
    shown = queries.statement_of(frame.case, statement_id)
    if not shown.is_read:
        return redirect("statements:statements", case_id=case_id)
    numbers = queries.page_numbers(shown)
    number = _number_asked(request, numbers, number)
    page = queries.page_of(shown, number)
    may_keep = may(request.user, KEEP, frame.case)
    form = PassageForm(request.POST or None, case=frame.case) if may_keep else None
    if form is not None:
        saved = submitted(
            request, form, actions.mark_passage, case_id=case_id, statement_id=statement_id
        )
        if saved:
            return answer_done(
                request,
                f"Marked: p. {saved.place}.",
                f"{_page_of(shown, saved.from_page)}#l-{saved.from_line}",
            )
    context = {
        **_reading(frame, shown, page, numbers),
        "may_keep": may_keep,
    }
    if form is None:
        return render(request, "statements/statement.html", context)
    return answer_form(request, "statements/statement.html", context, form)


def _number_asked(request: StaffRequest, numbers: Sequence[int], number: int | None) -> int:
    asked = request.GET.get("page", "")
    if asked.isdigit() and int(asked) in numbers:
        return int(asked)
    return numbers[0] if number is None else number


def _reading(
    frame: CaseFrame, shown: Statement, page: StatementPage, numbers: Sequence[int]
) -> dict[str, Any]:
    passages = queries.passages_of(frame.case, shown.pk)
    at = numbers.index(page.number)
    return {
        "frame": frame,
        "statement": shown,
        "page": page,
        "numbers": numbers,
        "before": numbers[at - 1] if at else None,
        "after": numbers[at + 1] if at + 1 < len(numbers) else None,
        "lines": [_line(page, number, words, passages) for number, words in page.lines],
        "passages": passages,
    }


def _line(
    page: StatementPage, number: int, words: str, passages: Sequence[StatementPassage]
) -> LineShown:
    line = Line(page.number, number)
    return LineShown(
        number,
        words,
        f"{page.number}:{number}",
        [one for one in passages if one.place.first == line],
        any(one.place.first <= line <= one.place.last for one in passages),
    )


def _page_of(shown: Statement, number: int | None = None) -> str:
    keys: dict[str, Any] = {"case_id": shown.case_id, "statement_id": shown.pk}
    if number is None:
        return reverse("statements:statement", kwargs=keys)
    return reverse("statements:page", kwargs={**keys, "number": number})


@require_http_methods(["GET", "POST"])
def link_passage(request: StaffRequest, case_id: UUID, passage_id: UUID) -> HttpResponse:
    """Say anew what a passage is about."""
    frame = case_frame(request.user, case_id, current=STEP, act=KEEP)
    passage = queries.passage_of(frame.case, passage_id)
    form = PassageForm(request.POST or None, case=frame.case, passage=passage)
    back = _page_of(passage.statement, passage.from_page)
    saved = submitted(request, form, actions.link_passage, case_id=case_id, passage_id=passage_id)
    if saved:
        return answer_done(request, f"Saved: p. {passage.place}.", f"{back}#l-{passage.from_line}")
    context = {"frame": frame, "passage": passage, "back_url": back}
    return answer_form(request, "statements/link.html", context, form)


@confirms(STEP, KEEP, queries.passage_of, actions.void_passage)
def withdraw_passage(passage: StatementPassage) -> Withdrawal:
    """Withdraw a passage that was marked by mistake."""
    return Withdrawal(
        "Withdraw a marked passage",
        f"Lines {passage.place} of {passage.statement} are no longer marked. The statement stays "
        "as it is.",
        "Withdraw the passage",
        back=_page_of(passage.statement, passage.from_page),
        done="The passage is withdrawn.",
    )


@require_GET
def compare(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Show side by side what the report says, what was said, and what the record holds now."""
    frame = case_frame(request.user, case_id, current=STEP)
    context = {"frame": frame, "beside": side_by_side(frame.case)}
    return render(request, "statements/compare.html", context)
