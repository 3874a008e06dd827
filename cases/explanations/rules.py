"""Which standing explanations belong to a picture. No database, no clock."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field

from findings.rules import CountKind, FindingClass, Strength, Timing
from findings.words.counting import Cause, cause_of
from findings.words.vocabulary import is_bruise

_LIVIDITY = re.compile(r"\b(lividity|livor|hypostasis)\b", re.I)
_BLANCHING = re.compile(r"\bblanch", re.I)
_DRYING = re.compile(r"\b(drying|dried|parchment\w*|tache noire)", re.I)
_ANIMALS = re.compile(r"\b(insects?|animals?|ants?|bites?|larva\w*|maggots?|scaveng\w+)\b", re.I)
_CLOSER = frozenset({"mid-range", "close-up"})
_MAYBE_AFTER_DEATH = frozenset({Timing.POSTMORTEM, Timing.PERIMORTEM, Timing.UNDETERMINED})


@dataclass(frozen=True)
class FindingAsked:
    """What the questions about one finding depend on; `said` is whatever was written of it."""

    klass: str
    term: str
    mechanism: str = ""
    timing: str = ""
    impacts_kind: str = ""
    said: str = ""
    layers_examined: int = 0
    layers_not_examined: int = 0
    strengths: frozenset[str] = frozenset()


@dataclass(frozen=True)
class PictureAsked:
    """What the questions about a picture depend on."""

    view: str
    with_scale: bool
    covered: bool = False
    findings: tuple[FindingAsked, ...] = field(default=())


def _changed_after_death(finding: FindingAsked) -> bool:
    return finding.klass in {FindingClass.POSTMORTEM_CHANGE, FindingClass.ARTIFACT}


def _may_be_handling(finding: FindingAsked) -> bool:
    if finding.klass == FindingClass.ARTIFACT:
        return True
    return finding.klass == FindingClass.INJURY and finding.timing in _MAYBE_AFTER_DEATH


def _is_counted(finding: FindingAsked) -> bool:
    if finding.klass != FindingClass.INJURY:
        return False
    blunt = cause_of(finding.mechanism, finding.term) == Cause.BLUNT
    return blunt or finding.impacts_kind == CountKind.AT_LEAST


# In the order in which they are offered: the picture, what is seen, what follows from it.
_OF_PICTURE: Mapping[str, Callable[[PictureAsked], bool]] = {
    "scale": lambda one: one.with_scale,
    "no-scale": lambda one: bool(one.findings) and not one.with_scale,
    "views": lambda one: bool(one.findings) and one.view in _CLOSER,
    "covered": lambda one: one.covered,
}
_OF_FINDING: Mapping[str, Callable[[FindingAsked], bool]] = {
    "lividity": lambda one: bool(_LIVIDITY.search(one.term)),
    "blanching": lambda one: bool(_BLANCHING.search(f"{one.term} {one.said}")),
    "drying": lambda one: _changed_after_death(one) and bool(_DRYING.search(one.term)),
    "animals": lambda one: _changed_after_death(one) and bool(_ANIMALS.search(one.term)),
    "handling": _may_be_handling,
    "treatment": lambda one: one.klass == FindingClass.MEDICAL_INTERVENTION,
    "beneath": lambda one: one.layers_examined > 0,
    "not-examined": lambda one: one.layers_not_examined > 0,
    "undetermined": lambda one: one.timing == Timing.UNDETERMINED,
    "count": _is_counted,
    "color": lambda one: is_bruise(one.klass, one.term),
    "consistent": lambda one: Strength.CONSISTENT in one.strengths,
}
KEYS: tuple[str, ...] = (*_OF_PICTURE, *_OF_FINDING)


def explained_here(picture: PictureAsked) -> tuple[str, ...]:
    """Return the keys of the explanations that belong to a picture, in their order."""
    of_picture = (key for key, applies in _OF_PICTURE.items() if applies(picture))
    return (*of_picture, *explained_of(picture.findings))


def explained_of(findings: Iterable[FindingAsked]) -> tuple[str, ...]:
    """Return the keys of those that belong to findings, each once."""
    shown = tuple(findings)
    return tuple(key for key, applies in _OF_FINDING.items() if any(map(applies, shown)))
