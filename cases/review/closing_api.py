"""API: closing a case without a report, and opening it again."""

from __future__ import annotations

from rest_framework import serializers

from cases.api.serializers import ReasonInput
from cases.api.shared import CASE, seen
from cases.review import closing
from cases.review.models import CaseClosing
from me_office.shell.endpoints import adds, at, changes, lists
from me_office.shell.shapes import sent_shape, shape_of

ClosingInput = sent_shape(
    "ClosingInput", CaseClosing, ("id", "version", *closing.CLOSING_NAMES),
    "Why it is closed; `id` is made by the client, `version` is the case's.",
)  # fmt: skip
ClosingOutput = shape_of(
    "ClosingOutput", CaseClosing,
    ("id", "version", *closing.CLOSING_NAMES, "closed_at", "reopened_at", "reopened_why",
     "case_state", "case_version"),
    "How a case was closed, and opened again.",
    case_state=serializers.CharField(source="case.state"),
    case_version=serializers.IntegerField(source="case.version"),
)  # fmt: skip


routes = [
    at(f"{CASE}/closings/", "closings",
       get=lists("closings_list", seen("closing"), closing.closings_of, ClosingOutput,
           "Return the closings, the latest first."),
       post=adds("closings_close", closing.close_case, ClosingInput, ClosingOutput,
           "Close the case; the same id again returns the same closing.")),
    at(f"{CASE}/closings/reopen/", "reopen",
       post=changes("closings_reopen", closing.reopen_case, ReasonInput, ClosingOutput,
           "Open it again; `version` is that of the closing.")),
]  # fmt: skip
