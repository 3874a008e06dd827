"""Lividity and rigor by region: what to ask, and the words of the report.

The sides that a position leads one to expect stand in `cases.rules.lividity`; times and their
sources in `findings.calculations.lividity_check`. No database, no clock.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from cases.rules.lividity import SceneLividity, examination_question, spared_question
from findings.calculations.lividity_check import METHOD
from findings.rules import Blanching, LividityState
from findings.words.sentences import begin_small

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


def distribution_cautions(found: SceneLividity, rows: Iterable[LividRegion]) -> list[str]:
    """What to ask where the distribution does not go with the position found; often nothing.

    The scene's own lividity is compared first. Silent where the position is not stated. Never a
    conclusion.
    """
    seen = list(rows)
    present = [row for row in seen if row.state == LividityState.PRESENT]
    spared = [row.region for row in seen if row.state == LividityState.SPARED]
    where = ", ".join(row.region for row in present)
    cautions = [examination_question(found, where, _blanching(present))]
    cautions.append(spared_question(found.position, ", ".join(spared)))
    return [words for words in cautions if words]


def _blanching(present: list[LividRegion]) -> str:
    tested = {row.blanching for row in present}
    if Blanching.FIXED in tested:
        return "fixed"
    if Blanching.PARTLY in tested:
        return "partly"
    return "blanches" if Blanching.BLANCHES in tested else ""


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
        (LividityState.CANNOT_BE_JUDGED, "It cannot be judged on the"),
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
