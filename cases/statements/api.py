"""API of earlier statements: the same actions as the pages."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any
from uuid import UUID

from rest_framework import serializers
from rest_framework.parsers import MultiPartParser

from cases.api.shared import CASE, seen
from cases.models import Case
from cases.statements import actions, queries, reading
from cases.statements.models import PassageLink, Statement, StatementPage, StatementPassage
from me_office.accounts.models import Staff
from me_office.entries import Entry
from me_office.shell.endpoints import adds, at, changes, lists, reads
from me_office.shell.shapes import ReasonShape, sent_shape, shape_of

STATEMENT = f"{CASE}/statements/<uuid:statement_id>"
PASSAGE = f"{CASE}/statement-passages/<uuid:passage_id>"

StatementOutput = shape_of(
    "StatementOutput", Statement,
    ("id", "version", *actions.FIELDS, "state", "failure", "pages_read", "lines_printed",
     "sha256", "media_type", "voided_at"),
    "An earlier statement; its pages can be read once `state` is made.",
    sha256=serializers.CharField(source="file.sha256", read_only=True),
    media_type=serializers.CharField(source="file.media_type", read_only=True),
)  # fmt: skip
StatementTextInput = sent_shape(
    "StatementTextInput", Statement, ("id", *actions.FIELDS, "text"),
    "A statement as text: pages parted by form feeds or by lines `Page 31`.",
    text=serializers.CharField(trim_whitespace=False),
)  # fmt: skip
StatementFileInput = sent_shape(
    "StatementFileInput", Statement, ("id", *actions.FIELDS, "upload"),
    "A statement as a PDF, sent as multipart/form-data; a worker reads its pages.",
    upload=serializers.FileField(allow_empty_file=True),
)  # fmt: skip
StatementChange = sent_shape(
    "StatementChange", Statement, ("version", *actions.CHANGE_FIELDS),
    "A correction of what is said of a statement, with the version that was read.",
)  # fmt: skip
StatementPageOutput = shape_of(
    "StatementPageOutput", StatementPage, ("number", "printed", "lines"),
    "A page: `lines` are pairs of number and words; `printed` tells whose the numbers are.",
)  # fmt: skip


class StatementReason(ReasonShape):
    """Withdraws a record, with the reason."""


class LinkedInput(serializers.Serializer[Any]):
    """What lines are about; at least one of the four."""

    findings = serializers.ListField(child=serializers.UUIDField(), default=list)
    photographs = serializers.ListField(child=serializers.UUIDField(), default=list)
    exhibits = serializers.ListField(child=serializers.UUIDField(), default=list)
    topics = serializers.ListField(child=serializers.CharField(max_length=80), default=list)


class PassageInput(LinkedInput):
    """Lines of a statement; their words are taken from its file."""

    id = serializers.UUIDField()
    from_page = serializers.IntegerField(min_value=1)
    from_line = serializers.IntegerField(min_value=1)
    to_page = serializers.IntegerField(min_value=1)
    to_line = serializers.IntegerField(min_value=1)


class PassageLinking(LinkedInput):
    """What lines are about from now on, with the version that was read."""

    version = serializers.IntegerField(min_value=1)


PassageLinkOutput = shape_of(
    "PassageLinkOutput", PassageLink, ("finding", "photograph", "exhibit", "topic"),
    "One thing that a passage is about.",
)  # fmt: skip
PassageOutput = shape_of(
    "PassageOutput", StatementPassage,
    ("id", "version", "statement", "from_page", "from_line", "to_page", "to_line", "words",
     "links", "voided_at"),
    "A passage with its words and what it is about.",
    links=PassageLinkOutput(many=True, source="active_links"),
)  # fmt: skip


def _page(case: Case, statement_id: UUID, number: int) -> StatementPage:
    return queries.page_of(queries.statement_of(case, statement_id), number)


def _passages(case: Case, statement_id: UUID) -> list[StatementPassage]:
    return queries.passages_of(case, queries.statement_of(case, statement_id).pk)


def _with_links(passage: StatementPassage) -> StatementPassage:
    return queries.with_links(passage)


def mark(
    actor: Staff,
    *,
    case_id: UUID,
    statement_id: UUID,
    record_id: UUID,
    entry: Entry,
    findings: Sequence[UUID],
    photographs: Sequence[UUID],
    exhibits: Sequence[UUID],
    topics: Sequence[str],
) -> StatementPassage:
    """Mark lines as `actions.mark_passage` does."""
    linked = actions.Linked(findings, photographs, exhibits, topics)
    return actions.mark_passage(
        actor,
        case_id=case_id,
        statement_id=statement_id,
        record_id=record_id,
        entry=entry,
        linked=linked,
    )


def link(
    actor: Staff,
    *,
    case_id: UUID,
    passage_id: UUID,
    version: int,
    findings: Sequence[UUID],
    photographs: Sequence[UUID],
    exhibits: Sequence[UUID],
    topics: Sequence[str],
) -> StatementPassage:
    """Link lines anew as `actions.link_passage` does."""
    linked = actions.Linked(findings, photographs, exhibits, topics)
    return actions.link_passage(
        actor, case_id=case_id, passage_id=passage_id, version=version, linked=linked
    )


routes = [
    at(f"{CASE}/statements/", "statements",
       get=lists("statements_list", seen("statements"), queries.statements_of, StatementOutput,
           "Return the case's earlier statements by their day."),
       post=adds("statements_add", reading.add, StatementTextInput, StatementOutput,
           "Add a statement as text; the same id again gets the same statement.")),
    at(f"{CASE}/statements/files/", "statement-files", parsers=[MultiPartParser],
       post=adds("statements_add_file", reading.add, StatementFileInput, StatementOutput,
           "Add a statement as a PDF; the same id again gets the same statement.")),
    at(f"{STATEMENT}/", "statement",
       get=reads("statements_read", seen("statements"), queries.statement_of, StatementOutput,
           "Return one statement."),
       put=changes("statements_change", actions.change_statement, StatementChange,
           StatementOutput, "Correct what is said of the statement.")),
    at(f"{STATEMENT}/withdraw/", "withdraw-statement",
       post=changes("statements_withdraw", actions.void_statement, StatementReason,
           StatementOutput, "Withdraw the statement, with the reason.")),
    at(f"{STATEMENT}/pages/<int:number>/", "statement-page",
       get=reads("statement_pages_read", seen("statements"), _page, StatementPageOutput,
           "Return one page by its number.")),
    at(f"{STATEMENT}/passages/", "statement-passages",
       get=lists("passages_list", seen("statements"), _passages, PassageOutput,
           "Return the statement's passages by their place."),
       post=adds("passages_mark", mark, PassageInput, PassageOutput,
           "Mark lines and link them; the same id again gets the same passage.",
           shown=_with_links)),
    at(f"{PASSAGE}/", "statement-passage",
       put=changes("passages_link", link, PassageLinking, PassageOutput,
           "Say anew what the passage is about.", shown=_with_links)),
    at(f"{PASSAGE}/withdraw/", "withdraw-passage",
       post=changes("passages_withdraw", actions.void_passage, StatementReason, PassageOutput,
           "Withdraw the passage, with the reason.", shown=_with_links)),
]  # fmt: skip
