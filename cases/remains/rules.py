"""When a body may leave the office and come back, and what a release has to say. No database."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from typing import Any

from cases.rules.case import IdentityState
from me_office.names import is_one_of
from me_office.statements import COMMON_PRACTICE, statement

WHO_MAY_CLAIM = statement(
    "remains.authority",
    "Local law says who may claim a body, in which order, and which papers are needed. This page "
    "keeps what was shown and who decided.",
    where="Release of the body",
    source=COMMON_PRACTICE,
)
TWO_READERS = statement(
    "remains.two-readers",
    "Two people read the tag on the body itself, not on the bag or the list, and compare it with "
    "the case number.",
    where="Release of the body",
    source=COMMON_PRACTICE,
)


CREMATION = statement(
    "remains.cremation",
    "Whether this office has to approve a cremation is set by local law. What is cremated can't be "
    "examined again: approve when no question to the body is open.",
    where="Cremation approval",
    source=COMMON_PRACTICE,
)
IMPLANTS = statement(
    "remains.implants",
    "Devices with a battery and radioactive sources in the body are a danger in a cremation. Tell "
    "whoever receives the body of those that are known.",
    where="Cremation approval",
    source=COMMON_PRACTICE,
)
# Item 18 of the U.S. Standard Certificate of Death (revision of November 2003): these six boxes.
DISPOSITIONS = [
    ("burial", "burial"),
    ("cremation", "cremation"),
    ("donation", "donation"),
    ("entombment", "entombment"),
    ("removal from state", "removal from state"),
    ("other", "other"),
]


class Outcome(StrEnum):
    """How a request for cremation approval stands."""

    OPEN = "open"
    APPROVED = "approved"
    REFUSED = "refused"


class Way(StrEnum):
    """Which way the body went."""

    IN = "in"
    OUT = "out"


@dataclass(frozen=True)
class Movement:
    """The body came in or went out; `stay` counts its stays in the office from 1."""

    way: Way
    stay: int
    at: datetime


def in_course(movements: Sequence[Movement]) -> list[Movement]:
    """Return movements as they have to follow each other: in, out, in again, out again."""
    return sorted(movements, key=lambda one: (one.stay, one.way is Way.OUT))


def last_movement(movements: Sequence[Movement]) -> Movement | None:
    """Return the latest movement; None for a body that never came in."""
    course = in_course(movements)
    return course[-1] if course else None


def is_here(movements: Sequence[Movement]) -> bool:
    """Tell whether the body is in the office."""
    last = last_movement(movements)
    return last is not None and last.way is Way.IN


def wrong_time(movements: Sequence[Movement], of: Movement) -> str:
    """Return why one movement cannot be at its time; empty if it can.

    The other movements of the body stand, and each is at or after the one before it.
    """
    course = in_course(movements)
    place = course.index(of)
    before = course[place - 1] if place else None
    after = course[place + 1] if place + 1 < len(course) else None
    if before is not None and of.at < before.at:
        came = "was received" if before.way is Way.IN else "was released"
        return f"The body {came} only after this time."
    if after is not None and of.at > after.at:
        went = "was released" if after.way is Way.OUT else "was returned"
        return f"The body {went} before this time."
    return ""


def same_tag(one: str, other: str) -> bool:
    """Tell whether two readings of a tag are the same, but for capitals, blanks and hyphens."""
    return _plain(one) == _plain(other)


def _plain(tag: str) -> str:
    return "".join(sign for sign in tag.casefold() if sign.isalnum())


def wrong_in_release(
    said: Mapping[str, Any], *, tag: str, identity: str, released_by: str = ""
) -> dict[str, str]:
    """Return the fields of a release that cannot stand, each with a sentence.

    `tag` is the tag with which the body came in, `identity` how far identity is established.
    """
    wrong: dict[str, str] = {}
    if is_one_of(str(said.get("second_reader") or ""), [released_by]):
        wrong["second_reader"] = (
            "Two people read the tag: name someone other than the person releasing the body."
        )
    explained = bool(str(said.get("identity_remark") or "").strip())
    if said.get("tag_number") and not same_tag(said["tag_number"], tag) and not explained:
        wrong["tag_number"] = (
            f"The body was received with tag {tag}. Read the tag again; if it was replaced, "
            "say so below."
        )
    if identity != IdentityState.CONFIRMED and not explained:
        wrong["identity_remark"] = (
            f"Identity is {identity}. Say on what ground the body is released before it is "
            "confirmed."
        )
    given, kept = said.get("belongings_given"), said.get("belongings_kept")
    belongings = said.get("belongings")
    if belongings in {"given", "some"} and not given:
        wrong["belongings_given"] = "Say what was given with the body."
    if belongings in {"kept", "some"} and not kept:
        wrong["belongings_kept"] = "Say what the office keeps, and where it is."
    if belongings == "none" and (given or kept):
        wrong["belongings"] = "Belongings are named below."
    if belongings == "given" and kept:
        wrong["belongings"] = "Some are kept: choose that part was given."
    if belongings == "kept" and given:
        wrong["belongings"] = "Some are given: choose that part was given."
    return wrong


def why_held(holds: Sequence[str]) -> str:
    """Return why a body with these open holds cannot be released; empty without a hold."""
    if not holds:
        return ""
    n = len(holds)
    is_open = "A hold is" if n == 1 else f"{n} holds are"
    return f"{is_open} open: {'; '.join(holds)}. It is lifted with a reason before the release."


def cremation_caution(method: str, outcomes: Sequence[str]) -> str:
    """Return what speaks against a cremation; empty for anything else, or where it is approved.

    `outcomes` are those of the requests that stand, in the order in which they were asked.
    """
    if method != "cremation" or (outcomes and outcomes[-1] == Outcome.APPROVED):
        return ""
    if not outcomes:
        return "No approval of a cremation is recorded. Local law says whether it is needed."
    if outcomes[-1] == Outcome.REFUSED:
        return "Cremation was refused by this office."
    return "Approval of the cremation is asked for and not decided."


def wrong_in_disposition(
    said: Mapping[str, Any], *, today: date, released_on: date | None
) -> dict[str, str]:
    """Return the fields of a disposition that cannot stand, each with a sentence."""
    wrong: dict[str, str] = {}
    other = str(said.get("method_other") or "").strip()
    if said.get("method") == "other" and not other:
        wrong["method_other"] = "Say what was done."
    if said.get("method") != "other" and other:
        wrong["method_other"] = "Choose “other”, or leave this empty."
    on = said.get("done_on")
    if on is not None and on > today:
        wrong["done_on"] = "This date is in the future."
    elif on is not None and released_on is not None and on < released_on:
        wrong["done_on"] = "The body was still in the office on this day."
    return wrong
