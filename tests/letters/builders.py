"""Letters for tests."""

from __future__ import annotations

from datetime import UTC, date, datetime
from types import SimpleNamespace
from typing import Any

from django.utils import timezone

from cases.court.models import RecordsRequest
from cases.letters import actions
from cases.letters.models import Letter, LetterSending
from me_office.accounts.models import Staff
from me_office.audit.ids import new_id

WORDS = {
    "to_name": "A. Pell",
    "address": "County attorney\n12 Quarry Road\nHale",
    "subject": "Your subpoena",
    "body": "To A. Pell:\n\nWe received it.",
    "signer": "R. Ostrander",
}


def written(asked: RecordsRequest, by: Staff, kind: str = "acknowledgment", **entry: Any) -> Letter:
    """A draft without gaps."""
    return actions.write_letter(
        by, case_id=asked.case_id, request_id=asked.pk, record_id=new_id(), kind=kind,
        entry={**WORDS, **entry},
    )  # fmt: skip


def made(asked: RecordsRequest, by: Staff, **entry: Any) -> Letter:
    """A letter that is made and kept."""
    draft = written(asked, by, **entry)
    return actions.make_letter(by, case_id=asked.case_id, letter_id=draft.pk, version=1)


def sent(letter: Letter, by: Staff, **entry: Any) -> LetterSending:
    """What is recorded of a letter's sending."""
    after = entry.pop("after", None)
    said = {"way": "mail", "to_name": "A. Pell", "sent_at": timezone.now(), **entry}
    return actions.record_letter_sent(
        by, case_id=letter.case_id, letter_id=letter.pk, record_id=new_id(), after=after,
        entry=said,
    )  # fmt: skip


def mailed(
    letter: Letter, by: Staff, address: str = "pell@hale.invalid", **more: Any
) -> LetterSending:
    """A letter that waits to be mailed."""
    return sent(letter, by, way="email", address=address, sent_at=None, **more)


def loose(**fields: Any) -> Any:
    """A letter without a database, as far as it is printed."""
    values = {
        **WORDS,
        "enclosures": "Invoice 2026-014",
        "reference": "2026-0118-L3",
        "dated_on": date(2026, 11, 30),
        "request": SimpleNamespace(cause_number="CR-26-01177"),
        **fields,
    }
    return SimpleNamespace(**values)


AT = datetime(2026, 11, 30, 15, tzinfo=UTC)
