"""Words and limits of findings. No database, no clock."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable
from datetime import datetime
from enum import StrEnum

from me_office.worded import Worded


class FindingClass(StrEnum):
    """What kind of thing was seen."""

    INJURY = "injury"
    POSTMORTEM_CHANGE = "postmortem change"
    ARTIFACT = "artifact"
    NATURAL_DISEASE = "natural disease"
    MEDICAL_INTERVENTION = "medical intervention"
    IDENTIFYING_FEATURE = "identifying feature"
    OTHER = "other"


class MarkKind(StrEnum):
    """How a mark is drawn on the body chart."""

    POINT = "point"
    LINE = "line"
    AREA = "area"
    PAIRED = "paired"
    PATTERN = "pattern"


class PathEnd(Worded):
    """Which end of a pair a mark is."""

    ENTRANCE = "entrance", "entrance"
    EXIT = "exit", "exit"
    RECOVERED = "recovered", "where the object was recovered"


END_LETTERS = {PathEnd.ENTRANCE: "a", PathEnd.EXIT: "b", PathEnd.RECOVERED: "b"}


FAR_ENDS = (PathEnd.EXIT, PathEnd.RECOVERED)


class Terminus(StrEnum):
    """How a wound path ends."""

    EXIT = "exit"
    RECOVERED = "recovered object"
    TRACK_ENDS = "end of the track"


class DepthWay(StrEnum):
    """Which way a wound path goes through the depth of the body."""

    BACKWARD = "front to back"
    FORWARD = "back to front"


class LividityState(StrEnum):
    """What is seen of lividity in a region."""

    PRESENT = "present"
    ABSENT = "absent"
    SPARED = "spared by pressure"
    CANNOT_BE_JUDGED = "cannot be judged"


class Blanching(StrEnum):
    """What lividity does under the thumb."""

    BLANCHES = "blanches"
    PARTLY = "partly"
    FIXED = "fixed"
    NOT_TESTED = "not tested"


class RigorStage(StrEnum):
    """How stiff a joint is."""

    ABSENT = "absent"
    BEGINNING = "beginning"
    COMPLETE = "complete"
    PASSING = "passing"
    BROKEN = "broken"
    NOT_TESTED = "not tested"


class CountKind(StrEnum):
    """How a number of impacts is meant."""

    AT_LEAST = "at least"
    EXACTLY = "exactly"
    CANNOT_SAY = "cannot be determined"


class Timing(Worded):
    """Before or after death."""

    ANTEMORTEM = "antemortem", "before death"
    HEALED = "healed", "well before death, with healing (remote)"
    PERIMORTEM = "perimortem", "about the time of death"
    FRESH_BONE = "fresh bone", "while the bone was fresh, before or after death"
    POSTMORTEM = "postmortem", "after death"
    UNDETERMINED = "undetermined", "before or after death cannot be said"


# "Perimortem" means two things: about the time of death (pathology), and while the bone was fresh,
# which says nothing of the person's being alive (anthropology). They are told apart.
TIMING_CHOICES = {
    Timing.HEALED: "healed or healing (remote)",
    Timing.PERIMORTEM: "perimortem: about the time of death",
    Timing.FRESH_BONE: "perimortem: bone was fresh",
}


class MeasuredBy(StrEnum):
    """How a size or position was obtained."""

    RULER = "ruler"
    PHOTOGRAPH = "photograph"
    ESTIMATE = "estimate"


class Strength(StrEnum):
    """How an interpretation stands against what was seen."""

    CONSISTENT = "consistent with"
    NOT_EXCLUDED = "not excluded"
    EXCLUDED = "excluded"


# How many corners a mark of each kind needs; the most is a guard against a stuck pen.
FEWEST_POINTS = {
    MarkKind.POINT: 1,
    MarkKind.LINE: 2,
    MarkKind.AREA: 3,
    MarkKind.PAIRED: 1,
    MarkKind.PATTERN: 3,
}
MOST_POINTS = 400


def kind_needs_reason(kind: str, normal: Collection[str] = ("full autopsy",)) -> bool:
    """Tell whether an examination has to say why it is not one of the office's normal kinds."""
    return kind not in normal


def wrong_with_times(
    *, began_at: datetime, ended_at: datetime | None, now: datetime
) -> tuple[str, str] | None:
    """Return the field and the sentence for times that cannot be, or None."""
    if began_at > now:
        return "began_at", "The examination cannot begin in the future."
    if ended_at is not None and ended_at < began_at:
        return "ended_at", "The end cannot be before the beginning."
    if ended_at is not None and ended_at > now:
        return "ended_at", "The examination cannot end in the future."
    return None


