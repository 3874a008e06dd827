"""Which findings speak against a negative statement.

A finding is compared by the sites of its marks, layers and paths, and by its words where nothing
was drawn, whatever its class. It only asks: the pathologist decides. No database, no clock.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

from findings.questions.negatives import DENYING, Denies, Statement, stated_in
from findings.questions.sites import (
    BENEATH,
    BREAK,
    NOWHERE,
    Sites,
    deep_sites,
    landmark_sites,
    part_sites,
    region_sites,
    surface_sites,
    term_sites,
)
from findings.rules import FindingClass
from findings.words.layers import Layer
from findings.words.terms import TERMS

# A narrowing from here on speaks against "no significant stenosis" (common practice: 50 % or 75 %
# by author; the smaller one asks earlier).
SIGNIFICANT_PERCENT: Final = 50

_DAMAGE: Final = re.compile(
    r"\b(fractur\w*|lacerat\w*|ruptur\w*|abrasions?|contusions?|burns?|resuscitation injur\w+"
    r"|dislocat\w*|hemorrhag\w*|bites)\b",
    re.IGNORECASE,
)
_NOTHING: Final = re.compile(
    r"\b(no|not|none|without|intact|unremarkable|normal|free of|negative|uninjured|pale)\b",
    re.IGNORECASE,
)
# Layers that are a site of their own, wherever the finding lies.
_LAYER_SITES: Final[Mapping[str, Sites]] = {
    Layer.GALEA: frozenset({"scalp"}),
    Layer.TEMPORALIS: frozenset({"scalp"}),
    Layer.SUBGALEAL: frozenset({"scalp"}),
    Layer.SKULL: frozenset({"skull"}),
    Layer.EPIDURAL: frozenset({"epidural"}),
    Layer.DURA: frozenset({"dura"}),
    Layer.SUBDURAL: frozenset({"subdural"}),
    Layer.SUBARACHNOID: frozenset({"subarachnoid"}),
    Layer.BRAIN: frozenset({"brain"}),
}


@dataclass(frozen=True)
class Seen:
    """A finding as it is compared.

    `regions` are keys of surface regions without their side, `parts` pairs of a schematic drawing
    and a part of it, `layers` pairs of a layer and what was found there, `structures` what a wound
    path goes through. `place` is read only where `regions` and `parts` are empty.
    """

    number: int
    klass: str
    term: str
    place: str = ""
    regions: Sequence[str] = ()
    parts: Sequence[tuple[str, str]] = ()
    layers: Sequence[tuple[str, str]] = ()
    structures: Sequence[str] = field(default=())


def says_nothing_found(words: str) -> bool:
    """Tell whether every part of what a layer showed is a negative: "no hemorrhage; intact"."""
    parts = [part for part in re.split(r"[,;.]| but ", words) if part.strip()]
    return bool(parts) and all(_NOTHING.search(part) for part in parts)


def finding_sites(seen: Seen) -> Sites:
    """The sites of the finding itself, apart from its layers and its path."""
    broken = bool(BREAK.search(seen.term))
    drawn = frozenset().union(*(part_sites(view, part) for view, part in seen.parts))
    named = deep_sites(seen.term)
    alone = NOWHERE if seen.regions or seen.parts else term_sites(seen.term, seen.place)
    placed = NOWHERE if seen.regions or seen.parts else deep_sites(seen.place)
    if named:
        # The term names what is deep: the skin above it is not concerned.
        return named | drawn | placed
    surface = region_sites(seen.regions, broken=broken)
    if not seen.regions and not seen.parts:
        surface = placed or surface_sites(seen.place, broken=broken)
        if not broken:
            surface |= landmark_sites(seen.term, seen.place)
    return surface | drawn | alone | surface_sites(seen.term, broken=broken)


def speaks_against(statement: Statement, seen: Seen) -> bool:
    """Tell whether a finding may contradict a statement."""
    if statement.denies is Denies.TREATMENT:
        return _is_treatment(seen) or _is_device(seen)
    if not statement.sites:
        return _denies(statement.denies, seen)
    if statement.sites & finding_sites(seen) and _denies(statement.denies, seen):
        return True
    return _by_path(statement, seen) or _by_layer(statement, seen)


def _is_treatment(seen: Seen) -> bool:
    if seen.klass == FindingClass.MEDICAL_INTERVENTION:
        return True
    return bool(re.search(r"\b(resuscitation|defibrillator|therapeutic|CPR)\b", seen.term, re.I))


def _is_device(seen: Seen) -> bool:
    """Tell whether a device of treatment was recorded as an artifact."""
    devices = TERMS[FindingClass.MEDICAL_INTERVENTION]
    return seen.klass == FindingClass.ARTIFACT and seen.term in devices


def _denies(what: Denies, seen: Seen) -> bool:
    words = f"{seen.term} {seen.place}" if what is Denies.JAUNDICE else seen.term
    if what is Denies.ANYTHING:
        return seen.klass != FindingClass.IDENTIFYING_FEATURE
    if what is Denies.INJURY:
        if seen.klass == FindingClass.INJURY:
            return True
        changed = (FindingClass.ARTIFACT, FindingClass.MEDICAL_INTERVENTION)
        return seen.klass in changed and bool(_DAMAGE.search(seen.term))
    if what is Denies.NEEDLE and seen.klass == FindingClass.MEDICAL_INTERVENTION:
        return False
    return bool(DENYING[what].search(words))


def _by_path(statement: Statement, seen: Seen) -> bool:
    """A wound path through a structure injures it, and bleeds into no cavity by itself."""
    through = frozenset().union(*(deep_sites(one) for one in seen.structures))
    if not statement.sites & through:
        return False
    return statement.denies in (
        Denies.INJURY,
        Denies.BREAK,
        Denies.PERFORATION,
        Denies.ANYTHING,
        Denies.HEMORRHAGE,
    )


def _by_layer(statement: Statement, seen: Seen) -> bool:
    for layer, found in seen.layers:
        if says_nothing_found(found) or not found.strip():
            continue
        if statement.sites & _layer_sites(layer, found, seen) and _layer_denies(statement, found):
            return True
    return False


def _layer_sites(layer: str, found: str, seen: Seen) -> Sites:
    own = _LAYER_SITES.get(layer, NOWHERE)
    if layer == Layer.BONE:
        own = region_sites(seen.regions, broken=True) or surface_sites(seen.place, broken=True)
    elif layer in (Layer.SUBCUTIS, Layer.FASCIA, Layer.MUSCLE):
        own = frozenset().union(*(BENEATH.get(base, NOWHERE) for base in seen.regions))
    return own | deep_sites(found)


def _layer_denies(statement: Statement, found: str) -> bool:
    if statement.denies is Denies.INJURY:
        return bool(_DAMAGE.search(found))
    if statement.denies in (Denies.ANYTHING, Denies.TREATMENT):
        return False
    return bool(DENYING[statement.denies].search(found))


def findings_against(statement: Statement, seen: Iterable[Seen]) -> list[int]:
    """The numbers of the findings that may contradict a statement."""
    return [one.number for one in seen if speaks_against(statement, one)]


@dataclass(frozen=True)
class Contradiction:
    """A confirmed statement and the numbers of the findings that may speak against it.

    `more` is what was measured and speaks against it, in words: "left anterior descending 80 %".
    """

    statement: Statement
    numbers: tuple[int, ...]
    more: str = ""

    @property
    def words(self) -> str:
        """The sentence of the gap list and of the review."""
        parts = []
        if self.numbers:
            shown = ", ".join(str(number) for number in self.numbers)
            parts.append(f"{'finding' if len(self.numbers) == 1 else 'findings'} {shown}")
        if self.more:
            parts.append(self.more)
        return f"“{self.statement.words}” is stated; {' and '.join(parts)} may speak against it."


def contradictions(
    written: Mapping[str, str],
    seen: Sequence[Seen],
    coronaries: Mapping[str, int | None] | None = None,
    blood_ml: Mapping[str, int | None] | None = None,
) -> list[Contradiction]:
    """Every confirmed statement that a finding, a narrowing or measured blood may contradict."""
    found = []
    for statement in stated_in(written):
        numbers = findings_against(statement, seen)
        more = measured_against(statement, coronaries or {}, blood_ml or {})
        if numbers or more:
            found.append(Contradiction(statement, tuple(numbers), more))
    return found


def measured_against(
    statement: Statement,
    coronaries: Mapping[str, int | None],
    blood_ml: Mapping[str, int | None],
) -> str:
    """What was measured and speaks against a statement, in words; empty when nothing does."""
    if statement.denies is Denies.STENOSIS:
        return narrowed_words(coronaries)
    if statement.denies in (Denies.FLUID, Denies.HEMORRHAGE):
        return blood_words(statement, blood_ml)
    return ""


_CAVITY_SITES: Final = {
    "right chest cavity": "pleura",
    "left chest cavity": "pleura",
    "pericardial sac": "pericardium",
    "abdominal cavity": "peritoneum",
    "epidural space": "epidural",
    "subdural space": "subdural",
}


def blood_words(statement: Statement, blood_ml: Mapping[str, int | None]) -> str:
    """The measured blood that speaks against a statement: "900 mL in the left chest cavity"."""
    return ", ".join(
        f"{volume:,} mL of blood in the {cavity}"
        for cavity, volume in blood_ml.items()
        if volume and _CAVITY_SITES[cavity] in statement.sites
    )


def narrowed_words(coronaries: Mapping[str, int | None]) -> str:
    """The arteries that are narrowed by half or more: "left anterior descending artery 80 %"."""
    narrowed = [
        f"{artery} {percent} %"
        for artery, percent in coronaries.items()
        if percent is not None and percent >= SIGNIFICANT_PERCENT
    ]
    return ", ".join(narrowed)
