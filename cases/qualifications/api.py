"""API of curricula vitae: the same actions as the pages."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.response import Response
from rest_framework.views import APIView

from cases.api.serializers import VOIDABLE, KeyedInput, ReasonInput, record_shapes
from cases.qualifications import actions, queries
from cases.qualifications.models import CurriculumVersion, ListedTestimony, Qualification
from me_office.accounts.requests import StaffApiRequest
from me_office.audit import looks
from me_office.shell.api import REFUSALS
from me_office.shell.endpoints import adds, at, changes, saves
from me_office.shell.shapes import shape_of

LineInput, LineOutput = record_shapes(
    "Qualification", Qualification, "One line of a curriculum vitae.", shown=VOIDABLE,
    names=actions.NAMES,
)  # fmt: skip
TestifiedInput = shape_of(
    "ListedTestimonyInput", ListedTestimony,
    ("id", "version", "reason", "appearance", *actions.TESTIFIED_NAMES),
    "A case testified in; with `appearance`, type and day are those of that date in court.",
    bases=(KeyedInput,), appearance=serializers.UUIDField(required=False),
    kind=serializers.ChoiceField(ListedTestimony.KINDS, required=False),
    on_day=serializers.DateField(required=False),
)  # fmt: skip
TestifiedOutput = shape_of(
    "ListedTestimonyOutput", ListedTestimony, (*VOIDABLE, "appearance", *actions.TESTIFIED_NAMES),
    "A case in which a person testified as an expert.",
)  # fmt: skip


class IssueInput(serializers.Serializer[Any]):
    """Issues the next version; without a day it is counted through today."""

    id = serializers.UUIDField()
    counted_on = serializers.DateField(required=False)


VersionOutput = shape_of(
    "VersionOutput", CurriculumVersion,
    ("id", "number", "counted_on", "issued_at", "sha256", "content"),
    "A version as it was issued; `sha256` is that of its content in canonical form.",
    issued_at=serializers.DateTimeField(source="created_at"),
)  # fmt: skip


def _read(request: StaffApiRequest, person_id: UUID) -> UUID:
    actions.require_reader(request.user)
    person = queries.person_of(person_id)
    looks.note_list(request.user, "curriculum vitae", rows=1, asked={"person": str(person)})
    return person.pk


@extend_schema(operation_id="curricula_lines", responses={200: LineOutput(many=True), **REFUSALS})
def lines(self: APIView, request: StaffApiRequest, person_id: UUID) -> Response:
    """Return the lines of a curriculum vitae as they stand."""
    return Response(LineOutput(queries.lines_of(_read(request, person_id)), many=True).data)


@extend_schema(
    operation_id="curricula_testimony", responses={200: TestifiedOutput(many=True), **REFUSALS}
)
def testimony(self: APIView, request: StaffApiRequest, person_id: UUID) -> Response:
    """Return the cases that are listed as testified in, the latest first."""
    listed = queries.testified_of(_read(request, person_id))
    return Response(TestifiedOutput(listed, many=True).data)


@extend_schema(
    operation_id="curricula_versions", responses={200: VersionOutput(many=True), **REFUSALS}
)
def versions(self: APIView, request: StaffApiRequest, person_id: UUID) -> Response:
    """Return the versions that were issued, the latest first."""
    issued = queries.versions_of([_read(request, person_id)])
    return Response(VersionOutput([one.version for one in issued], many=True).data)


_ONE = "curricula/<uuid:person_id>"
routes = [
    at(f"{_ONE}/lines/", "lines",
       get=lines,
       post=saves("curricula_record_line", actions.record_qualification, LineInput, LineOutput,
           "Record a line; `version` 0 makes it, a later one changes it.")),
    at(f"{_ONE}/lines/<uuid:record_id>/void/", "void-line",
       post=changes("curricula_void_line", actions.void_qualification, ReasonInput, LineOutput,
           "Withdraw a line; versions that were issued keep it.")),
    at(f"{_ONE}/testimony/", "testimony",
       get=testimony,
       post=saves("curricula_list_testimony", actions.list_testimony, TestifiedInput,
           TestifiedOutput, "List a case testified in; a later `version` changes the line.")),
    at(f"{_ONE}/testimony/<uuid:record_id>/void/", "void-testimony",
       post=changes("curricula_void_testimony", actions.void_testimony_line, ReasonInput,
           TestifiedOutput, "Withdraw a line; versions that were issued keep it.")),
    at(f"{_ONE}/versions/", "versions",
       get=versions,
       post=adds("curricula_issue", actions.issue_curriculum, IssueInput, VersionOutput,
           "Issue the next version.")),
]  # fmt: skip
