"""API of curricula vitae: the same actions as the pages."""

from __future__ import annotations

from uuid import UUID

from rest_framework import serializers

from cases.api.serializers import VOIDABLE, KeyedInput, ReasonInput, record_shapes
from cases.qualifications import actions, queries
from cases.qualifications.models import CurriculumVersion, ListedTestimony, Qualification
from me_office.accounts.models import Staff
from me_office.audit import looks
from me_office.shell.endpoints import adds, at, changes, saves, tells
from me_office.shell.shapes import NewShape, shape_of

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


class IssueInput(NewShape):
    """Issues the next version; without a day it is counted through today."""

    counted_on = serializers.DateField(required=False)


VersionOutput = shape_of(
    "VersionOutput", CurriculumVersion,
    ("id", "number", "counted_on", "issued_at", "sha256", "content"),
    "A version as it was issued; `sha256` is that of its content in canonical form.",
    issued_at=serializers.DateTimeField(source="created_at"),
)  # fmt: skip


def _read(actor: Staff, person_id: UUID) -> UUID:
    actions.require_reader(actor)
    person = queries.person_of(person_id)
    looks.note_list(actor, "curriculum vitae", rows=1, asked={"person": str(person)})
    return person.pk


def _lines(actor: Staff, person_id: UUID) -> list[Qualification]:
    return queries.lines_of(_read(actor, person_id))


def _testimony(actor: Staff, person_id: UUID) -> list[ListedTestimony]:
    return queries.testified_of(_read(actor, person_id))


def _versions(actor: Staff, person_id: UUID) -> list[CurriculumVersion]:
    return [one.version for one in queries.versions_of([_read(actor, person_id)])]


_ONE = "curricula/<uuid:person_id>"
routes = [
    at(f"{_ONE}/lines/", "lines",
       get=tells("curricula_lines", _lines, LineOutput,
           "Return the lines of a curriculum vitae as they stand."),
       post=saves("curricula_record_line", actions.record_qualification, LineInput, LineOutput,
           "Record a line; `version` 0 makes it, a later one changes it.")),
    at(f"{_ONE}/lines/<uuid:record_id>/void/", "void-line",
       post=changes("curricula_void_line", actions.void_qualification, ReasonInput, LineOutput,
           "Withdraw a line; versions that were issued keep it.")),
    at(f"{_ONE}/testimony/", "testimony",
       get=tells("curricula_testimony", _testimony, TestifiedOutput,
           "Return the cases that are listed as testified in, the latest first."),
       post=saves("curricula_list_testimony", actions.list_testimony, TestifiedInput,
           TestifiedOutput, "List a case testified in; a later `version` changes the line.")),
    at(f"{_ONE}/testimony/<uuid:record_id>/void/", "void-testimony",
       post=changes("curricula_void_testimony", actions.void_testimony_line, ReasonInput,
           TestifiedOutput, "Withdraw a line; versions that were issued keep it.")),
    at(f"{_ONE}/versions/", "versions",
       get=tells("curricula_versions", _versions, VersionOutput,
           "Return the versions that were issued, the latest first."),
       post=adds("curricula_issue", actions.issue_curriculum, IssueInput, VersionOutput,
           "Issue the next version.")),
]  # fmt: skip
