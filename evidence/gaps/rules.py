"""What a photograph log misses, and what seems to belong together. No database, no clock."""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from itertools import pairwise
from uuid import UUID

from evidence.photographs.rules import NEARNESS, Shot, nearer_later


class LogGapKind(StrEnum):
    """What a photograph log may lack."""

    IDENTIFICATION = "identification"
    INJURY = "injury"
    CLOSE_UP = "close-up"
    SCALE = "scale"
    SURROUNDINGS = "surroundings"


@dataclass(frozen=True)
class Seen:
    """A finding, as the rules see it."""

    id: UUID
    number: int
    term: str
    is_injury: bool


@dataclass(frozen=True)
class LogGap:
    """One thing that is missing, in words; with the photograph or injury it is about."""

    kind: LogGapKind
    words: str
    shot: Shot | None = None
    seen: Seen | None = None

    @property
    def key(self) -> str:
        """What it is about, the same each time it is found: by it a person sets it aside."""
        about = self.seen.id if self.seen else self.shot.id if self.shot else "case"
        return f"{self.kind}:{about}"


def missing_pictures(shots: Sequence[Shot], findings: Iterable[Seen]) -> list[LogGap]:
    """Return what the photograph log still lacks, in the order in which it should be mended.

    Common practice: identification first; every injury photographed, also from near; a close-up
    together with an overview or mid-range picture that shows where it is, and with one that has a
    scale. Pictures belong together that share a finding, a series or the region in words.
    """
    gaps = []
    if not any(shot.view == "identification" for shot in shots):
        gaps.append(LogGap(LogGapKind.IDENTIFICATION, "No identification photograph."))
    injuries = sorted((seen for seen in findings if seen.is_injury), key=lambda each: each.number)
    gaps.extend(_missing_of_injuries(injuries, shots))
    beside = _Beside(shots)
    for shot in sorted(shots, key=lambda each: each.number):
        if shot.view == "close-up":
            gaps.extend(beside.missing(shot))
    return gaps


def _missing_of_injuries(injuries: Iterable[Seen], shots: Iterable[Shot]) -> list[LogGap]:
    shown = {key for shot in shots for key in shot.finding_ids}
    from_near = {key for shot in shots if shot.view == "close-up" for key in shot.finding_ids}
    gaps = []
    for seen in injuries:
        if seen.id not in shown:
            words = f"No photograph shows injury {seen.number} ({seen.term})."
            gaps.append(LogGap(LogGapKind.INJURY, words, seen=seen))
        elif seen.id not in from_near:
            words = f"No close-up shows injury {seen.number} ({seen.term})."
            gaps.append(LogGap(LogGapKind.CLOSE_UP, words, seen=seen))
    return gaps


class _Beside:
    """What stands beside a close-up; looked up by what pictures share, for thousands of them."""

    def __init__(self, shots: Iterable[Shot]) -> None:
        self.scaled: dict[object, int] = {}
        self.wide: set[object] = set()
        for shot in shots:
            for bond in bonds(shot):
                if shot.view == "close-up" and shot.with_scale:
                    self.scaled[bond] = shot.number
                elif shot.view in {"overview", "mid-range"}:
                    self.wide.add(bond)

    def missing(self, close_up: Shot) -> list[LogGap]:
        shared, gaps = bonds(close_up), []
        if not close_up.with_scale and not any(bond in self.scaled for bond in shared):
            words = f"Close-up {close_up.number} has no matching picture with a scale."
            gaps.append(LogGap(LogGapKind.SCALE, words, shot=close_up))
        if not any(bond in self.wide for bond in shared):
            words = (
                f"Close-up {close_up.number} has no overview or mid-range picture of the same "
                "place."
            )
            gaps.append(LogGap(LogGapKind.SURROUNDINGS, words, shot=close_up))
        return gaps


def bonds(shot: Shot) -> set[object]:
    """Return what ties a photograph to others: its findings, its series, its region in words."""
    region = shot.region.strip().casefold()
    return {*shot.finding_ids, *shot.series_ids, *([region] if region else [])}


# Common practice: one area is photographed in one go. A longer pause begins another series.
LONGEST_PAUSE = timedelta(minutes=20)


MOST_PROPOSED = 12


# More pictures than this can't be judged at a glance: their series is named by hand.
MOST_TOGETHER = 24


@dataclass(frozen=True)
class Proposal:
    """Photographs that may be of the same area; a person says whether they are."""

    title: str
    why: str
    shots: tuple[Shot, ...]

    @property
    def key(self) -> str:
        """Its photographs: another one among them makes it another proposal."""
        names = ",".join(sorted(str(shot.id) for shot in self.shots))
        return f"series:{hashlib.sha256(names.encode()).hexdigest()[:32]}"


def proposed_series(shots: Sequence[Shot], findings: Iterable[Seen]) -> list[Proposal]:
    """Propose series where a photograph is in none with another of its area yet.

    First those that show the same finding; then those of the same region, place and time. A
    proposal differs within itself in view or scale: ten overviews are no series.
    """
    proposals = []
    for seen in sorted(findings, key=lambda each: each.number):
        together = [shot for shot in shots if seen.id in shot.finding_ids]
        why = f"They show finding {seen.number}, {seen.term}."
        title = _one_region(together) or f"{seen.number} {seen.term}"
        proposals.append(_proposal(together, title=title, why=why))
    for region, together in _by_region_and_time(shots):
        why = "Same region, same place, taken shortly after each other."
        proposals.append(_proposal(together, title=region, why=why))
    kept: list[Proposal] = []
    for proposal in proposals:
        if proposal and not any(set(proposal.shots) <= set(there.shots) for there in kept):
            kept.append(proposal)
    return kept[:MOST_PROPOSED]


def _one_region(together: Iterable[Shot]) -> str:
    regions = {shot.region.strip().casefold(): shot.region.strip() for shot in together}
    return next(iter(regions.values())) if len(regions) == 1 else ""


def _proposal(together: Sequence[Shot], *, title: str, why: str) -> Proposal | None:
    if len(together) > MOST_TOGETHER or len({(one.view, one.with_scale) for one in together}) < 2:
        return None
    held = Counter(key for shot in together for key in shot.series_ids)
    if all(any(held[key] > 1 for key in shot.series_ids) for shot in together):
        return None
    return Proposal(title, why, tuple(sorted(together, key=nearer_later)))


def _by_region_and_time(shots: Iterable[Shot]) -> list[tuple[str, list[Shot]]]:
    groups: dict[tuple[str, str], list[Shot]] = {}
    for shot in shots:
        if shot.region.strip() and shot.taken_at is not None and shot.view in NEARNESS:
            key = (shot.region.strip().casefold(), shot.place)
            groups.setdefault(key, []).append(shot)
    runs = []
    for group in groups.values():
        in_time = sorted(group, key=lambda each: (each.taken_at or datetime.min, each.number))
        run = [in_time[0]]
        for before, shot in pairwise(in_time):
            if (
                shot.taken_at
                and before.taken_at
                and shot.taken_at - before.taken_at > LONGEST_PAUSE
            ):
                runs.append((run[0].region.strip(), run))
                run = []
            run.append(shot)
        runs.append((run[0].region.strip(), run))
    return runs
