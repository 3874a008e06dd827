"""Whether what is said of a finding's side holds together. No database, no clock."""

from __future__ import annotations

import re
from typing import Final

# As in `findings.body.midline`: so far from the midline a side word says something.
_NEAR_CM: Final = 0.5
_SIDE: Final = re.compile(r"\b(left|right)\b", re.IGNORECASE)


def side_question(place: str, from_midline_cm: float | None, derived_place: str) -> str:
    """What to ask where the side in the words is not that of the position; empty when it fits.

    `from_midline_cm` is positive to the body's left and 0 in the midline; `derived_place` is what
    the first mark says of the place. Silent where the words name both sides or none.
    """
    side, drawn = the_one_side(place), the_one_side(derived_place)
    if not side:
        return ""
    if drawn and drawn != side:
        return f"its place says {side}, its mark lies on the {drawn}"
    if from_midline_cm is None:
        return ""
    if from_midline_cm == 0 and not drawn:
        return f"it lies in the midline, but its place says {side}"
    where = "left" if from_midline_cm > 0 else "right"
    if abs(from_midline_cm) > _NEAR_CM and where != side:
        return f"its place says {side}, its position {where} of the midline"
    return ""


def the_one_side(words: str) -> str:
    """The one side that words name; empty for none and for both."""
    said = {word.lower() for word in _SIDE.findall(words)}
    return said.pop() if len(said) == 1 else ""