def wrong_with_points(kind: str, points: object) -> str | None:
    """Return the sentence for points that do not make a mark of this kind, or None."""
    if kind not in FEWEST_POINTS:
        return "A mark is a point, a line, an area, one end of a pair or a pattern."
    if not isinstance(points, list | tuple) or not all(_is_point(point) for point in points):
        return "Each point of a mark needs two numbers."
    fewest = FEWEST_POINTS[MarkKind(kind)]
    if len(points) < fewest:
        return f"This kind of mark needs at least {fewest} points."
    if kind == MarkKind.POINT and len(points) > 1:
        return "A point mark has one point."
    if kind == MarkKind.PAIRED and len(points) > 1:
        return "Each end of a pair is one point."
    if len(points) > MOST_POINTS:
        return f"A mark may have at most {MOST_POINTS} points."
    return None


def wrong_with_mark(
    *, kind: str, end: str, count_low: int | None, count_high: int | None
) -> tuple[str, str] | None:
    """Return the field and the sentence for a pair or pattern that lacks something, or None."""
    if (kind == MarkKind.PAIRED) != bool(end):
        return "end", "Say which end of the pair this is; other marks have no end."
    if kind != MarkKind.PATTERN:
        if count_low is not None or count_high is not None:
            return "count_low", "Only a pattern has a number of marks."
        return None
    if count_low is None or count_low < 1:
        return "count_low", "Say how many marks the pattern has, at least."
    if count_high is not None and count_high < count_low:
        return "count_high", "The largest number cannot be below the smallest."
    return None


def wrong_with_pair(end: str, standing: Iterable[str]) -> tuple[str, str] | None:
    """Return what is wrong with one more end beside those that stand, or None."""
    there = list(standing)
    if end == PathEnd.ENTRANCE and PathEnd.ENTRANCE in there:
        return "end", "The entrance is marked already."
    if end in FAR_ENDS and any(one in FAR_ENDS for one in there):
        return "end", "The far end is marked already. Record another path as its own finding."
    return None


def count_range_words(low: int, high: int | None) -> str:
    """A counted range as it is said: at least 12, exactly 3, 12 to 15."""
    if high is None:
        return f"at least {low}"
    return f"exactly {low}" if low == high else f"{low} to {high}"


def offers_path(mechanism: str, term: str) -> bool:
    """Tell whether a finding is one that has a path: a firearm or a sharp wound of entrance."""
    words = f"{mechanism} {term}".lower()
    if "exit" in words:
        return False
    return any(word in words for word in ("firearm", "gunshot", "shotgun", "sharp", "stab"))


def wrong_with_path(
    *, klass: str, ends_as: str, has_exit_finding: bool, end_words: str, same_finding: bool
) -> tuple[str, str] | None:
    """Return the field and the sentence for a wound path that does not hold together, or None."""
    if klass != FindingClass.INJURY:
        return "structures", "A wound path begins at an injury."
    if same_finding:
        return "exit_finding", "The exit is another finding than the entrance."
    if has_exit_finding and ends_as != Terminus.EXIT:
        return "exit_finding", "Only an exit has a finding of its own."
    if ends_as == Terminus.RECOVERED and not end_words.strip():
        return "end_words", "Say what was recovered, and where."
    return None


def _is_point(point: object) -> bool:
    return (
        isinstance(point, list | tuple)
        and len(point) == 2
        and all(
            isinstance(n, int | float) and not isinstance(n, bool) and math.isfinite(n)
            for n in point
        )
    )


def wrong_with_finding(
    *,
    klass: str,
    measured: bool,
    measured_by: str,
    impacts_kind: str,
    impacts: int | None,
    impacts_reason: str,
    impact_group: str,
) -> tuple[str, str] | None:
    """Return the field and the sentence for a finding that does not hold together, or None."""
    if measured and not measured_by:
        return "measured_by", "Say how it was measured."
    if klass != FindingClass.INJURY and (impacts_kind or impact_group):
        return "impacts_kind", "Impacts are counted for injuries only."
    if impacts_kind == CountKind.CANNOT_SAY:
        if impacts is not None:
            return "impacts", "Leave the number out when it cannot be determined."
        if not impacts_reason.strip():
            return "impacts_reason", "Say why the number cannot be determined."
    elif impacts_kind and (impacts is None or impacts < 1):
        return "impacts", "Give a number of at least 1, or say that it cannot be determined."
    elif not impacts_kind and impacts is not None:
        return "impacts_kind", "Say whether this is the least or the exact number."
    return None


def wrong_with_interpretation(*, standing: str, ground: str) -> tuple[str, str] | None:
    """Return the field and the sentence for an interpretation without its ground, or None."""
    if standing == Strength.EXCLUDED and not ground.strip():
        return "ground", "Say on what ground this is excluded."
    return None


def impacts_words(kind: str, impacts: int | None) -> str:
    """How a number of impacts is said: at least 2, exactly 1, cannot be determined."""
    if not kind or kind == CountKind.CANNOT_SAY:
        return kind
    return f"{kind} {impacts}"
