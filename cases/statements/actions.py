"""Adding statements and reading their files; marking passages and linking them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from uuid import UUID

from django.utils import timezone

from cases import access
from cases.access import Act
from cases.actions.entry import case_to_change, refuse_wrong, withdraws
from cases.actions.requests import Alike
from cases.models import Case
from cases.statements import queries
from cases.statements.models import PassageLink, Statement, StatementPage, StatementPassage
from cases.statements.paging import Page
from cases.statements.rules import Line, Place, wrong_in_place, wrong_in_statement
from evidence import store
from evidence.store import Incoming
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Conflict, Refused
from me_office.audit.fields import said_of, set_fields
from me_office.audit.records import (
    recorded_before,
    require_version,
    save_new,
    save_next_version,
    void,
)
from me_office.entries import Entry
from me_office.jobs import actions as jobs
from me_office.jobs.rules import JobState

READING_TASK = "cases.statements.tasks.read_statement"
CHANGE_FIELDS = (
    *("kind", "given_on", "speaker", "spoken_to", "court", "cause_number"),
    *("taken_down", "note"),
)
FIELDS = (*CHANGE_FIELDS, "first_page")
_OFFICES = ("state", "attempts", "failure", "file", "file_name", "pages_read", "lines_printed")


@dataclass(frozen=True)
class Linked:
    """What a passage is linked to: keys of findings, photographs and exhibits, and topics."""

    findings: Sequence[UUID] = field(default=())
    photographs: Sequence[UUID] = field(default=())
    exhibits: Sequence[UUID] = field(default=())
    topics: Sequence[str] = field(default=())

    def targets(self) -> set[tuple[str, object]]:
        """Return column and value of each, once."""
        said = {("topic", " ".join(one.split())) for one in self.topics if one.strip()}
        return {
            *(("finding_id", UUID(str(key))) for key in self.findings),
            *(("photograph_id", UUID(str(key))) for key in self.photographs),
            *(("exhibit_id", UUID(str(key))) for key in self.exhibits),
            *said,
        }


@action
def add_statement(
    actor: Staff,
    *,
    case_id: UUID,
    record_id: UUID,
    incoming: Incoming,
    pages: Sequence[Page] = (),
    entry: Entry,
    reason: str = "",
) -> Statement:
    """Keep an earlier statement; `entry` holds FIELDS.

    `pages` are those of a text that was pasted; a PDF comes without, and a worker reads it.
    Raises NotKnown, NotAllowed, Invalid, Conflict.
    """
    case = case_to_change(actor, Act.KEEP_STATEMENTS, case_id)
    statement = Statement(pk=record_id, case=case)
    set_fields(statement, entry, FIELDS)
    there = recorded_before(statement, assigned=_OFFICES)
    if there is not None:
        if there.file.sha256 != incoming.sha256:
            raise Conflict("A record with this key has different content.", record=there)
        return there
    refuse_wrong(wrong_in_statement(_said(statement), timezone.localdate()))
    statement.file_name = incoming.name[-200:]
    if pages:
        statement.state = JobState.MADE.value
        _note_pages(statement, pages)
    with store.kept(incoming) as statement.file:
        save_new(actor, statement, own_key=True)
        if pages:
            _keep_pages(statement, pages)
        else:
            jobs.send_after_commit(READING_TASK, statement.pk)
    return statement


@action
def change_statement(
    actor: Staff, *, case_id: UUID, statement_id: UUID, version: int, entry: Entry, reason: str = ""
) -> Statement:
    """Correct what is said of a statement; `entry` holds CHANGE_FIELDS. Its text never changes.

    Raises NotKnown, NotAllowed, StaleRecord, Invalid.
    """
    case = case_to_change(actor, Act.KEEP_STATEMENTS, case_id)
    statement = queries.statement_for_update(case, statement_id)
    require_version(statement, version)
    set_fields(statement, entry, CHANGE_FIELDS)
    refuse_wrong(wrong_in_statement(_said(statement), timezone.localdate()))
    return save_next_version(actor, statement)


# Its passages go with it and are shown nowhere.
void_statement = withdraws(
    "void_statement", Act.KEEP_STATEMENTS, queries.statement_for_update, key="statement_id"
)


@action
def finish_statement_reading(
    actor: Staff, *, request_id: UUID, attempt: int, pages: Sequence[Page], reason: str = ""
) -> Statement:
    """Keep the pages that were read. Raises NotKnown, NotAllowed, TakenOver."""
    statement = queries.statement_to_read_for_update(request_id)
    access.require(actor, Act.KEEP_STATEMENTS, statement.case)
    jobs.require_attempt(statement, attempt)
    _note_pages(statement, pages)
    _keep_pages(statement, pages)
    return jobs.finish(actor, statement)


@action
def mark_passage(
    actor: Staff,
    *,
    case_id: UUID,
    statement_id: UUID,
    record_id: UUID,
    entry: Entry,
    linked: Linked,
    reason: str = "",
) -> StatementPassage:
    """Mark lines of a statement and link them; `entry`: from_page, from_line, to_page, to_line.

    The words are taken from the file. Raises NotKnown, NotAllowed, Refused, Conflict.
    """
    case = case_to_change(actor, Act.KEEP_STATEMENTS, case_id)
    statement = queries.statement_for_update(case, statement_id)
    place = Place(
        Line(entry["from_page"], entry["from_line"]), Line(entry["to_page"], entry["to_line"])
    )
    passage = StatementPassage(
        pk=record_id,
        case=case,
        statement=statement,
        from_page=place.first.page,
        from_line=place.first.line,
        to_page=place.last.page,
        to_line=place.last.line,
        words=_words_at(statement, place),
    )
    there = recorded_before(passage)
    if there is not None:
        # Whatever became since of what it was linked to, a retry gets its answer.
        if set(_linked_now(there)) != linked.targets():
            raise Conflict("A record with this key has different content.", record=there)
        return there
    targets = _targets(case, linked)
    save_new(actor, passage, own_key=True)
    _link(actor, passage, targets)
    return passage


@action
def link_passage(
    actor: Staff,
    *,
    case_id: UUID,
    passage_id: UUID,
    version: int,
    linked: Linked,
    reason: str = "",
) -> StatementPassage:
    """Say anew what a passage is about: links that are not named are withdrawn.

    Raises NotKnown, NotAllowed, StaleRecord, Refused.
    """
    case = case_to_change(actor, Act.KEEP_STATEMENTS, case_id)
    passage = queries.passage_for_update(case, passage_id)
    require_version(passage, version)
    targets, standing = _targets(case, linked), _linked_now(passage)
    if targets == set(standing):
        return passage
    for target, link in standing.items():
        if target not in targets:
            void(actor, link, reason=reason or "No longer linked")
    _link(actor, passage, targets - set(standing))
    return save_next_version(actor, passage)


# One that was marked by mistake.
void_passage = withdraws(
    "void_passage", Act.KEEP_STATEMENTS, queries.passage_for_update, key="passage_id"
)


def _said(statement: Statement) -> dict[str, object]:
    return said_of(statement, FIELDS)


def _note_pages(statement: Statement, pages: Sequence[Page]) -> None:
    statement.pages_read = len(pages)
    statement.lines_printed = all(page.printed for page in pages if page.lines)


def _keep_pages(statement: Statement, pages: Sequence[Page]) -> None:
    StatementPage.objects.bulk_create(
        StatementPage(
            case_id=statement.case_id,
            statement=statement,
            number=page.number,
            printed=page.printed,
            lines=[list(line) for line in page.lines],
        )
        for page in pages
    )


def _words_at(statement: Statement, place: Place) -> str:
    if not statement.is_read:
        raise Refused("The text of this statement is not read yet.", field="lines")
    why_not = wrong_in_place(place)
    if why_not:
        raise Refused(why_not, field="lines")
    return queries.words_at(statement, place)


def _targets(case: Case, linked: Linked) -> set[tuple[str, object]]:
    targets = linked.targets()
    if not targets:
        raise Refused("Say what these lines are about.", field="findings")
    queries.require_in_case(case, linked.findings, linked.photographs, linked.exhibits)
    return targets


def _linked_now(passage: StatementPassage) -> dict[tuple[str, object], PassageLink]:
    found: dict[tuple[str, object], PassageLink] = {}
    for link in PassageLink.objects.active().filter(passage=passage):
        for column in ("finding_id", "photograph_id", "exhibit_id", "topic"):
            value = getattr(link, column)
            if value:
                found[(column, value)] = link
    return found


def _link(actor: Staff, passage: StatementPassage, targets: set[tuple[str, object]]) -> None:
    for column, value in sorted(targets, key=str):
        link = PassageLink(case_id=passage.case_id, passage=passage, **{column: value})
        save_new(actor, link, own_key=True)


ATTEMPTS = Alike(
    "statement_reading",
    Act.KEEP_STATEMENTS,
    READING_TASK,
    "reads the pages",
    queries.statement_to_read_for_update,
)
begin_statement_reading, fail_statement_reading = ATTEMPTS.begin, ATTEMPTS.fail
_PERSON = replace(ATTEMPTS, key="statement_id")
retry_statement_reading = _PERSON.retry
abandon_statement = _PERSON.leaves("abandon_statement")
