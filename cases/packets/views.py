"""Pages of packets and the report as PDF."""

from __future__ import annotations

import functools
from collections.abc import Sequence
from uuid import UUID

from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.text import slugify
from django.views.decorators.http import (
    require_GET,
    require_http_methods,
    require_POST,
    require_safe,
)
from django.views.decorators.vary import vary_on_headers

from cases import access
from cases.access import Act, decision_on, may
from cases.course import CaseFrame, case_frame
from cases.court.forms import ReleaseForm
from cases.court.models import RecordsRequest, Release
from cases.exhibits.queries import redactions_in_force
from cases.models import Case
from cases.packets import actions, queries
from cases.packets.curricula import may_be_sent
from cases.packets.forms import PacketForm
from cases.packets.material import material_of
from cases.packets.models import Packet
from cases.packets.printing import print_report
from cases.review.signed_pdf import ask_for_signed_pdf, signed_pdf_of
from evidence.store import open_part
from evidence.store.serving import send_file
from me_office.accounts.requests import StaffRequest
from me_office.audit.actions import note_access
from me_office.audit.errors import NotKnown
from me_office.jobs.forms import tried_again
from me_office.shell.exports import shown_pdf
from me_office.shell.forms import answer_done, answer_form, is_part, submitted
from me_office.shell.ranges import StoredBytes, send_bytes


def _page_context(
    request: StaffRequest, frame: CaseFrame, open_requests: Sequence[RecordsRequest]
) -> dict[str, object]:
    return {
        "frame": frame,
        "packets": queries.packets_of(frame.case.pk),
        "build": decision_on(request.user, Act.BUILD_PACKET, frame.case),
        "may_release": may(request.user, Act.BUILD_PACKET, frame.case),
        "open_requests": open_requests,
    }


@require_http_methods(["GET", "POST"])
def packets(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Show the case's packets; a clerk asks for another."""
    frame = case_frame(request.user, case_id, current="court")
    requests = queries.open_requests_of(case_id)
    open_requests = list(requests)
    form = PacketForm(
        request.POST or None,
        requests=requests,
        redactions=list(redactions_in_force(frame.case).values()),
        curricula=may_be_sent(frame.case),
        initial={"asked": _chosen_request(request, open_requests)},
    )
    saved = submitted(request, form, actions.request_packet, case_id=case_id)
    if saved:
        return _back_to(saved)
    context = _page_context(request, frame, open_requests)
    return answer_form(request, "packets/packets.html", context, form)


def _chosen_request(
    request: StaffRequest, open_requests: Sequence[RecordsRequest]
) -> str | UUID | None:
    if request.GET.get("request"):
        return request.GET["request"]
    return open_requests[0].pk if len(open_requests) == 1 else None


def _back_to(packet: Packet) -> HttpResponse:
    page = reverse("packets:packets", kwargs={"case_id": packet.case_id})
    return redirect(f"{page}#packet-{packet.pk}")


@require_GET
@vary_on_headers("HX-Request")
def packet(request: StaffRequest, case_id: UUID, packet_id: UUID) -> HttpResponse:
    """Answer with one packet as it stands: the part that shows progress asks for it again."""
    shown = queries.packet_of(case_id, packet_id)
    # Asked every second while a packet is made: one look at the page is noted, not each of these.
    access.require(request.user, Act.SEE, shown.case)
    if not is_part(request):
        return _back_to(shown)
    context = {
        "packet": shown,
        "build": decision_on(request.user, Act.BUILD_PACKET, shown.case),
        "may_release": may(request.user, Act.BUILD_PACKET, shown.case),
    }
    return render(request, "packets/_packet.html", context)


@require_POST
def retry_packet(request: StaffRequest, case_id: UUID, packet_id: UUID) -> HttpResponse:
    """Try again to build a packet that failed."""
    return _back_to(
        tried_again(request, actions.retry_packet, case_id=case_id, packet_id=packet_id)
    )


@require_http_methods(["GET", "POST"])
def release_packet(request: StaffRequest, case_id: UUID, packet_id: UUID) -> HttpResponse:
    """Record that a built packet was handed over."""
    frame = case_frame(request.user, case_id, current="court", act=Act.BUILD_PACKET)
    shown = queries.packet_of(case_id, packet_id)
    initial = {
        "version": shown.request.version,
        "released_to": shown.request.party,
        "released_at": timezone.localtime(),
        "released_by": request.user.pk,
    }
    form = ReleaseForm(request.POST or None, initial=initial)
    saved = submitted(request, form, actions.release_packet, case_id=case_id, packet_id=packet_id)
    if saved:
        return answer_done(
            request,
            f"Released to {saved.released_to}; {_now(saved)}.",
            "court:requests",
            case_id=case_id,
        )
    context = {"frame": frame, "packet": shown}
    return answer_form(request, "packets/release.html", context, form)


def _now(release: Release) -> str:
    if release.answers == "part":
        return "the request stays open for what is still to be sent"
    return "the request is answered"


@require_safe
def download_packet(request: StaffRequest, case_id: UUID, packet_id: UUID) -> HttpResponseBase:
    """Send a built packet, or from where a broken download stopped; note who fetched it."""
    fetched = queries.packet_of(case_id, packet_id)
    access.require(request.user, Act.BUILD_PACKET, fetched.case)
    if not fetched.is_built:
        raise NotKnown("This packet is not built yet.")
    if fetched.release is None:  # what was released stays what it was
        actions.require_current(fetched)
    if request.method == "GET":
        what = "packet fetched, in part" if "Range" in request.headers else "packet fetched"
        note_access(request.user, case_id=case_id, what=what, record_id=fetched.pk)
    sent = StoredBytes(
        fetched.sha256,
        fetched.size_bytes or 0,
        "application/zip",
        filename=f"case-{slugify(fetched.case.label)}-packet-{fetched.number}.zip",
        as_attachment=True,
    )
    return send_bytes(request, sent, functools.partial(open_part, fetched.path))


@require_GET
def report_pdf(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Answer with the report as PDF: as it was signed, as it is in review, or as it reads now.

    `?print=large` asks for a reading copy in large print.
    """
    frame = case_frame(request.user, case_id, current="report as PDF")
    large = request.GET.get("print") == "large"
    report = print_report(material_of(case_id), with_photographs=False, large=large)
    return shown_pdf(
        report.pdf, f"report-{slugify(frame.case.label)}{'-large-print' if large else ''}"
    )


@require_safe
def signed_report_pdf(request: StaffRequest, case_id: UUID) -> HttpResponseBase:
    """Send the PDF of the signed report as it is kept, whose pages and lines are cited."""
    frame = case_frame(request.user, case_id, current="signed report as PDF")
    kept = signed_pdf_of(case_id)
    if kept is None:
        raise NotKnown(_why_no_signed_pdf(frame.case))
    name = f"signed-report-{slugify(frame.case.label)}.pdf"
    return send_file(request, kept.file, filename=name, as_attachment=False)


def _why_no_signed_pdf(case: Case) -> str:
    if not case.is_locked:
        return "The report of this case is not signed."
    if ask_for_signed_pdf(case.pk):
        return "The PDF of the signed report is being made. Open this page again in a minute."
    return (
        "The PDF of the signed report could not be made. It is tried again when this page is "
        "opened in an hour; an administrator finds it under State of the office."
    )
