"""Pages of letters: written, made, sent, withdrawn."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from cases.access import Act, may
from cases.course import CaseFrame, case_frame
from cases.letters import actions, queries
from cases.letters.court_values import address_of
from cases.letters.forms import LetterForm, MakeForm, SendingForm
from cases.letters.merging import gaps_in
from cases.letters.models import Letter
from cases.letters.printing import file_name, print_letter
from cases.letters.rules import NOT_CALLED_BACK, LetterKind
from cases.letters.values import values_for
from cases.views.confirming import confirms
from evidence.store.serving import send_file
from me_office.accounts.requests import StaffRequest
from me_office.audit.actions import note_access
from me_office.audit.errors import NotKnown, known_of_office
from me_office.mailing import can_mail
from me_office.shell.confirming import Confirmation, confirming
from me_office.shell.forms import answer_done, answer_form, submitted
from me_office.shell.templatetags.office import day

STEP = "court"
HANDLE = Act.HANDLE_REQUEST


def gaps_of(letter: Letter) -> list[str]:
    """Return what has to be filled in or struck before the letter is made."""
    texts = (letter.to_name, letter.address, letter.subject, letter.body, letter.enclosures)
    return list(dict.fromkeys(gap for text in texts for gap in gaps_in(text)))


@require_GET
def letters(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Show the letters of the case's requests, the latest first."""
    frame = case_frame(request.user, case_id, current=STEP)
    context = {
        "frame": frame,
        "rows": queries.letters_of(frame.case),
        "requests": queries.requests_of(frame.case),
        "may_write": may(request.user, HANDLE, frame.case),
    }
    return render(request, "letters/letters.html", context)


@require_GET
def choose(request: StaffRequest, case_id: UUID, request_id: UUID) -> HttpResponse:
    """Show what a letter may be for, and from which text it begins."""
    frame = _frame(request, case_id)
    context = {
        "frame": frame,
        "asked": queries.request_of(frame.case, request_id),
        "offers": queries.offers(),
    }
    return render(request, "letters/choose.html", context)


@require_http_methods(["GET", "POST"])
def write(
    request: StaffRequest,
    case_id: UUID,
    request_id: UUID,
    kind: str,
    template_id: UUID | None = None,
) -> HttpResponse:
    """Begin a letter with its text filled in."""
    frame = _frame(request, case_id)
    if kind not in {one.value for one in LetterKind}:
        raise NotKnown("There is no such kind of letter.")
    asked = queries.request_of(frame.case, request_id)
    template = queries.template_of(template_id) if template_id else None
    begun = queries.begun_from(LetterKind(kind), template, values_for(request.user, asked))
    to_name, address = address_of(asked)
    initial = {
        "to_name": to_name,
        "address": address,
        "dated_on": timezone.localdate(),
        "subject": begun.subject,
        "body": begun.body,
        "signer": request.user.printed_name,
    }
    form = LetterForm(request.POST or None, initial=initial)
    saved = submitted(
        request, form, actions.write_letter,
        case_id=case_id, request_id=request_id, kind=kind, template_id=template_id,
    )  # fmt: skip
    if saved:
        return answer_done(
            request, f"Draft saved: {saved}.", "letters:letter",
            case_id=case_id, letter_id=saved.pk,
        )  # fmt: skip
    context = {
        "frame": frame, "asked": asked, "words": LetterKind(kind).words, "begun": begun,
        "gaps": list(dict.fromkeys([*gaps_in(begun.subject), *gaps_in(begun.body)])),
    }  # fmt: skip
    return answer_form(request, "letters/write.html", context, form)


@require_http_methods(["GET", "POST"])
def letter(request: StaffRequest, case_id: UUID, letter_id: UUID) -> HttpResponse:
    """Show a letter: a draft to be changed, a made one with how it was sent."""
    frame = case_frame(request.user, case_id, current=STEP)
    shown = queries.letter_of(frame.case, letter_id)
    may_write = may(request.user, HANDLE, frame.case)
    context: dict[str, Any] = {"frame": frame, "letter": shown, "may_write": may_write}
    context["gaps"] = gaps_of(shown) if not shown.is_made else []
    if shown.is_made or shown.is_voided or not may_write:
        return render(request, "letters/letter.html", context)
    form = LetterForm(request.POST or None, instance=queries.letter_of(frame.case, letter_id))
    saved = submitted(request, form, actions.change_letter, case_id=case_id, letter_id=letter_id)
    if saved:
        return answer_done(
            request, "Draft saved.", "letters:letter", case_id=case_id, letter_id=letter_id
        )
    return answer_form(request, "letters/draft.html", context, form)


