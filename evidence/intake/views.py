"""The page on which photographs are added."""

from __future__ import annotations

import uuid
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.core.files.uploadedfile import UploadedFile
from django.http import HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

from cases.access import Act
from cases.course import CaseFrame, case_frame
from evidence import store
from evidence.intake import taking
from evidence.intake.forms import UploadForm
from evidence.photographs import queries
from evidence.photographs.models import Photograph
from me_office.accounts.requests import StaffRequest
from me_office.accounts.roles import Role
from me_office.audit.errors import OfficeError
from me_office.shell.forms import answer_form

PICTURE = "photographs"


@require_http_methods(["GET", "POST"])
def add_photographs(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Take in new photographs; with JavaScript the files go one by one through the API."""
    frame = case_frame(request.user, case_id, current=PICTURE, act=Act.PHOTOGRAPH)
    findings = queries.findings_to_link(frame.case)
    form = UploadForm(
        request.POST or None,
        request.FILES or None,
        findings=findings,
        initial=_upload_start(request, frame),
    )
    context: dict[str, object] = {"frame": frame, "findings": findings}
    if request.method == "POST" and form.is_valid():
        taken = _take_in_each(request, case_id, form)
        if not form.errors:
            words = "photograph" if len(taken) == 1 else "photographs"
            messages.success(request, f"{len(taken)} {words} added.")
            if len(taken) == 1:
                return redirect("evidence:photograph", case_id=case_id, photograph_id=taken[0].pk)
            return redirect("evidence:photographs", case_id=case_id)
        context["taken"] = taken
    return answer_form(request, "intake/add_photographs.html", context, form)


def _upload_start(request: StaffRequest, frame: CaseFrame) -> dict[str, object]:
    at_scene = request.user.has_role(Role.INVESTIGATOR)
    return {
        "photographer": str(request.user),
        "place": "scene" if at_scene else "examination",
        "view": "overview",
        "graphic": True,
        "finding_ids": request.GET.getlist("finding"),
    }


def _take_in_each(request: StaffRequest, case_id: UUID, form: UploadForm) -> list[Photograph]:
    """Take in file by file; a refused one is named beside the field, the others stay."""
    entry, taken = dict(form.entry), []
    uploads: list[UploadedFile[Any]] = entry.pop("upload")
    for place, upload in enumerate(uploads):
        # Each file's key follows from the form's: the same form sent again is the same records.
        record_id = uuid.uuid5(form.record_id, str(place)) if place else form.record_id
        try:
            taken.append(
                taking.take_in(
                    request.user, case_id=case_id, record_id=record_id, upload=upload, entry=entry
                )
            )
        except store.StoreAway as error:  # each of the others would wait as long
            form.add_action_error(error)
            break
        except OfficeError as error:
            form.add_action_error(error)
            if error.field == "upload" and len(uploads) > 1:
                form.errors["upload"][-1] = f"{upload.name}: {error.message}"
    return taken
