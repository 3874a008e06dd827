"""One result with everything that has to stand beside it, ready for a page. Pure."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from findings.calculations.registry import find
from findings.computing.labels import FORMULAE, unit_of
from findings.computing.rules import without_hours_that_are_no_estimate
from findings.computing.wording import bodies, times, wounds
from findings.computing.wording.summaries import Answered, Summary

_SUMMARIES: dict[str, Callable[[Answered], Summary]] = {
    "pmi_rectal": times.rectal,
    "vitreous_potassium": times.vitreous,
    "cooling_forward": times.curve,
    "time_since_death": times.summary,
    "lividity_rigor": times.lividity,
    "organ_weights": bodies.organ,
    "heart_for_body_weight": bodies.heart,
    "body_size": bodies.size,
    "wound_path": wounds.path,
    "impacts": wounds.impacts,
    "burn_area": wounds.burn,
    "photo_scale": wounds.photograph,
}
FROM_MEMORY = "from memory"


@dataclass(frozen=True)
class Source:
    """Where a method comes from; `from_memory` when part of it could not be confirmed."""

    words: str
    from_memory: bool


@dataclass(frozen=True)
class Exact:
    """One field of the result as it was computed."""

    name: str
    help: str
    words: str


@dataclass(frozen=True)
class Phrased:
    """A result as a person reads it, with the exact values and what stands beside it."""

    summary: Summary
    refusal: str
    warnings: tuple[str, ...]
    notes: str
    cautions: tuple[str, ...]
    sources: tuple[Source, ...]
    exact: tuple[Exact, ...]
    version: str

    @property
    def line(self) -> str:
        """The result in one line, for lists."""
        if self.refusal:
            return "No estimate: " + self.refusal[:1].lower() + self.refusal[1:]
        return self.summary.headline


def as_sentence(words: str) -> str:
    """Words with a capital and a full stop."""
    return words[:1].upper() + words[1:].rstrip(".") + "." if words else ""


def _warning(words: str) -> str:
    # The longest name first: one is the beginning of another.
    for key in sorted(FORMULAE, key=len, reverse=True):
        words = words.replace(key, FORMULAE[key])
    return as_sentence(words)


def sources_of(sources: Any) -> tuple[Source, ...]:
    """Sources with what is from memory marked."""
    return tuple(Source(str(one), FROM_MEMORY in str(one)) for one in sources)


def phrase(
    method: str,
    result: Mapping[str, Any],
    inputs: Mapping[str, Any],
    measured_at: datetime | None,
    zone: ZoneInfo,
) -> Phrased:
    """A stored or fresh plain result in words."""
    shown = without_hours_that_are_no_estimate(result)
    summarize = _SUMMARIES.get(method)
    answered = Answered(shown, inputs, measured_at, zone)
    summary = summarize(answered) if summarize else Summary()
    return Phrased(
        summary=summary,
        refusal=as_sentence(str(result.get("reason") or "")),
        warnings=tuple(_warning(str(one)) for one in result.get("warnings") or ()),
        notes=as_sentence(str(result.get("note") or "")),
        cautions=tuple(str(one) for one in result.get("cautions") or ()),
        sources=sources_of(result.get("source") or ()),
        exact=_exact(method, shown),
        version=str(result.get("version") or ""),
    )


def _exact(method: str, shown: Mapping[str, object]) -> tuple[Exact, ...]:
    rows = []
    for one in find(method).result_fields:
        value = shown.get(one.name)
        if value is None or (isinstance(value, list) and any(isinstance(p, dict) for p in value)):
            continue
        rows.append(Exact(one.name, one.help, f"{_as_computed(value)} {unit_of(one.unit)}".strip()))
    return tuple(rows)


def _as_computed(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:.8g}"
    if isinstance(value, list):
        return ", ".join(_as_computed(part) for part in value) or "none"
    if isinstance(value, dict):
        return "; ".join(f"{name} {_as_computed(part)}" for name, part in value.items())
    return str(value)
