"""Manner of death, and what is plainly lacking in a statement of cause. No database."""

from __future__ import annotations

import re
from collections.abc import Mapping
from enum import StrEnum
from typing import Any


class Manner(StrEnum):
    """Manner of death as the US Standard Certificate of Death (2003 revision, item 37) has it."""

    NATURAL = "natural"
    ACCIDENT = "accident"
    SUICIDE = "suicide"
    HOMICIDE = "homicide"
    UNDETERMINED = "undetermined"
    PENDING = "pending"


# A mechanism says how life ended in everybody; alone it is no underlying cause.
# Source: the NCHS handbooks on completing the cause of death, from memory.
MECHANISMS = (
    "cardiac arrest",
    "cardiopulmonary arrest",
    "cardiorespiratory arrest",
    "respiratory arrest",
    "respiratory failure",
    "heart failure",
    "asystole",
    "shock",
    "exsanguination",
    "multiple organ failure",
)


def lowest_cause(entry: Mapping[str, Any]) -> str:
    """Return the underlying cause: the lowest filled line of part I, or nothing."""
    lines = [str(entry.get(f"cause_{letter}", "") or "") for letter in "abcd"]
    return next((line for line in reversed(lines) if line.strip()), "")


def is_mechanism_only(cause: str) -> bool:
    """Tell whether a cause names a mechanism and nothing that led to it."""
    plain = re.sub(r"[^a-z ]", "", cause.lower()).strip()
    return plain in MECHANISMS


def cautions_on(entry: Mapping[str, Any]) -> list[str]:
    """Return what a certifier may want to look at again. Nothing here stops the statement."""
    cautions: list[str] = []
    underlying = lowest_cause(entry)
    manner = entry.get("manner", "")
    if underlying and is_mechanism_only(underlying):
        cautions.append(
            f"“{underlying}” names a mechanism. What led to it belongs on the lowest line."
        )
    not_natural = manner in {Manner.ACCIDENT, Manner.SUICIDE, Manner.HOMICIDE}
    if not_natural and not str(entry.get("injury_how", "")).strip():
        cautions.append(
            "Items 38 to 43 of the certificate are asked when the manner is not natural: "
            "how the injury occurred is not stated yet."
        )
    if manner == Manner.PENDING and underlying:
        cautions.append("A pending manner has to be replaced by a supplemental certificate later.")
    return cautions


def needs_reason(was: str, becomes: str) -> bool:
    """Tell whether a change of manner has to be explained: any change of one that was stated."""
    return was not in {"", Manner.PENDING} and was != becomes
