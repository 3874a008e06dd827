"""The systems of the internal examination and their parts, as they stand in `parts.json`.

Each part is decided by itself. Its negatives are statements of `findings.questions.negatives`, so
that what is stated here is compared with the findings as any other. Common practice. No database.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import Any, Final

from findings.questions.negatives import STATEMENTS, Statement

DRAWN_SEX: Final = MappingProxyType({"adult_female": "female", "adult_male": "male"})


@dataclass(frozen=True)
class Part:
    """One part of a system.

    `the` is the part inside a sentence, `many` whether it is several; `paragraph` is the paragraph
    of the system in which the report tells it. `sex` and `bodies` (drawings of the chart) say of
    which bodies it is asked, empty of all.
    """

    key: str
    system: str
    title: str
    the: str
    paragraph: int
    many: bool = False
    negatives: tuple[str, ...] = ()
    organs: tuple[str, ...] = ()
    sex: str = ""
    bodies: tuple[str, ...] = ()

    @property
    def statements(self) -> list[Statement]:
        """The negative statements that may be stated of it."""
        return [STATEMENTS[key] for key in self.negatives]

    @property
    def negative(self) -> str:
        """Its negative in whole sentences; empty where it has none."""
        return " ".join(one.words for one in self.statements)


@dataclass(frozen=True)
class System:
    """A body system with its parts, in the order of the report."""

    key: str
    title: str
    parts: tuple[Part, ...]


def _part(system: str, row: dict[str, Any]) -> Part:
    lists = {name: tuple(row.get(name, ())) for name in ("negatives", "organs", "bodies")}
    return Part(**{**row, **lists, "system": system})


def _read() -> dict[str, System]:
    text = (Path(__file__).parent / "parts.json").read_text(encoding="utf-8")
    return {
        row["key"]: System(
            row["key"], row["title"], tuple(_part(row["key"], part) for part in row["parts"])
        )
        for row in json.loads(text)
    }


SYSTEMS: Final[Mapping[str, System]] = MappingProxyType(_read())
PARTS: Final[Mapping[str, Part]] = MappingProxyType(
    {part.key: part for system in SYSTEMS.values() for part in system.parts}
)


def is_asked(part: Part, sex: str, chart_body: str) -> bool:
    """Tell whether a part is asked of a body; any other part may be recorded all the same.

    `sex` is what is recorded of the decedent, `chart_body` the drawing that was chosen. Where the
    sex is not recorded as female or male, or the drawing says otherwise, nothing is left out.
    """
    if part.bodies and chart_body not in part.bodies:
        return False
    if not part.sex or sex not in ("female", "male") or part.sex == sex:
        return True
    return DRAWN_SEX.get(chart_body, sex) != sex
