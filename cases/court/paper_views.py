"""Pages of a request's original, and of the right of who asks."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import render
from django.views.decorators.http import require_GET, require_http_methods, require_safe

from cases.access import Act, case_for, may_somewhere, require_role
from cases.course import case_frame
from cases.court import authorizing, paper, queries
from cases.court.forms import AuthorityForm, NeedForm, OriginalForm
from cases.court.models import Authority
from cases.court.page import read_request_page
from evidence.store.serving import hand_over, send_file
from evidence.store.uploads import name_of_paper
from me_office.accounts.requests import StaffRequest
from me_office.audit.errors import NotKnown, known_of_office
from me_office.shell.forms import answer_done, answer_form, submitted

PAGE = "court:request"


@require_http_methods(["GET", "POST"])
def attach(request: StaffRequest, case_id: UUID, request_id: UUID) -> HttpResponse:
    """Attach the original of a request, or replace it."""
    frame = case_frame(request.user, case_id, current="court", act=Act.HANDLE_REQUEST)
    asked = queries.request_of(case_id, request_id)
    stands = next((one for one in queries.originals_of(asked) if not one.is_voided), None)
    form = OriginalForm(request.POST or None, request.FILES or None, replaces=stands is not None)
    keys = {"case_id": case_id, "request_id": request_id}
    saved = submitted(request, form, paper.attach, **keys)
    if saved:
        return answer_done(request, f"Attached: {saved}.", PAGE, **keys)
    context = {"frame": frame, "asked": asked, "stands": stands}
    return answer_form(request, "court/attach_original.html", context, form)


@require_GET
def original(request: StaffRequest, case_id: UUID, request_id: UUID) -> HttpResponse:
    """Show the original, each page when it comes into sight."""
    frame = case_frame(request.user, case_id, current="court")
    shown = read_request_page(request.user, frame, request_id)
    every = queries.originals_of(shown.asked)
    stands = next((one for one in every if not one.is_voided), None)
    context = {
        "frame": frame,
        "page": shown,
        "stands": stands,
        "replaced": [one for one in every if one.is_voided],
        "numbers": range(1, stands.pages + 1) if stands else (),
    }
    return render(request, "court/original.html", context)


@require_safe
def original_file(
    request: StaffRequest, case_id: UUID, request_id: UUID, record_id: UUID
) -> HttpResponseBase:
    """Send the original as it came; that it was fetched is noted."""
    case_for(request.user, Act.SEE, case_id)
    one = queries.original_one(queries.request_of(case_id, request_id), record_id)
    return hand_over(
        request, one.file, case_id=case_id, record_id=one.pk, what="original of a request",
        filename=name_of_paper(one.file, "request"),
    )  # fmt: skip


@require_safe
def original_page(
    request: StaffRequest, case_id: UUID, request_id: UUID, record_id: UUID, number: int
) -> HttpResponseBase:
    """Send a page of the original as a picture."""
    case_for(request.user, Act.SEE, case_id)
    one = queries.original_one(queries.request_of(case_id, request_id), record_id)
    if one.file.media_type != paper.PDF:
        if number != 1:
            raise NotKnown("There is no such page in the original.")
        return send_file(request, one.file, as_attachment=False)
    return HttpResponse(paper.page_picture(one, number), content_type="image/jpeg")


@require_http_methods(["GET", "POST"])
def add_authority(request: StaffRequest, case_id: UUID, request_id: UUID) -> HttpResponse:
    """Record by what right somebody asks."""
    frame = case_frame(request.user, case_id, current="court", act=Act.HANDLE_REQUEST)
    asked = queries.request_of(case_id, request_id)
    form = AuthorityForm(request.POST or None, case=frame.case, initial={"outcome": "open"})
    keys = {"case_id": case_id, "request_id": request_id}
    saved = submitted(request, form, authorizing.record_authority, **keys, version=0)
    if saved:
        return answer_done(request, f"Recorded: {saved}.", PAGE, **keys)
    context = {"frame": frame, "asked": asked}
    return answer_form(request, "court/authority_form.html", context, form)


@require_http_methods(["GET", "POST"])
def change_authority(
    request: StaffRequest, case_id: UUID, request_id: UUID, record_id: UUID
) -> HttpResponse:
    """Record how the right of who asks was checked, with the reason for the change."""
    frame = case_frame(request.user, case_id, current="court", act=Act.HANDLE_REQUEST)
    asked = queries.request_of(case_id, request_id)
    record = queries.authority_of(asked)
    if record is None or record.pk != record_id:
        raise NotKnown("There is no such record.")
    form = AuthorityForm(request.POST or None, instance=record, case=frame.case)
    keys = {"case_id": case_id, "request_id": request_id}
    saved = submitted(request, form, authorizing.record_authority, **keys, record_id=record_id)
    if saved:
        return answer_done(request, f"Recorded: {saved}.", PAGE, **keys)
    table = Authority._meta.db_table
    context = {"frame": frame, "asked": asked, "record": record, "table": table}
    return answer_form(request, "court/authority_form.html", context, form)


@require_GET
def needs(request: StaffRequest) -> HttpResponse:
    """Show with which requests the office asks for a right."""
    require_role(request.user, Act.SEE)
    context = {
        "needs": queries.authority_needs(),
        "may_change": may_somewhere(request.user, Act.KEEP_CLERK_LISTS),
    }
    return render(request, "court/authority_needs.html", context)


@require_http_methods(["GET", "POST"])
def change_need(request: StaffRequest, key: str) -> HttpResponse:
    """Say whether requests of one kind have to show a right."""
    require_role(request.user, Act.KEEP_CLERK_LISTS)
    need = known_of_office(
        next((one for one in queries.authority_needs() if one.key == key), None), "kind of request"
    )
    initial = {"is_needed": "yes" if need.needed else "no"}
    if need.own is not None:
        initial["because"] = need.own.because
    form = NeedForm(request.POST or None, record=need.own, initial=initial)
    if submitted(request, form, authorizing.change_authority_need, key=key):
        return answer_done(request, f"Saved: {need.words}.", "court:needs")
    return answer_form(request, "court/authority_need.html", {"need": need}, form)
