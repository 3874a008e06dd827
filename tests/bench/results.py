"""Prints what was measured as a table, and keeps it as JSON."""

from __future__ import annotations

import json
import os
import platform
import sys
from collections.abc import Sequence
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any

from tests.bench.evidence import Compared
from tests.bench.measuring import (
    MORE_STATEMENTS,
    MOST_P95_MS,
    MOST_RATIO,
    MOST_STATEMENTS,
    Measure,
    Taken,
)
from tests.bench.methods import MethodTime


def most_of(title: str) -> int:
    """Return how many statements a page may need."""
    return MORE_STATEMENTS.get(title, MOST_STATEMENTS)


@dataclass(frozen=True)
class Line:
    """One measure in all offices, the smallest first."""

    measure: Measure
    taken: Sequence[Taken]

    @property
    def ratio(self) -> float:
        """How many times slower the largest office is than the smallest, by the median."""
        return self.taken[-1].median / self.taken[0].median

    @property
    def most_statements(self) -> int:
        """The statements of the request that needed most, in any office."""
        return max(one.most_statements for one in self.taken)

    @property
    def missed(self) -> list[str]:
        """The targets that were missed, in words."""
        said = []
        if self.most_statements > most_of(self.measure.title) and not self.measure.action:
            said.append(f"{self.most_statements} statements")
        if max(one.p95 for one in self.taken) > MOST_P95_MS:
            said.append("p95")
        if self.ratio > MOST_RATIO:
            said.append("ratio")
        return said


@dataclass
class Results:
    """Everything one run has found out."""

    offices: list[dict[str, Any]]
    requests: int
    lines: list[Line] = field(default_factory=list)
    methods: list[MethodTime] = field(default_factory=list)
    compared: list[Compared] = field(default_factory=list)
    load_before: tuple[float, ...] = ()
    load_after: tuple[float, ...] = ()

    def table(self) -> str:
        """The results for a person to read."""
        sizes = [f"{office['cases']:,} cases" for office in self.offices]
        head = f"{'':30}" + "".join(f"{size:>33}" for size in sizes)
        columns = f"{'median':>9}{'p95':>8}{'database':>10}{'stm.':>6}" * len(sizes)
        lines = [head, f"{'milliseconds':30}{columns}{'ratio':>7}  missed"]
        for line in self.lines:
            cells = "".join(
                f"{one.median:9.1f}{one.p95:8.1f}{_median(one.in_database):10.1f}"
                f"{one.most_statements:6}"
                for one in line.taken
            )
            missed = "* " + ", ".join(line.missed) if line.missed else ""
            lines.append(f"{line.measure.title:30}{cells}{line.ratio:7.2f}  {missed}".rstrip())
        said = [*lines, "", *self._compared(), "", *self._methods(), "", *self._notes()]
        return "\n".join(said)

    def _compared(self) -> list[str]:
        return [
            f"{one.title:30}{one.value:8.2f} {one.unit}; target {one.wanted}"
            + (f"  * {one.missed}" if one.missed else "")
            for one in self.compared
        ]

    def _methods(self) -> list[str]:
        return [
            f"{one.title:46}{one.seconds * 1000:9.2f} ms{one.rate:14,.0f} {one.unit}/s"
            for one in self.methods
        ]

    def _notes(self) -> list[str]:
        built = [
            f"{office['cases']:,} cases: {office['rows']:,} rows, {office['bytes'] / 1e6:,.0f} MB, "
            f"built in {office['seconds']:.0f} s."
            for office in self.offices
        ]
        missed = sum(bool(line.missed) for line in self.lines)
        return [
            *built,
            f"{self.requests} requests each, on different cases where there are that many; the "
            "sizes by turns, in one process, without network.",
            f"Target: pages with at most {MOST_STATEMENTS} statements; p95 at most {MOST_P95_MS} "
            f"ms; ratio of the medians at most {MOST_RATIO}. Missed by {missed} of "
            f"{len(self.lines)}.",
            f"Load of the machine ({os.cpu_count()} cores): {_load(self.load_before)} before, "
            f"{_load(self.load_after)} after.",
        ]

    def plain(self) -> dict[str, Any]:
        """The results as plain values."""
        sizes = [office["cases"] for office in self.offices]
        return {
            "target": {
                "statements": MOST_STATEMENTS,
                "p95_ms": MOST_P95_MS,
                "ratio": MOST_RATIO,
            },
            "python": sys.version.split()[0],
            "machine": platform.machine(),
            "cores": os.cpu_count(),
            "load_before": list(self.load_before),
            "load_after": list(self.load_after),
            "requests": self.requests,
            "offices": self.offices,
            "pages": [
                {
                    "title": line.measure.title,
                    "is_action": line.measure.action,
                    "ratio": round(line.ratio, 3),
                    "missed": line.missed,
                    "sizes": [
                        {
                            "cases": cases,
                            "requests": len(one.milliseconds),
                            "median_ms": round(one.median, 2),
                            "p95_ms": round(one.p95, 2),
                            "database_ms": round(_median(one.in_database), 2),
                            "statements": one.most_statements,
                        }
                        for cases, one in zip(sizes, line.taken, strict=True)
                    ],
                }
                for line in self.lines
            ],
            "compared": [asdict(one) for one in self.compared],
            "methods": [
                {"title": one.title, "seconds": one.seconds, "rate": one.rate, "unit": one.unit}
                for one in self.methods
            ],
        }

    def keep(self, folder: Path) -> Path:
        """Write table and JSON into a folder; return the table's path."""
        folder.mkdir(parents=True, exist_ok=True)
        (folder / "bench.json").write_text(json.dumps(self.plain(), indent=2) + "\n")
        path = folder / "bench.txt"
        path.write_text(self.table() + "\n")
        return path


def _median(values: Sequence[float]) -> float:
    ordered = sorted(values)
    return ordered[len(ordered) // 2]


def _load(load: Sequence[float]) -> str:
    return "/".join(f"{one:.1f}" for one in load) or "not known"
