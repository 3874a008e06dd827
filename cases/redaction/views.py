"""Pages of redacting documents: the list, marking page by page, finding words, copies, reasons."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any
from uuid import UUID

from django.http import Http404, HttpResponse, HttpResponseBase, JsonResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import (
    require_GET,
    require_http_methods,
    require_POST,
    require_safe,
)

from cases.access import Act, case_for, decision_on, may, may_somewhere, require_role
from cases.course import case_frame
from cases.court.queries import requests_of
from cases.models import Case
from cases.redaction import actions, preparing, queries, reading
from cases.redaction.forms import (
    CopyForm,
    DocumentForm,
    FindForm,
    FoundForm,
    LeaveForm,
    MarkForm,
    OpenForm,
    ReasonForm,
    ReasonWithdrawForm,
    TakeBackForm,
)
from cases.redaction.models import DocumentRedaction, RedactionMark
from cases.redaction.sources import sources_in
from cases.views.confirming import confirms
from cases.views.parts import part_of
from evidence.store.serving import hand_over
from me_office.accounts.requests import StaffRequest
from me_office.audit.actions import note_access
from me_office.audit.errors import Refused
from me_office.jobs.forms import tried_again
from me_office.shell.confirming import Confirmation, confirming
from me_office.shell.forms import answer_done, answer_form, submitted

STEP = "court"
REDACT = Act.REDACT_DOCUMENTS
KEEP_LIST = Act.KEEP_CLERK_LISTS
# A page on the screen; a narrow one is scaled down by the browser.
SCREEN_DOTS = 110


@require_GET
def documents(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Show the documents of a case that may go out, and how the redaction of each stands."""
    return _documents(request, case_id)


def _documents(
    request: StaffRequest, case_id: UUID, refused: OpenForm | None = None
) -> HttpResponse:
    """Show them, with what is wrong beside the document whose form was refused."""
    frame = case_frame(request.user, case_id, current=STEP)
    decision = decision_on(request.user, REDACT, frame.case)
    opened: dict[tuple[str, UUID], list[dict[str, Any]]] = {}
    for one in queries.documents_of(frame.case):
        copy = queries.copy_to_send(one)
        why_not = "" if copy else queries.why_no_copy(one)
        row = {"document": one, "copy": copy, "why_not": why_not}
        opened.setdefault((one.source_kind, one.source_key), []).append(row)
    requests = requests_of(case_id)
    asked_for = next((one for one in requests if str(one.pk) == request.GET.get("request")), None)
    rows = []
    for source in sources_in(frame.case):
        first = {"kind": source.kind, "key": source.key}
        first["for_request"] = str(asked_for.pk) if asked_for else ""
        form = OpenForm(requests=requests, initial=first, auto_id=False)
        own = opened.pop((source.kind, source.key), [])
        asked = refused is not None and refused.data.get("key") == str(source.key)
        wrong = list(refused.errors.values()) if refused is not None and asked else []
        rows.append({"source": source, "redactions": own, "form": form, "wrong": wrong})
    context = {
        "frame": frame,
        "asked_for": asked_for,
        "rows": rows,
        "others": [row for left in opened.values() for row in left],
        "may_redact": decision.allowed,
        "why_not": decision.why,
        "may_keep": may_somewhere(request.user, KEEP_LIST),
    }
    status = 200 if refused is None else 422
    return render(request, "redaction/documents.html", context, status=status)


