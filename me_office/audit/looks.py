"""Who looked: one row for each answer, written by the database's own function."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from django.db import connection

from me_office.accounts.models import Staff
from me_office.audit.context import RequestFacts, current_request

# Of a filter this many letters are noted, and this many filters.
# A wrong password or code. It says nothing about who looked, so lists of readers leave it out.
FAILED_TRY = "failed try"
MOST_LETTERS, MOST_FILTERS = 200, 20


def note(
    actor: Staff,
    what: str,
    *,
    case_id: Any = None,
    record_id: str = "",
    rows: int | None = None,
    asked: Mapping[str, Any] | None = None,
    facts: RequestFacts | None = None,
) -> None:
    """Note that somebody looked at something, now."""
    facts = facts or current_request.get() or RequestFacts()
    said = {
        str(name)[:MOST_LETTERS]: str(value)[:MOST_LETTERS].replace("\x00", "")
        for name, value in list((asked or {}).items())[:MOST_FILTERS]
        if value not in (None, "", False)
    }
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT audit_note_look(%s, %s, %s, %s, %s, %s, %s, %s)",
            [actor.pk, case_id, what, record_id, facts.request_id, facts.address, rows,
             json.dumps(said)],
        )  # fmt: skip


def note_list(
    actor: Staff,
    what: str,
    *,
    rows: int,
    asked: Mapping[str, Any] | None = None,
    case_id: Any = None,
) -> None:
    """Note that somebody was given a list: how many rows, chosen by what."""
    note(actor, what, case_id=case_id, rows=rows, asked=asked)


def note_failed_try(person: Staff, *, place: str, kind: str, held_back: bool) -> None:
    """Note a wrong password or code of somebody's: the person is whose it is, not who tried."""
    asked = {"secret": kind, "place": place, "held_back": "yes" if held_back else ""}
    note(person, FAILED_TRY, asked=asked)


def noted(
    actor: Staff, what: str, rows: Iterable[Any], *, asked: Mapping[str, Any] | None = None
) -> Iterator[Any]:
    """Hand an export on, and note how many rows went out under its head line.

    It is noted when the last row is sent or the receiver breaks off, with what went out till then.
    """
    # The rows are read after the request was answered, when its facts are gone.
    return _counted(actor, what, rows, asked, current_request.get())


def _counted(
    actor: Staff,
    what: str,
    rows: Iterable[Any],
    asked: Mapping[str, Any] | None,
    facts: RequestFacts | None,
) -> Iterator[Any]:
    sent = 0
    try:
        for row in rows:
            sent += 1
            yield row
    finally:
        note(actor, what, rows=max(0, sent - 1), asked=asked, facts=facts)
