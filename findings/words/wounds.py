"""Fields of a gunshot or sharp wound: their choices, what is wrong with them, and their words.

The clock face is the body's own in the anatomical position: 12 o'clock points toward the head, 3
o'clock to the reader's right, as one looks at the wound (common practice). Range of fire is no
field: it is an opinion and stands with what a finding may mean. No database, no clock.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Any, Final

PRESENT, NOT_SEEN, NOT_JUDGED = "present", "not seen", "cannot be judged"
PRESENCE_CHOICES: Final = [
    (NOT_SEEN, "not seen"),
    (PRESENT, "present"),
    (NOT_JUDGED, "cannot be judged"),
]
END_CHOICES: Final = [
    ("pointed", "pointed"),
    ("squared", "squared or blunt"),
    ("forked", "forked"),
    ("undetermined", "cannot be determined"),
]
WOUND_FIELDS: Final = (
    "clock_hour",
    "first_end",
    "second_end",
    "closed_length_mm",
    "ring_12_mm",
    "ring_3_mm",
    "ring_6_mm",
    "ring_9_mm",
    "soot",
    "soot_across_mm",
    "soot_down_mm",
    "stippling",
    "stippling_across_mm",
    "stippling_down_mm",
)
RING_HOURS: Final = (12, 3, 6, 9)
# Ranges of fire as opinions, in the trade's words; offered where a finding may be of a firearm.
RANGE_WORDS: Final = (
    "contact range of fire",
    "near-contact range of fire",
    "intermediate range of fire",
    "distant range of fire",
    "range of fire that cannot be determined",
)
_END_WORDS: Final = {
    "pointed": "is pointed",
    "squared": "is squared",
    "forked": "is forked",
    "undetermined": "cannot be determined",
}


@dataclass(frozen=True)
class Wound:
    """The wound fields of a finding; sizes in mm, None or empty where nothing was recorded."""

    clock_hour: int | None = None
    first_end: str = ""
    second_end: str = ""
    closed_length_mm: float | None = None
    ring_12_mm: float | None = None
    ring_3_mm: float | None = None
    ring_6_mm: float | None = None
    ring_9_mm: float | None = None
    soot: str = ""
    soot_across_mm: float | None = None
    soot_down_mm: float | None = None
    stippling: str = ""
    stippling_across_mm: float | None = None
    stippling_down_mm: float | None = None

    @property
    def is_empty(self) -> bool:
        """Whether nothing of a wound is recorded."""
        return all(getattr(self, one.name) in (None, "") for one in fields(self))


def wound_of(values: Mapping[str, Any]) -> Wound:
    """A wound from recorded values; decimals become numbers."""
    given: dict[str, Any] = {
        name: float(value) if name.endswith("_mm") and value is not None else value
        for name, value in values.items()
    }
    return Wound(**given)


def wrong_with_wound(wound: Wound, *, klass: str) -> tuple[str, str] | None:
    """Return the field and the sentence for wound fields that do not hold together, or None."""
    if wound.is_empty:
        return None
    if klass != "injury":
        first = next(name for name in WOUND_FIELDS if getattr(wound, name) not in (None, ""))
        return first, "Ends, ring, soot and stippling are recorded of injuries only."
    if (wound.first_end or wound.second_end) and wound.clock_hour is None:
        return "clock_hour", "Enter the hour toward which the first end points."
    for name in ("soot", "stippling"):
        across, down = getattr(wound, f"{name}_across_mm"), getattr(wound, f"{name}_down_mm")
        if (across is not None or down is not None) and getattr(wound, name) != PRESENT:
            return name, "An extent is given only of what is present."
        if down is not None and across is None:
            return f"{name}_across_mm", "Give the extent across too."
    return None


def opposite(hour: int) -> int:
    """The hour across the clock face: 8 for 2, 12 for 6."""
    return (hour + 5) % 12 + 1


def wound_words(wound: Wound) -> str:
    """The wound's fields in sentences, nothing for what was not recorded."""
    said = [_axis(wound), _ends(wound), _closed(wound), _ring(wound)]
    said += [_spread(wound, "soot"), _spread(wound, "stippling")]
    return " ".join(sentence for sentence in said if sentence)


def _axis(wound: Wound) -> str:
    if wound.clock_hour is None:
        return ""
    far = opposite(wound.clock_hour)
    return f"Its long axis runs from {wound.clock_hour} to {far} o'clock, 12 being toward the head."


def _ends(wound: Wound) -> str:
    if wound.clock_hour is None:
        return ""
    hours = (wound.clock_hour, opposite(wound.clock_hour))
    ends = [
        f"the {hour} o'clock end {_END_WORDS[end]}"
        for hour, end in zip(hours, (wound.first_end, wound.second_end), strict=True)
        if end
    ]
    words = " and ".join(ends)
    return f"{words[:1].upper()}{words[1:]}." if words else ""


def _closed(wound: Wound) -> str:
    if wound.closed_length_mm is None:
        return ""
    return f"With its edges brought together it is {wound.closed_length_mm / 10:.1f} cm long."


def _ring(wound: Wound) -> str:
    widths = [(hour, getattr(wound, f"ring_{hour}_mm")) for hour in RING_HOURS]
    known = [(hour, width) for hour, width in widths if width is not None]
    if not known:
        return ""
    if all(width == 0 for _, width in known) and len(known) == len(RING_HOURS):
        return "There is no ring of marginal abrasion."
    if len(known) == len(RING_HOURS) and len({width for _, width in known}) == 1:
        return f"The ring of marginal abrasion is {known[0][1] / 10:.2g} cm wide all around."
    shown = [f"{width / 10:.2g} cm at {hour} o'clock" for hour, width in known]
    first = shown[0].replace(" cm at", " cm wide at", 1)
    listed = ", ".join([first, *shown[1:-1]])
    return (
        f"The ring of marginal abrasion is {listed}{f' and {shown[-1]}' if len(shown) > 1 else ''}."
    )


def _spread(wound: Wound, name: str) -> str:
    state = getattr(wound, name)
    if not state:
        return ""
    if state == NOT_SEEN:
        return f"No {name} is seen on the skin around it."
    if state == NOT_JUDGED:
        return f"{name.capitalize()} cannot be judged."
    sizes = (getattr(wound, f"{name}_across_mm"), getattr(wound, f"{name}_down_mm"))
    shown = " × ".join(f"{one / 10:.1f}" for one in sizes if one is not None)
    return f"{name.capitalize()} is present{f' over {shown} cm' if shown else ''}."
