"""Words and decisions of photographs, specimens and property. No database, no clock."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from uuid import UUID

from me_office.audit.errors import Refused

ORIGINAL_PURPOSE = "storage of the original"


class LackingKind(StrEnum):
    """What a photograph log may lack."""

    IDENTIFICATION = "identification"
    INJURY = "injury"
    SCALE = "scale"
    SURROUNDINGS = "surroundings"


@dataclass(frozen=True)
class Shot:
    """A photograph, as the rules see it."""

    number: int
    view: str
    with_scale: bool
    region: str
    shows: str
    finding_ids: frozenset[UUID] = frozenset()
    id: UUID | None = None


@dataclass(frozen=True)
class Seen:
    """A finding, as the rules see it."""

    id: UUID
    number: int
    term: str
    is_injury: bool


@dataclass(frozen=True)
class Lacking:
    """One thing that is missing, in words; with the photograph or injury it is about."""

    kind: LackingKind
    words: str
    shot: Shot | None = None
    seen: Seen | None = None


def missing_pictures(shots: Sequence[Shot], findings: Iterable[Seen]) -> list[Lacking]:
    """Return what the photograph log still lacks, in the order in which it should be mended.

    Common practice: identification first; every injury photographed; a close-up together with
    an overview or mid-range picture that shows where it is, and with one that has a scale.
    """
    lacking = []
    if not any(shot.view == "identification" for shot in shots):
        lacking.append(Lacking(LackingKind.IDENTIFICATION, "No identification photograph."))
    lacking.extend(
        Lacking(
            LackingKind.INJURY,
            f"No photograph shows injury {seen.number} ({seen.term}).",
            seen=seen,
        )
        for seen in sorted(findings, key=lambda each: each.number)
        if seen.is_injury and not any(seen.id in shot.finding_ids for shot in shots)
    )
    for shot in sorted(shots, key=lambda each: each.number):
        if shot.view == "close-up":
            lacking.extend(_missing_beside(shot, shots))
    return lacking


def _missing_beside(close_up: Shot, shots: Sequence[Shot]) -> list[Lacking]:
    same = [shot for shot in shots if shot.number != close_up.number and _same(shot, close_up)]
    lacking = []
    if not close_up.with_scale and not any(
        shot.view == "close-up" and shot.with_scale for shot in same
    ):
        words = f"Close-up {close_up.number} has no partner with a scale."
        lacking.append(Lacking(LackingKind.SCALE, words, shot=close_up))
    if not any(shot.view in {"overview", "mid-range"} for shot in same):
        words = (
            f"Close-up {close_up.number} has no overview or mid-range picture of the same place."
        )
        lacking.append(Lacking(LackingKind.SURROUNDINGS, words, shot=close_up))
    return lacking


def _same(one: Shot, other: Shot) -> bool:
    if one.finding_ids & other.finding_ids:
        return True
    region = one.region.strip().casefold()
    return bool(region) and region == other.region.strip().casefold()


def check_taken(taken_at: datetime | None, *, now: datetime) -> None:
    """Refuse a photograph from the future. Raises Refused."""
    if taken_at is not None and taken_at > now:
        raise Refused("The time it was taken lies in the future.", field="taken_at")


def check_collected(
    collected_at: datetime | None, handed_over_at: datetime, *, now: datetime
) -> None:
    """Refuse times that cannot follow each other. Raises Refused."""
    if collected_at is not None and collected_at > now:
        raise Refused("The time lies in the future.", field="collected_at")
    if handed_over_at > now:
        raise Refused("The time of the transfer lies in the future.", field="handed_over_at")
    if collected_at is not None and handed_over_at < collected_at:
        raise Refused("It was collected later than this.", field="handed_over_at")


def behind_the_cover(view: str, region: str, shows: str) -> str:
    """Name what a veiled picture shows: Close-up, right chest, contusion."""
    first = shows.strip().split(". ")[0].rstrip(".")
    short = first if len(first) <= 70 else f"{first[:67].rsplit(' ', 1)[0]} …"
    words = ", ".join(part for part in (view, region.strip(), short) if part)
    return words[:1].upper() + words[1:]