@require_POST
def open_document(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Begin to redact a document of the case."""
    case_for(request.user, REDACT, case_id)
    form = OpenForm(request.POST, requests=requests_of(case_id))
    opened = submitted(request, form, preparing.open_source, case_id=case_id)
    if opened is None and {"kind", "key"} & form.errors.keys():
        raise Refused("; ".join(str(one[0]) for one in form.errors.values()))
    if opened is None:
        return _documents(request, case_id, form)
    return redirect("redaction:document", case_id=case_id, document_id=opened.pk)


@require_http_methods(["GET", "POST"])
def add_document(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Add a PDF that is to go out redacted."""
    frame = case_frame(request.user, case_id, current=STEP, act=REDACT)
    form = DocumentForm(request.POST or None, request.FILES or None, requests=requests_of(case_id))
    added = submitted(request, form, preparing.add_document, case_id=case_id)
    if added:
        return answer_done(
            request, f"Added: {added.name}.", "redaction:document",
            case_id=case_id, document_id=added.pk,
        )  # fmt: skip
    return answer_form(request, "redaction/add.html", {"frame": frame}, form)


def _marked(
    request: StaffRequest, form: MarkForm | FoundForm, case_id: UUID, document_id: UUID
) -> list[RedactionMark] | None:
    """Mark the places that were sent, if any were."""
    return submitted(request, form, preparing.mark, case_id=case_id, document_id=document_id)


def _done_marking(
    request: StaffRequest, marked: Sequence[RedactionMark], case_id: UUID, document_id: UUID,
    *, number: int,
) -> HttpResponse:  # fmt: skip
    count = len(marked)
    return answer_done(
        request, f"{count} place{'' if count == 1 else 's'} marked.", "redaction:page",
        case_id=case_id, document_id=document_id, number=number,
    )  # fmt: skip


@require_http_methods(["GET", "POST"])
def document(
    request: StaffRequest, case_id: UUID, document_id: UUID, number: int = 1
) -> HttpResponse:
    """Choose what is hidden on one page of a document."""
    frame = case_frame(request.user, case_id, current=STEP, act=REDACT)
    shown = queries.document_of(frame.case, document_id)
    if not 1 <= number <= shown.pages:
        raise Http404
    reasons = queries.reasons()
    form = MarkForm(request.POST or None, reasons=reasons)
    marked = _marked(request, form, case_id, document_id)
    if marked:
        return _done_marking(request, marked, case_id, document_id, number=number)
    if request.method == "GET":
        note_access(request.user, case_id=case_id, what="document to redact", record_id=shown.pk)
    context = {
        "frame": frame,
        "case_id": case_id,
        "document": shown,
        "number": number,
        "marks": [one for one in shown.standing_marks if one.page == number],
        "pages": _pages(shown),
        "reasons": reasons,
        "find": FindForm(),
        "copy_form": CopyForm(initial={"choice_sha256": queries.choice_of(shown)}, auto_id=False),
        "may_redact": True,
        "may_keep": may_somewhere(request.user, KEEP_LIST),
        **_copies(shown),
    }
    return answer_form(request, "redaction/document.html", context, form)


def _pages(shown: DocumentRedaction) -> list[tuple[int, int]]:
    """Return number and count of marks of each page that has any."""
    counts: dict[int, int] = {}
    for one in shown.standing_marks:
        counts[one.page] = counts.get(one.page, 0) + 1
    return sorted(counts.items())


def _copies(shown: DocumentRedaction) -> dict[str, object]:
    made = queries.copies_in(shown)
    now = queries.choice_of(shown)
    return {
        "document": shown,
        "copies": [(one, one.choice_sha256 == now) for one in made],
        "under_way": any(one.is_under_way for one in made),
    }


@require_GET
def page_picture(
    request: StaffRequest, case_id: UUID, document_id: UUID, number: int
) -> HttpResponse:
    """Send the picture of a page; as it will look once its marks are burned, where asked."""
    case = case_for(request.user, REDACT, case_id)
    shown = queries.document_of(case, document_id)
    burned = queries.as_entries(shown.standing_marks) if request.GET.get("burned") else []
    marks = [one for one in burned if one["page"] == number]
    picture = reading.picture_of(shown.file, number, dots=SCREEN_DOTS, marks=marks)
    return HttpResponse(
        picture, content_type="image/jpeg", headers={"Cache-Control": "private, no-store"}
    )


@require_GET
def page_words(
    request: StaffRequest, case_id: UUID, document_id: UUID, number: int
) -> HttpResponse:
    """Send the words of a page with their places, for the script that lets them be chosen."""
    case = case_for(request.user, REDACT, case_id)
    shown = queries.document_of(case, document_id)
    try:
        said = reading.words_of(shown.file, number)
    except Refused as error:
        return JsonResponse({"refused": str(error)}, status=422)
    return JsonResponse(said, headers={"Cache-Control": "private, no-store"})


@require_http_methods(["GET", "POST"])
def find(request: StaffRequest, case_id: UUID, document_id: UUID) -> HttpResponse:
    """Find words in a document, and mark all of their places or some."""
    frame = case_frame(request.user, case_id, current=STEP, act=REDACT)
    shown = queries.document_of(frame.case, document_id)
    asked = FindForm(request.GET if "words" in request.GET else None)
    words = asked.cleaned_data["words"] if asked.is_bound and asked.is_valid() else ""
    said: dict[str, Any] = reading.found_in(shown.file, words) if words else {}
    found: list[dict[str, Any]] = said.get("places", [])
    reasons = queries.reasons()
    form = FoundForm(request.POST or None, reasons=reasons, found=found)
    marked = _marked(request, form, case_id, document_id)
    if marked:
        return _done_marking(request, marked, case_id, document_id, number=marked[0].page)
    chosen = set(request.POST.getlist("places")) if request.method == "POST" else None
    rows = []
    hidden = [(one.page, one.first, one.last) for one in shown.standing_marks]
    for one in found:
        value = f"{one['page']}-{one['first']}-{one['last']}"
        there = any(
            page == one["page"] and first is not None and last is not None
            and first <= one["first"] and one["last"] <= last
            for page, first, last in hidden
        )  # fmt: skip
        checked = value in chosen if chosen is not None else not there
        rows.append({**one, "value": value, "there": there, "checked": checked})
    context = {
        "frame": frame,
        "document": shown,
        "asked": asked,
        "words": words,
        "rows": rows,
        "more": said.get("more", False),
        "reasons": reasons,
    }
    return answer_form(request, "redaction/find.html", context, form)


@require_POST
def take_back(
    request: StaffRequest, case_id: UUID, document_id: UUID, mark_id: UUID
) -> HttpResponse:
    """Take one mark back."""
    case = case_for(request.user, REDACT, case_id)
    shown = queries.mark_of(case, mark_id)
    form = TakeBackForm(request.POST)
    done = submitted(
        request, form,
        lambda actor: actions.void_redaction_marks(
            actor, case_id=case_id, document_id=document_id, marks={mark_id: form.version},
            reason=form.given_reason,
        ),
    )  # fmt: skip
    if done is None:
        raise Refused("Somebody changed this mark meanwhile. Load the page again.")
    return answer_done(
        request, "The mark is taken back.", "redaction:page",
        case_id=case_id, document_id=document_id, number=shown.page,
    )  # fmt: skip


@require_POST
def ask_for_copy(request: StaffRequest, case_id: UUID, document_id: UUID) -> HttpResponse:
    """Ask for the redacted copy of what is marked now."""
    case_for(request.user, REDACT, case_id)
    form = CopyForm(request.POST)
    asked = submitted(
        request, form, actions.request_redacted_document, case_id=case_id, document_id=document_id
    )
    if asked is None:
        raise Refused("; ".join(str(one[0]) for one in form.errors.values()))
    page = reverse("redaction:document", kwargs={"case_id": case_id, "document_id": document_id})
    return answer_done(request, "The redacted copy is being made.", f"{page}#copies")


@part_of("redaction:document", "document_id", act=REDACT)
def copy_list(request: StaffRequest, case: Case, document_id: UUID) -> HttpResponse:
    """Answer with the copies as they stand, for the page that waits for one."""
    shown = queries.document_of(case, document_id)
    context = {"case_id": case.pk, "may_redact": may(request.user, REDACT, case), **_copies(shown)}
    return render(request, "redaction/_copies.html", context)


@require_POST
def retry(request: StaffRequest, case_id: UUID, document_id: UUID, copy_id: UUID) -> HttpResponse:
    """Try again to make a copy that was not made, or leave it."""
    again, leave = actions.retry_redacted_document, actions.abandon_redacted_document
    tried_again(request, again, leave, case_id=case_id, request_id=copy_id)
    return redirect("redaction:document", case_id=case_id, document_id=document_id)


@require_safe
def copy_file(request: StaffRequest, case_id: UUID, copy_id: UUID) -> HttpResponseBase:
    """Send a redacted copy, or a part of it; that it was fetched is noted."""
    case = case_for(request.user, Act.SEE, case_id)
    shown = queries.copy_of(case, copy_id)
    if shown.file is None:
        raise Http404
    return hand_over(
        request, shown.file, case_id=case.pk, record_id=shown.pk, what="redacted document",
        filename="redacted.pdf",
    )  # fmt: skip


@require_http_methods(["GET", "POST"])
def leave_elsewhere(request: StaffRequest, case_id: UUID, copy_id: UUID) -> HttpResponse:
    """Decide that hidden words may stay where they can still be read."""
    frame = case_frame(request.user, case_id, current=STEP, act=REDACT)
    shown = queries.copy_of(frame.case, copy_id)
    form = LeaveForm(request.POST or None, record=shown)
    done = submitted(request, form, actions.leave_words_elsewhere, case_id=case_id, copy_id=copy_id)
    if done:
        return answer_done(
            request, "Decided: the copy may go out as it is.", "redaction:document",
            case_id=case_id, document_id=shown.document_id,
        )  # fmt: skip
    context = {"frame": frame, "copy": shown, "document": shown.document}
    return answer_form(request, "redaction/leave.html", context, form)


@confirms(STEP, REDACT, queries.document_of, actions.void_document_redaction)
def withdraw_document(shown: DocumentRedaction) -> Confirmation:
    """Withdraw the redaction of a document."""
    return Confirmation(
        f"Withdraw the redaction of {shown.name}",
        "Its marks and copies are no longer offered where documents are sent. They stay in the "
        "history.",
        "Withdraw the redaction",
        back=reverse("redaction:documents", kwargs={"case_id": shown.case_id}),
        done="The redaction is withdrawn.",
        caution="From now on nothing here says that parts of the document are to be hidden.",
        in_step=False,
    )


@require_GET
def reasons(request: StaffRequest) -> HttpResponse:
    """Show the office's reasons for redaction."""
    require_role(request.user, Act.SEE)
    context = {
        "rows": queries.reasons_with_use(),
        "gone": queries.history_of_reasons(),
        "may_keep": may_somewhere(request.user, KEEP_LIST),
    }
    return render(request, "redaction/reasons.html", context)


@require_http_methods(["GET", "POST"])
def add_reason(request: StaffRequest) -> HttpResponse:
    """Add a reason to the list."""
    require_role(request.user, KEEP_LIST)
    form = ReasonForm(request.POST or None)
    made = submitted(request, form, actions.add_redaction_reason)
    if made:
        return answer_done(request, f"Added: {made}", "redaction:reasons")
    return answer_form(request, "redaction/reason.html", {}, form)


@require_http_methods(["GET", "POST"])
def change_reason(request: StaffRequest, reason_id: UUID) -> HttpResponse:
    """Correct a reason of the list."""
    require_role(request.user, KEEP_LIST)
    shown = queries.reason_of(reason_id)
    form = ReasonForm(request.POST or None, instance=queries.reason_of(reason_id))
    saved = submitted(request, form, actions.change_redaction_reason, reason_id=reason_id)
    if saved:
        return answer_done(request, f"Saved: {saved}", "redaction:reasons")
    return answer_form(request, "redaction/reason.html", {"shown": shown}, form)


@require_http_methods(["GET", "POST"])
def withdraw_reason(request: StaffRequest, reason_id: UUID) -> HttpResponse:
    """Take a reason off the list."""
    require_role(request.user, KEEP_LIST)
    shown = queries.reason_of(reason_id)
    said = Confirmation(
        "Take the reason off the list",
        "Nothing more is marked for this reason. Marks and copies that name it keep it.",
        "Take it off the list",
        back=reverse("redaction:reasons"),
        done="Taken off the list; the history keeps it.",
        intro=str(shown),
        tab=f"Take reason {shown.number} off the list · Reasons for redaction",
        stop=False,
        form_class=ReasonWithdrawForm,
    )
    return confirming(request, shown, actions.void_redaction_reason, said, reason_id=reason_id)
