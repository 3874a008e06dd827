"""Page numbers, what a delivery's address still opens, how an answer is called. No database."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from cases.decisions.rules import ItemKind

# Numbers of pages: letters, digits and single dashes before the number itself.
PREFIX = re.compile(r"[A-Z][A-Z0-9]*(?:-[A-Z0-9]+)*-?")
DEFAULT_PREFIX = "R-"
DEFAULT_DIGITS = 6
LEAST_DIGITS, MOST_DIGITS = 4, 9


def wrong_in_series(prefix: str, digits: int) -> dict[str, str]:
    """Return, by field, what cannot be so in the office's page numbers."""
    wrong = {}
    if not PREFIX.fullmatch(prefix):
        wrong["prefix"] = "Capital letters, digits and dashes, a letter first: TC- or ME-2026-."
    elif prefix[-1].isdigit():
        wrong["prefix"] = "End it with a letter or a dash, so that it stands apart from the number."
    if not LEAST_DIGITS <= digits <= MOST_DIGITS:
        wrong["digits"] = f"From {LEAST_DIGITS} to {MOST_DIGITS} digits."
    return wrong


def page_words(prefix: str, digits: int, number: int) -> str:
    """Return a page's number as it is stamped: TC-004117."""
    return f"{prefix}{number:0{digits}d}"


def range_words(prefix: str, digits: int, first: int, last: int) -> str:
    """Return the numbers of several pages: TC-004117 to TC-004120."""
    if first == last:
        return page_words(prefix, digits, first)
    return f"{page_words(prefix, digits, first)} to {page_words(prefix, digits, last)}"


def plain_prefix(prefix: str) -> str:
    """Return a prefix as prefixes are compared: without dashes and blanks, in capitals."""
    return re.sub(r"[\s-]", "", prefix).upper()


def read_page_number(typed: str, prefixes: list[str]) -> tuple[str, int] | None:
    """Return which of the office's prefixes was typed, and the number; None for neither.

    Blanks, dashes, zeros before the number and small letters make no difference. The longest prefix
    that fits is meant: ME-2 before ME-.
    """
    text = plain_prefix(typed)
    for prefix in sorted(prefixes, key=lambda one: (-len(plain_prefix(one)), one)):
        plain = plain_prefix(prefix)
        rest = text.removeprefix(plain)
        if rest != text and rest.isascii() and rest.isdigit() and len(rest) <= 12:
            return prefix, int(rest)
    return None


# In which order the kinds of one demand stand in the packet.
ORDER = (
    ItemKind.REPORT,
    ItemKind.ADDENDUM,
    ItemKind.RESULT,
    ItemKind.STATEMENT,
    ItemKind.DOCUMENT,
    ItemKind.CUSTODY,
    ItemKind.LEDGER,
    ItemKind.HISTORY,
    ItemKind.PHOTOGRAPH,
    ItemKind.RECORDING,
    ItemKind.OTHER,
)


def order_of(kind: str) -> int:
    """Return the place of a kind among the items of one demand."""
    return ORDER.index(ItemKind(kind)) if kind in set(ItemKind) else len(ORDER)


class Opens(StrEnum):
    """What the address of a delivery still does."""

    OPEN = "open"
    CALLED_BACK = "called back"
    ENDED = "ended"


def opens(*, ends_at: datetime, called_back: bool, now: datetime) -> Opens:
    """Tell whether a delivery's address opens the packet now."""
    if called_back:
        return Opens.CALLED_BACK
    return Opens.ENDED if now >= ends_at else Opens.OPEN


LONGEST = timedelta(days=90)


def wrong_end(ends_at: datetime, now: datetime) -> str:
    """Return what is wrong with the end of a delivery's address, or nothing."""
    if ends_at <= now:
        return "The address has to stay open for a while: choose a later end."
    if ends_at > now + LONGEST:
        return f"At most {LONGEST.days} days. Make a new address when more time is needed."
    return ""


# Without letters and digits that are mistaken for each other on the telephone.
CODE_LETTERS = "ABCDEFGHJKMNPQRSTUVWXYZ23456789"
CODE_LENGTH = 8


def code_words(code: str) -> str:
    """Return a code as it is told: K7QF-2M9X."""
    return f"{code[:4]}-{code[4:]}"


def plain_code(typed: str) -> str:
    """Return a typed code as codes are compared."""
    return re.sub(r"[\s-]", "", typed).upper()


@dataclass(frozen=True)
class Sent:
    """How many bytes of a packet went out in one download."""

    bytes_sent: int
    size: int

    @property
    def is_whole(self) -> bool:
        """Tell whether all of it went out."""
        return self.bytes_sent >= self.size
