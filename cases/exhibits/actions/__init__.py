"""Every change to exhibit sets, exhibits and redactions."""

from cases.exhibits.actions.composites import compose_exhibit
from cases.exhibits.actions.copies import MOST_COPIED, copy_exhibit_set
from cases.exhibits.actions.marks import MARK_FIELDS, keep_court_mark, void_court_mark
from cases.exhibits.actions.numbering import arrange_exhibits, renumber_exhibits
from cases.exhibits.actions.pdfs import (
    MOST_PAGES,
    PDF_TASK,
    Bound,
    abandon_exhibit_pdf,
    begin_exhibit_pdf,
    check_printable,
    fail_exhibit_pdf,
    finish_exhibit_pdf,
    request_exhibit_pdf,
    retry_exhibit_pdf,
)
from cases.exhibits.actions.redactions import (
    REDACTION_TASK,
    Burned,
    abandon_redaction,
    begin_redaction,
    fail_redaction,
    finish_redaction,
    request_redaction,
    retry_redaction,
    void_redaction,
)
from cases.exhibits.actions.rulings import RULING_FIELDS, change_ruling, record_ruling, void_ruling
from cases.exhibits.actions.sets import (
    EXHIBIT_FIELDS,
    SET_FIELDS,
    add_exhibit,
    change_exhibit,
    change_exhibit_set,
    make_exhibit_set,
    move_exhibit,
    remove_exhibit,
    void_exhibit_set,
)

__all__ = [
    "EXHIBIT_FIELDS",
    "MARK_FIELDS",
    "MOST_COPIED",
    "MOST_PAGES",
    "PDF_TASK",
    "REDACTION_TASK",
    "RULING_FIELDS",
    "SET_FIELDS",
    "Bound",
    "Burned",
    "abandon_exhibit_pdf",
    "abandon_redaction",
    "add_exhibit",
    "arrange_exhibits",
    "begin_exhibit_pdf",
    "begin_redaction",
    "change_exhibit",
    "change_exhibit_set",
    "change_ruling",
    "check_printable",
    "compose_exhibit",
    "copy_exhibit_set",
    "fail_exhibit_pdf",
    "fail_redaction",
    "finish_exhibit_pdf",
    "finish_redaction",
    "keep_court_mark",
    "make_exhibit_set",
    "move_exhibit",
    "record_ruling",
    "remove_exhibit",
    "renumber_exhibits",
    "request_exhibit_pdf",
    "request_redaction",
    "retry_exhibit_pdf",
    "retry_redaction",
    "void_court_mark",
    "void_exhibit_set",
    "void_redaction",
    "void_ruling",
]  # fmt: skip
