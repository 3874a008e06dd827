"""Codes on paper, which certificate signs, what is said of a document. No database, no clock."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Protocol, TypeVar
from uuid import UUID

from me_office.worded import Worded

# Crockford's letters: none that is taken for another when it is read aloud or typed from paper.
LETTERS = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
CODE_LETTERS, GROUP = 12, 4
_MISREAD = str.maketrans({"O": "0", "I": "1", "L": "1"})
_BETWEEN = re.compile(r"[\s\-‐-―]+")
_CODE = re.compile(f"[{LETTERS}]{{{CODE_LETTERS}}}")
_DIGEST = re.compile(r"[0-9a-f]{64}")
# Renewed so long before the end; said to be near it a little later, where nothing renewed it.
RENEWED_BEFORE, NEAR_ITS_END = timedelta(days=60), timedelta(days=30)


class SignedBy(Worded):
    """In which role somebody signs a document."""

    AUTHOR = "author", "author"
    REVIEWER = "reviewer", "reviewer"
    SECOND = "second", "second pathologist"


# Names of the fields in the file, and how a program that reads aloud says them.
FIELDS = {
    SignedBy.AUTHOR: ("Author", "Digital signature of the author"),
    SignedBy.REVIEWER: ("Reviewer", "Digital signature of the reviewer"),
    SignedBy.SECOND: ("SecondPathologist", "Digital signature of the second pathologist"),
}
AGREED = "I have read this document and the signed report, and sign it as second pathologist."


def code_of(key: UUID) -> str:
    """Return the code that is printed on a document: the same for its key each time.

    Sixty bits of a digest: nobody finds one by trying, and nothing can be read from it.
    """
    number = int.from_bytes(hashlib.sha256(b"document " + key.bytes).digest()[:8]) >> 4
    letters = "".join(LETTERS[number >> 5 * place & 31] for place in reversed(range(CODE_LETTERS)))
    return "-".join(letters[at : at + GROUP] for at in range(0, CODE_LETTERS, GROUP))


def read_code(typed: str) -> str | None:
    """Return a code as it is kept, however it was typed, or None for what is none."""
    letters = _BETWEEN.sub("", typed).upper().translate(_MISREAD)
    if not _CODE.fullmatch(letters):
        return None
    return "-".join(letters[at : at + GROUP] for at in range(0, CODE_LETTERS, GROUP))


def read_digest(typed: str) -> str | None:
    """Return a SHA-256 in hexadecimal as it is kept, or None for what is none."""
    letters = _BETWEEN.sub("", typed).lower()
    return letters if _DIGEST.fullmatch(letters) else None


class Held(Protocol):
    """A certificate that the office holds with its private key."""

    not_before: datetime
    not_after: datetime
    revoked_at: datetime | None


HeldT = TypeVar("HeldT", bound=Held)


def is_good(one: Held, at: datetime) -> bool:
    """Tell whether a certificate may sign at a moment."""
    revoked = one.revoked_at is not None and one.revoked_at <= at
    return one.not_before <= at <= one.not_after and not revoked


def good_one(held: Iterable[HeldT], at: datetime) -> HeldT | None:
    """Return the certificate that signs at a moment: of several good ones the one made last."""
    return max(
        (one for one in held if is_good(one, at)), key=lambda one: one.not_before, default=None
    )


def is_to_be_renewed(one: Held, at: datetime) -> bool:
    """Tell whether another certificate is to be issued now, before this one ends."""
    return is_good(one, at) and one.not_after - at <= RENEWED_BEFORE


def state_words(one: Held, at: datetime) -> str:
    """Say in a few words how a certificate stands."""
    if one.revoked_at is not None:
        return "revoked"
    if at < one.not_before:
        return "not valid yet"
    if at > one.not_after:
        return "expired"
    return "expires soon" if one.not_after - at <= NEAR_ITS_END else "valid"


@dataclass(frozen=True)
class Later:
    """Something that was added to a report after a document."""

    kind: str
    number: int
    day: date


def day_words(day: date) -> str:
    """Return a day as it is printed."""
    return f"{day.day} {day:%B %Y}"


def later_words(later: Sequence[Later], *, kind: str) -> str:
    """Say what came later than a document, with the days; or that nothing did."""
    if not later:
        return f"Nothing was added to or changed in this {kind} later."
    named = "; ".join(f"{one.kind} {one.number}, {day_words(one.day)}" for one in later)
    count = f"{len(later)} later document{'s' if len(later) > 1 else ''}"
    belongs = "belongs" if len(later) == 1 else "belong"
    return f"{count} {belongs} to this report: {named}. Ask the office for what you lack."
