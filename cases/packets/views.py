"""Pages of packets and the report as PDF."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from cases.course import case_frame
from cases.packets.models import Packet
from cases.review.content import report_content


@require_GET
def packets(request: HttpRequest, case_id: UUID) -> HttpResponse:
    """Show the case's packets."""
    frame = case_frame(request.user, case_id, current="court")
    rows = Packet.objects.filter(case_id=case_id).order_by("number")
    return render(request, "packets/packets.html", {"frame": frame, "rows": rows})


@require_GET
def report_pdf(request: HttpRequest, case_id: UUID) -> HttpResponse:
    """Answer with the report as PDF."""
    import typst

    case_frame(request.user, case_id, current="report PDF")
    lines = [fact["text"] for fact in report_content(case_id)["facts"]]
    source = b"#for line in json(bytes(sys.inputs.lines)) [#line \\ ]"
    import json

    made = typst.compile(source, sys_inputs={"lines": json.dumps(lines)})
    return HttpResponse(made, content_type="application/pdf")
