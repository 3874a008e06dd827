"""When a daily mail goes out, to which address, and what it says. No database.

It names no decedent: case numbers, how long each waits, and addresses that ask for the sign-in.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

# A mail that could not be sent is tried again after this, so often in a day.
AGAIN_AFTER = timedelta(minutes=15)
MOST_TRIES = 4


@dataclass(frozen=True)
class MailRow:
    """One thing that waits, without a name."""

    number: str
    when: str
    address: str
    pressing: bool


@dataclass(frozen=True)
class MailSection:
    """One section of the first page; `more` tells that the first page may have more of it."""

    title: str
    rows: tuple[MailRow, ...]
    more: bool = False


def is_due(local_now: datetime, hour: int) -> bool:
    """Tell whether the hour of the mail has come on the office's clock."""
    return local_now.hour >= hour


def may_try(*, outcome: str, tries: int, tried_at: datetime | None, now: datetime) -> bool:
    """Tell whether a day's mail may be tried now: not sent, not under way, not given up.

    A clock that was set back counts as one that went on: what lies ahead is as long ago.
    """
    if outcome or tries >= MOST_TRIES:
        return False
    return tried_at is None or abs(now - tried_at) >= AGAIN_AFTER


def wrong_address(address: str, *, wanted: bool, domains: Collection[str]) -> str:
    """Return what is wrong with the address of a daily mail, or nothing."""
    if not address:
        return "Give the address to which it is sent." if wanted else ""
    domain = address.rpartition("@")[2].lower()
    if domains and domain not in {one.lower() for one in domains}:
        allowed = " or ".join(sorted(one.lower() for one in domains))
        return f"Only an address of the office: one that ends in @{allowed}."
    return ""


def address_of_page(path: str, origin: str) -> str:
    """Return the whole address of a page, as far as the office's own is known."""
    return f"{origin.rstrip('/')}{path}" if origin else path


def count_of(sections: Sequence[MailSection]) -> tuple[int, int]:
    """Return how many things wait, and how many of them are pressing."""
    rows = [row for section in sections for row in section.rows]
    return len(rows), sum(1 for row in rows if row.pressing)


def _things(count: int) -> str:
    return "1 thing is waiting" if count == 1 else f"{count} things are waiting"


def subject_of(office: str, sections: Sequence[MailSection]) -> str:
    """Return the mail's subject, in one line."""
    waiting, pressing = count_of(sections)
    words = f"{_things(waiting)} for you"
    if pressing:
        words += f", {pressing} pressing"
    return f"{' '.join(office.split())}: {words}"


def letter_of(
    sections: Sequence[MailSection], *, day: date, office_lines: Sequence[str], own_page: str
) -> str:
    """Return the mail's words; `office_lines` say what waits in the whole office."""
    waiting, pressing = count_of(sections)
    said = f"{day:%A}, {day.day} {day:%B %Y}. {_things(waiting)} for you"
    lines = [f"{said}; {pressing} pressing." if pressing else f"{said}.", ""]
    for section in sections:
        many = f"{len(section.rows)} or more" if section.more else str(len(section.rows))
        lines += [f"{section.title} ({many})", *(_row(row) for row in section.rows), ""]
    if office_lines:
        lines += ["In the office", *(f"  {line}" for line in office_lines), ""]
    lines += [
        "Names are left out on purpose. The links ask you to sign in.",
        f"You chose this mail. To change or stop it: {own_page}",
    ]
    return "\n".join(lines) + "\n"


def _row(row: MailRow) -> str:
    sign = "!" if row.pressing else "-"
    words = ", ".join(part for part in (row.number, row.when) if part)
    return f"{sign} {words}{' (pressing)' if row.pressing else ''}\n  {row.address}"
