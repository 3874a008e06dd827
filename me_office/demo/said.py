"""What is said in the entry of an act, several fields in a few words: by ruler, before death.

For a report of death, for a scene, for a finding. Times are told as in `scenario`.
"""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from typing import Any


def caller(name: str, role: str, agency: str) -> dict[str, Any]:
    """Say of a report's entry who called."""
    return {"caller_name": name, "caller_role": role, "caller_agency": agency}


def last_alive(certainty: str, at: timedelta, by: str) -> dict[str, Any]:
    """Say of a report's entry when the decedent was last alive, and by whom that is told."""
    return {"last_alive_certainty": certainty, "last_alive_at": at, "last_alive_by": by}


def found_dead(at: timedelta, by: str) -> dict[str, Any]:
    """Say of a report's entry exactly when the decedent was found, and by whom."""
    return {"found_certainty": "exact", "found_at": at, "found_by": by}


def pronounced(at: timedelta, by: str) -> dict[str, Any]:
    """Say of a report's entry when death was pronounced, and by whom."""
    return {"pronounced_at": at, "pronounced_by": by}


def livid(
    where: str, color: str, blanching: str, at: timedelta, *, spared: str = ""
) -> dict[str, Any]:
    """Say of a scene's entry where the body was livid, and how."""
    said = {
        "lividity_where": where,
        "lividity_colour": color,
        "lividity_blanching": blanching,
        "lividity_seen_at": at,
    }
    return {**said, "lividity_spared": spared} if spared else said


def stiff(rigor: str, where: str, at: timedelta) -> dict[str, Any]:
    """Say of a scene's entry how stiff the body was, and where."""
    return {"rigor": rigor, "rigor_where": where, "rigor_seen_at": at}


def ruler(length_mm: int, width_mm: int | None = None) -> dict[str, Any]:
    """Say of a finding's entry how long and wide it is by a ruler."""
    said: dict[str, Any] = {"length_mm": Decimal(length_mm), "measured_by": "ruler"}
    return said if width_mm is None else {**said, "width_mm": Decimal(width_mm)}


def antemortem(ground: str) -> dict[str, Any]:
    """Say of a finding's entry that it came before death, and by what that is seen."""
    return {"timing": "antemortem", "timing_ground": ground}


def postmortem(ground: str) -> dict[str, Any]:
    """Say of a finding's entry that it came after death, and by what that is seen."""
    return {"timing": "postmortem", "timing_ground": ground}


def at_least(impacts: int, group: str = "") -> dict[str, Any]:
    """Say of an injury's entry how many impacts it takes at the least, and shared with which."""
    return _impacts("at least", impacts, group)


def exactly(impacts: int, group: str = "") -> dict[str, Any]:
    """Say of an injury's entry how many impacts made it, and shared with which."""
    return _impacts("exactly", impacts, group)


def _impacts(kind: str, impacts: int, group: str) -> dict[str, Any]:
    said: dict[str, Any] = {"impacts_kind": kind, "impacts": impacts}
    return {**said, "impact_group": group} if group else said
