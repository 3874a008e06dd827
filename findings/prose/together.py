"""Several findings of a kind in one place, told in one sentence. No database.

What is said of all of them has to be true of each: only findings that were recorded alike but for
size and position are told together; the chart's table has each one's size.
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import replace

from findings.prose.observed import Facts, described_several, place_words
from findings.words.sentences import begin_small, is_plural, length_words, size_words, small_cm
from findings.words.vocabulary import UNCOUNTED

NUMBERS = ("two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")


def alike_key(facts: Facts) -> Hashable:
    """Return what findings agree in that one sentence can say; None for one that is told alone.

    They are alike but for size and position, with the same kind of measures, on the same side.
    """
    if is_plural(facts.term) or begin_small(facts.term.strip()) in UNCOUNTED:
        return None
    if facts.depth_mm is not None or facts.far_end or facts.separate_marks:
        return None
    if facts.places > 1 or not facts.place.strip():
        return None
    offset = facts.from_midline_cm
    known = (facts.above_heel_cm, offset, facts.length_mm, facts.width_mm)
    side = 0 if not offset else 1 if offset > 0 else -1
    rest = replace(facts, above_heel_cm=None, from_midline_cm=None, length_mm=None, width_mm=None)
    return rest, side, *(one is not None for one in known)


def told_together(found: Sequence[Facts]) -> str:
    """Say them: "On the back of the left forearm are four linear abrasions, 1.2 to 3.5 cm long."

    They are given in the order of their numbers.
    """
    first = found[0]
    count = NUMBERS[len(found) - 2] if len(found) <= len(NUMBERS) + 1 else str(len(found))
    what, seen = described_several(first, count)
    sizes = _sizes(found)
    where = place_words(first.place, _position(found))
    said = [f"{where} are {what}{f', {sizes}' if sizes else ''}.", *seen]
    return " ".join(said)


def _sizes(found: Sequence[Facts]) -> str:
    if found[0].length_mm is None:
        return ""
    by_size = sorted(found, key=lambda one: (one.length_mm or 0, one.width_mm or 0))
    if found[0].width_mm is not None:
        said = list(dict.fromkeys(size_words(one.length_mm, one.width_mm) for one in by_size))
        return f"each {said[0]}" if len(said) == 1 else f"from {said[0]} to {said[-1]}"
    lengths = [small_cm(one.length_mm or 0) for one in by_size]
    if lengths[0] == lengths[-1]:
        return f"each {lengths[0]} cm long"
    return f"{lengths[0]} to {lengths[-1]} cm long"


def _position(found: Sequence[Facts]) -> str:
    """Heights and distances from the midline as ranges."""
    first, said = found[0], []
    heights = [one.above_heel_cm for one in found if one.above_heel_cm is not None]
    if heights:
        said.append(f"{_range(heights, first.tapped_cm)} above the heel")
    offsets = [abs(one.from_midline_cm) for one in found if one.from_midline_cm is not None]
    if offsets and first.midline:
        if not any(offsets):
            said.append(f"in the {first.midline} midline")
        else:
            side = "left" if (first.from_midline_cm or 0) > 0 else "right"
            said.append(f"{_range(offsets, first.tapped_cm)} {side} of the {first.midline} midline")
    return " and ".join(said)


def _range(lengths: Sequence[float], tapped_cm: float | None) -> str:
    low, high = (length_words(one, tapped_cm) for one in (min(lengths), max(lengths)))
    if low == high:
        return low
    return f"{low.removesuffix(' cm')} to {high.removeprefix('about ')}"
