"""Lividity and rigor by region: what to ask, and the words of the report.

The sides that a position leads one to expect stand in `cases.scene_rules`; times and their sources
in `findings.calculations.lividity_check`. No database, no clock.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from cases.scene_rules import (
    EXPECTED,
    NEVER,
    OPPOSITE,
    POSITION_WORDS,
    SIDE_SHOWN,
    lividity_caution,
    sides_named,
)
from findings.calculations.lividity_check import METHOD
from findings.rules import Blanching, LividityState
from findings.sentences import begin_small

# Excerpts seen, and what is from memory: the method's own list says which.
SOURCES = METHOD.sources


@dataclass(frozen=True)
class LividRegion:
    """Lividity of one region, as these rules see it."""

    region: str
    state: str
    blanching: str = ""
    colour: str = ""
    note: str = ""


def distribution_cautions(position_found: str, rows: Iterable[LividRegion]) -> list[str]:
    """What to ask where the distribution does not go with the position found; often nothing.

    Silent where the position is not stated. Never a conclusion.
    """
    seen = list(rows)
    present = [row for row in seen if row.state == LividityState.PRESENT]
    spared = [row.region for row in seen if row.state == LividityState.SPARED]
    where = ", ".join(row.region for row in present)
    cautions = [lividity_caution(position_found, where, _blanching(present))]
    cautions.append(_spared_caution(position_found, spared))
    return [words for words in cautions if words]


def _blanching(present: list[LividRegion]) -> str:
    tested = {row.blanching for row in present}
    if Blanching.FIXED in tested:
        return "fixed"
    return "blanches" if tested & {Blanching.BLANCHES, Blanching.PARTLY} else ""


def _spared_caution(position_found: str, spared: list[str]) -> str:
    """Skin pressed against a support stays pale: it should lie on the side the body lay on."""
    expected = EXPECTED.get(position_found)
    if expected is None or expected not in OPPOSITE:
        return ""
    against = [side for side in OPPOSITE[expected] if side in sides_named(", ".join(spared))]
    if not against or expected == "lower limbs":
        return ""
    shown = " and ".join(SIDE_SHOWN[side] for side in against)
    return (
        f"Pressure-spared skin on {shown} does not go with a body found "
        f"{POSITION_WORDS[position_found]}: it marks a surface that the body lay on. {NEVER}"
    )


def lividity_words(rows: Iterable[LividRegion]) -> str:
    """The lividity in a sentence for each state, regions in the order given."""
    seen = list(rows)
    said = []
    for row in seen:
        if row.state == LividityState.PRESENT:
            more = ", ".join(part for part in (row.colour, _blanching_words(row), row.note) if part)
            said.append(f"{row.region}{f' ({begin_small(more)})' if more else ''}")
    sentences = [f"Lividity is present on the {'; '.join(said)}."] if said else []
    for state, words in (
        (LividityState.SPARED, "It is spared by pressure on the"),
        (LividityState.ABSENT, "It is absent on the"),
    ):
        regions = [
            f"{row.region}{f' ({begin_small(row.note)})' if row.note else ''}"
            for row in seen
            if row.state == state
        ]
        if regions:
            sentences.append(f"{words} {', '.join(regions)}.")
    return " ".join(sentences)


def _blanching_words(row: LividRegion) -> str:
    return {
        "": "",
        Blanching.BLANCHES: "blanches on pressure",
        Blanching.PARTLY: "blanches in part",
        Blanching.FIXED: "fixed",
        Blanching.NOT_TESTED: "blanching not tested",
    }[row.blanching]


def rigor_words(rows: Iterable[tuple[str, str, str]]) -> str:
    """The rigor (joint, stage, note) in one sentence, joints of one stage together."""
    by_stage: dict[str, list[str]] = {}
    for joint, stage, note in rows:
        named = f"{joint} ({begin_small(note)})" if note else joint
        by_stage.setdefault(stage, []).append(named)
    if not by_stage:
        return ""
    said = [f"{stage} in the {', '.join(joints)}" for stage, joints in by_stage.items()]
    return f"Rigor is {'; '.join(said)}."
