"""Whether recorded lividity goes with the position in which the body was found.

The comparison and its sources stand in `findings.calculations.lividity_check`; the words for the
sides of the body in `cases.scene_rules`. No database, no clock.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

from cases.scene_rules import NEVER, sides_named
from findings.calculations.lividity_check import METHOD, POSITIONS
from findings.calculations.result import Plain

# The position that lividity on one side of the body fits.
FITS: Mapping[str, str] = {
    "back": "supine",
    "front": "prone",
    "left side": "left side",
    "right side": "right side",
}


def is_lividity(term: str) -> bool:
    """Tell whether a finding is lividity by its term."""
    return term.strip().lower() in {"lividity", "livor mortis", "livor"}


def lividity_caution(position_found: str, where: str, seen_as: str) -> str:
    """What to ask when lividity does not go with the position found; empty when it does.

    Silent where the position is not stated or the words name no side of the body.
    """
    fitting = [FITS[side] for side in FITS if side in sides_named(where)]
    if position_found not in POSITIONS or not fitting or position_found in fitting:
        return ""
    given: dict[str, Plain] = {"position_found": position_found, "lividity_matches": fitting[0]}
    fixed = _is_fixed(seen_as)
    if fixed is not None:
        given["fixed"] = fixed
    statement = str(METHOD.run(given).outcome.fields["statement"])
    return f"{statement[:1].upper()}{statement[1:]}. {NEVER}"


def _is_fixed(seen_as: str) -> bool | None:
    words = seen_as.lower()
    if re.search(r"\b(not fixed|unfixed|blanch\w*)\b", words):
        return False
    return True if re.search(r"\bfixed\b", words) else None
