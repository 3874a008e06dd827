"""The internal examination by system as the report tells it. No database, no clock.

A passage is a paragraph of a system: its key follows from the system and the paragraph, whatever
else is decided later. Parts that were left out for one reason are told together, last.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from findings.systems.catalogue import SYSTEMS, Part, System
from findings.systems.rules import WITH_A_WHY, Decision, left_out_words

Row = Mapping[str, Any]


def system_passages(rows: Iterable[Row], beside: Mapping[str, str]) -> list[dict[str, str]]:
    """Return the passages of every system of which anything is decided.

    `rows` have part, decision, why and said; one that is not decided says nothing. `beside` is, by
    part, what was recorded elsewhere (blood in cavities, narrowings) and is told in its paragraph.
    """
    by_part = {row["part"]: row for row in rows if row["decision"]}
    passages: list[dict[str, str]] = []
    for system in SYSTEMS.values():
        decided = [part for part in system.parts if part.key in by_part]
        if decided:
            passages += _paragraphs(system, by_part, beside) + _left_out(system, decided, by_part)
    return passages


def systems_taken(rows: Iterable[Row]) -> set[str]:
    """Return the systems of which anything is decided."""
    decided = {row["part"] for row in rows if row["decision"]}
    return {
        key for key, system in SYSTEMS.items() if any(part.key in decided for part in system.parts)
    }


def _paragraphs(
    system: System, by_part: Mapping[str, Row], beside: Mapping[str, str]
) -> list[dict[str, str]]:
    said: dict[int, list[str]] = {}
    for part in system.parts:
        row = by_part.get(part.key)
        told = row["said"] if row and row["decision"] not in WITH_A_WHY else ""
        said.setdefault(part.paragraph, []).extend(filter(None, [told, beside.get(part.key, "")]))
    return [
        {
            "key": f"internal-{system.key}-{paragraph}",
            "group": system.title,
            "text": " ".join(sentences),
        }
        for paragraph, sentences in sorted(said.items())
        if sentences
    ]


def _left_out(
    system: System, decided: list[Part], by_part: Mapping[str, Row]
) -> list[dict[str, str]]:
    together: dict[tuple[str, str], list[Part]] = {}
    for part in decided:
        row = by_part[part.key]
        if row["decision"] in WITH_A_WHY:
            together.setdefault((row["decision"], row["why"]), []).append(part)
    if not together:
        return []
    order = list(Decision)
    sentences = [
        left_out_words(parts, decision, why)
        for (decision, why), parts in sorted(
            together.items(), key=lambda one: order.index(Decision(one[0][0]))
        )
    ]
    return [
        {
            "key": f"internal-{system.key}-left-out",
            "group": system.title,
            "text": " ".join(sentences),
        }
    ]
