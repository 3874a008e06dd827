"""PDFs of a set for the courtroom: asking for one, keeping it, trying again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from cases import access
from cases.access import Act
from cases.actions.entry import case_to_change
from cases.actions.requests import Alike
from cases.exhibits import queries
from cases.exhibits.models import Exhibit, ExhibitPdf
from cases.models import Case
from evidence import store
from evidence.store import Incoming
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Refused
from me_office.audit.records import recorded_before, save_new
from me_office.jobs import actions as jobs

PDF_TASK = "cases.exhibits.tasks.make_exhibit_pdf"
# What a worker compiles within a few minutes, and within its memory.
MOST_PAGES = 150


@dataclass(frozen=True)
class Bound:
    """A PDF in the temporary place, and what it holds."""

    file: Incoming
    pages: int
    contents: list[dict[str, Any]]


@action
def request_exhibit_pdf(
    actor: Staff,
    *,
    case_id: UUID,
    set_id: UUID,
    record_id: UUID,
    with_captions: bool = False,
    with_photograph_numbers: bool = False,
    reason: str = "",
) -> ExhibitPdf:
    """Ask for a set as PDF, an exhibit a page; a worker makes it under the same key.

    Raises NotAllowed, NotKnown, Refused, Conflict.
    """
    case = case_to_change(actor, Act.PREPARE_EXHIBITS, case_id)
    exhibit_set = queries.set_for_update(case, set_id)
    asked = ExhibitPdf(
        pk=record_id,
        case=case,
        exhibit_set=exhibit_set,
        with_captions=with_captions,
        with_photograph_numbers=with_photograph_numbers,
    )
    there = recorded_before(
        asked, assigned=("state", "attempts", "failure", "file", "pages", "contents")
    )
    if there is not None:
        return there
    check_printable(case, queries.exhibits_to_present(exhibit_set))
    if queries.pdfs_under_way(exhibit_set):
        raise Refused("A PDF of this set is being made. Wait until it is ready.")
    save_new(actor, asked)
    jobs.send_after_commit(PDF_TASK, asked.pk)
    return asked


def check_printable(case: Case, exhibits: Sequence[Exhibit]) -> None:
    """Refuse what would show too much, too little or nothing. Raises Refused."""
    if not exhibits:
        raise Refused("This set has no exhibit to print.")
    if len(exhibits) > MOST_PAGES:
        raise Refused(f"A PDF has up to {MOST_PAGES} exhibits. Copy a part of them to a new set.")
    to_be_hidden = queries.photographs_to_be_hidden(case)
    for one in exhibits:
        for photograph in one.photographs:
            if photograph.pk in to_be_hidden:
                raise Refused(
                    f"A redacted copy of photograph {photograph.number} was requested and is not "
                    "ready. Wait for it, or dismiss it on the exhibits page."
                )


@action
def finish_exhibit_pdf(
    actor: Staff, *, request_id: UUID, attempt: int, bound: Bound, reason: str = ""
) -> ExhibitPdf:
    """Keep the PDF that was made, if the set is still what was printed.

    Raises NotAllowed, NotKnown, Refused, TakenOver.
    """
    asked = queries.pdf_for_update(request_id)
    access.require(actor, Act.PREPARE_EXHIBITS, asked.case)
    jobs.require_attempt(asked, attempt)
    exhibits = queries.exhibits_to_present(asked.exhibit_set)
    check_printable(asked.case, exhibits)
    if queries.contents_of(asked, exhibits) != bound.contents:
        raise Refused("The set was changed while its PDF was made. Try again.")
    asked.contents, asked.pages = bound.contents, bound.pages
    with store.kept(bound.file, folder=store.DERIVED) as asked.file:
        return jobs.finish(actor, asked)


EXHIBIT_PDF = Alike(
    "exhibit_pdf", Act.PREPARE_EXHIBITS, PDF_TASK, "reads the photographs", queries.pdf_for_update
)
begin_exhibit_pdf, fail_exhibit_pdf = EXHIBIT_PDF.begin, EXHIBIT_PDF.fail
retry_exhibit_pdf, abandon_exhibit_pdf = EXHIBIT_PDF.retry, EXHIBIT_PDF.abandon
