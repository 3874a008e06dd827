"""The findings of a case as a search looks through them: as they were recorded, without sentences.

Rows and not records: of a case with hundreds of findings only their words are looked at.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import Any

from cases.models import Case
from findings.models import Finding, Interpretation, LayerFinding, Mark
from findings.paths.models import WoundPath
from findings.rules import Timing
from findings.words.layers import LAYER_WORDS, Layer
from findings.words.sentences import size_words

# What is read of a finding, in the order in which it is told.
WORDS = (
    "sentence", "term", "place", "mechanism", "seen_as", "shape", "margins", "colour", "pattern",
    "vital_reaction", "timing_ground", "impacts_reason",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class SeenFinding:
    """A finding with its words, its number and the regions on which it lies."""

    key: Any
    number: int
    title: str
    words: str
    regions: frozenset[str]


def seen_findings(case: Case) -> list[SeenFinding]:
    """Return the active findings of a case by number, in five statements."""
    more: dict[Any, list[str]] = defaultdict(list)
    for key, layer, examined, found in _of(case, LayerFinding, "layer", "examined", "found"):
        said = found if examined else f"not examined {found}"
        more[key].append(f"{LAYER_WORDS[Layer(layer)]}: {said}")
    for key, *words in _of(case, Interpretation, "standing", "statement", "ground"):
        more[key].append(" ".join(words))
    for key, *words in _of(case, WoundPath, "structures", "end_words"):
        more[key].append(" ".join(words))
    regions: dict[Any, set[str]] = defaultdict(set)
    for key, region in _of(case, Mark, "region"):
        regions[key].add(region)
    names = ("pk", "number", "region", "timing", "length_mm", "width_mm", *WORDS)
    rows = Finding.objects.active().filter(case=case).order_by("number", "pk").values_list(*names)
    return [_seen(row, more, regions) for row in rows]


def _of(case: Case, model: Any, *names: str) -> Any:
    rows = model.objects.active().filter(case=case, finding__voided_at=None)
    return rows.order_by("created_at", "pk").values_list("finding_id", *names)


def _seen(row: Any, more: dict[Any, list[str]], regions: dict[Any, set[str]]) -> SeenFinding:
    key, number, region, timing, length, width, *words = row
    said = dict(zip(WORDS, words, strict=True))
    sizes = (None if one is None else float(one) for one in (length, width))
    parts = [*words, size_words(*sizes), Timing(timing).words if timing else ""]
    return SeenFinding(
        key=key,
        number=number,
        title=f"{number} {said['term']}" + (f", {said['place']}" if said["place"] else ""),
        words=". ".join(one.strip().rstrip(".") for one in (*parts, *more.get(key, ())) if one),
        regions=frozenset(one for one in (region, *regions.get(key, ())) if one),
    )
