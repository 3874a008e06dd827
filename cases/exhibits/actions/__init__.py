"""Every change to exhibit sets, exhibits and redactions."""

from cases.exhibits.actions.marks import MARK_FIELDS, keep_court_mark, void_court_mark
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
    "REDACTION_TASK",
    "SET_FIELDS",
    "Burned",
    "abandon_redaction",
    "add_exhibit",
    "begin_redaction",
    "change_exhibit",
    "change_exhibit_set",
    "fail_redaction",
    "finish_redaction",
    "keep_court_mark",
    "make_exhibit_set",
    "move_exhibit",
    "remove_exhibit",
    "request_redaction",
    "retry_redaction",
    "void_court_mark",
    "void_exhibit_set",
    "void_redaction",
]  # fmt: skip