@require_GET
def preview(request: StaffRequest, case_id: UUID, letter_id: UUID) -> HttpResponse:
    """Print a draft as it stands, marked as a draft."""
    frame = case_frame(request.user, case_id, current=STEP)
    shown = queries.letter_of(frame.case, letter_id)
    if shown.is_made:
        return redirect("letters:pdf", case_id=case_id, letter_id=letter_id)
    printed = print_letter(shown, at=shown.changed_at, draft=True)
    headers = {"Content-Disposition": f'inline; filename="draft-{file_name(shown)}"'}
    return HttpResponse(printed.pdf, content_type="application/pdf", headers=headers)


@require_GET
def pdf(request: StaffRequest, case_id: UUID, letter_id: UUID) -> HttpResponseBase:
    """Send the kept PDF of a made letter."""
    frame = case_frame(request.user, case_id, current=STEP)
    shown = queries.letter_of(frame.case, letter_id)
    if shown.file is None:
        raise NotKnown("The letter is not made yet.")
    note_access(request.user, case_id=case_id, what="letter", record_id=letter_id)
    return send_file(
        request, shown.file, filename=file_name(shown), as_attachment=False,
        media_type="application/pdf",
    )  # fmt: skip


@require_http_methods(["GET", "POST"])
def make(request: StaffRequest, case_id: UUID, letter_id: UUID) -> HttpResponse:
    """Make the letter: from then on it never changes."""
    frame = _frame(request, case_id)
    shown = queries.letter_of(frame.case, letter_id)
    form = MakeForm(request.POST or None, record=shown)
    saved = submitted(request, form, actions.make_letter, case_id=case_id, letter_id=letter_id)
    if saved:
        return answer_done(
            request, f"{saved} is made: {saved.pages} page{'s' if saved.pages != 1 else ''}.",
            "letters:letter", case_id=case_id, letter_id=letter_id,
        )  # fmt: skip
    context = {"frame": frame, "letter": shown, "gaps": gaps_of(shown)}
    return answer_form(request, "letters/make.html", context, form)


@require_http_methods(["GET", "POST"])
def send(request: StaffRequest, case_id: UUID, letter_id: UUID) -> HttpResponse:
    """Record how a letter was sent, or have it mailed."""
    frame = _frame(request, case_id)
    shown = queries.letter_of(frame.case, letter_id)
    initial = {"to_name": shown.to_name, "way": None, "after": queries.last_sending(shown)}
    form = SendingForm(request.POST or None, initial=initial)
    saved = submitted(
        request, form, actions.record_letter_sent, case_id=case_id, letter_id=letter_id
    )
    if saved:
        words = "It goes out within a minute." if saved.waits else f"Recorded: {saved}."
        return answer_done(request, words, "letters:letter", case_id=case_id, letter_id=letter_id)
    context = {"frame": frame, "letter": shown, "can_mail": can_mail()}
    return answer_form(request, "letters/send.html", context, form)


def _of(letter: Letter) -> dict[str, Any]:
    """Name a letter above what is withdrawn of it, and lead back to it."""
    kind, to = letter.get_kind_display(), letter.to_name
    return {
        "intro": f"Letter {letter.number}, {kind} to {to}, {day(letter.dated_on)}.",
        "back": reverse("letters:letter", args=[letter.case_id, letter.pk]),
    }


@confirms(STEP, HANDLE, queries.letter_of, actions.withdraw_letter, key="record_id")
def withdraw(letter: Letter) -> Confirmation:
    """Withdraw a letter, with the reason."""
    after: dict[str, Any] = {
        "done": f"Withdrawn: {letter}.",
        "then": reverse("letters:letters", args=[letter.case_id]),
    }
    if letter.is_made:
        return Confirmation(
            "Withdraw a letter", NOT_CALLED_BACK, "Withdraw the letter", **_of(letter), **after
        )
    return Confirmation(
        "Discard a draft",
        "The draft is discarded; it stays in the history with your reason.",
        "Discard the draft",
        **_of(letter),
        **after,
    )


@require_http_methods(["GET", "POST"])
def withdraw_sent(
    request: StaffRequest, case_id: UUID, letter_id: UUID, sending_id: UUID
) -> HttpResponse:
    """Withdraw what was recorded of a letter's sending, with the reason."""
    frame = _frame(request, case_id)
    shown = queries.letter_of(frame.case, letter_id)
    found = known_of_office(
        next((one for one in shown.sendings.all() if one.pk == sending_id), None), "record"
    )
    said = Confirmation(
        "Withdraw a record of sending",
        f"“{found}” stays here with your reason and no longer counts. A mail that has not gone "
        "out is not sent.",
        "Withdraw the record",
        done="Withdrawn.",
        **_of(shown),
    )
    act = actions.withdraw_letter_sent
    return confirming(request, found, act, said, frame=frame, record_id=sending_id)


def _frame(request: StaffRequest, case_id: UUID) -> CaseFrame:
    return case_frame(request.user, case_id, current=STEP, act=HANDLE)
