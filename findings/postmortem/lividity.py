"""Whether the lividity of a finding goes with the position in which the body was found.

The comparison and its sources stand in `cases.rules.lividity`. No database, no clock.
"""

from __future__ import annotations

import re

from cases.rules.lividity import SceneLividity, examination_question

_LIVIDITY = {"lividity", "livor mortis", "livor", "fixed lividity", "blanching lividity"}


def is_lividity(term: str) -> bool:
    """Tell whether a finding is lividity by its term."""
    return term.strip().lower() in _LIVIDITY


def lividity_caution(found: SceneLividity, where: str, seen_as: str) -> str:
    """What to ask when lividity does not go with the position found; empty when it does.

    Silent where the position is not stated, the words name no side of the trunk, or the scene's
    own lividity went with the position.
    """
    return examination_question(found, where, _blanching(seen_as))


def _blanching(seen_as: str) -> str:
    words = seen_as.lower()
    if re.search(r"\b(cannot|can't|could not) be judged\b", words):
        return "cannot be judged"
    if re.search(r"\b(blanch\w* (?:in part|partly|partially)|partly blanch\w*)\b", words):
        return "partly"
    if re.search(r"\b(not fixed|unfixed|blanch\w*)\b", words):
        return "blanches"
    return "fixed" if re.search(r"\bfixed\b", words) else ""
