"""How fast the published methods compute: many readings at once, and one after another."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from cases.checking import conflicts
from cases.checking.conflicts import Recorded, Seen
from cases.checking.disagreements import Told
from cases.checking.facts import Facts, Injury
from cases.checking.rules import outcomes, shipped
from findings.calculations import registry
from findings.calculations.cooling import hours_since_death
from findings.calculations.hash_and_merkle import leaf_hash, root_of, sha256

MEGABYTE = 1024 * 1024


@dataclass(frozen=True)
class MethodTime:
    """What was computed, how much of it, and in what time."""

    title: str
    amount: float
    unit: str
    seconds: float

    @property
    def rate(self) -> float:
        """How much of it in one second."""
        return self.amount / self.seconds


def _best_of(times: int, compute: Callable[[], object]) -> float:
    best = float("inf")
    for _ in range(times):
        began = time.perf_counter()
        compute()
        best = min(best, time.perf_counter() - began)
    return best


def method_times(*, repeat: int = 5) -> list[MethodTime]:
    """Time a fixed small set of computations; the best of some repeats counts."""
    chance = np.random.default_rng(7)
    many = 10_000
    rectal, ambient = chance.uniform(22, 36, many), chance.uniform(5, 21, many)
    mass, factor = chance.uniform(50, 110, many), chance.uniform(0.8, 1.3, many)
    example = registry.find("pmi_rectal").example
    block, leaves = b"\x5a" * (16 * MEGABYTE), [leaf_hash(bytes([n % 251])) for n in range(4096)]

    def all_examples() -> None:
        for method in registry.METHODS:
            method.run(method.example)

    def one_by_one() -> None:
        for _ in range(200):
            registry.calculate("pmi_rectal", example)

    injuries = range(1, 301)
    facts = Facts(kind="full autopsy", injuries=tuple(Injury(number=n) for n in injuries))
    seen = [Seen(n, "Contusion", place="left thigh", words="blue, oval") for n in injuries]
    told = [Told(n, "Contusion", bases=("thigh_anterior",), place="Left thigh") for n in injuries]
    text = "The heart is enlarged. He had two stab wounds; blood was taken. " * 40

    def checks() -> None:
        outcomes(shipped().values(), facts, {})
        for one in told:
            conflicts.region_apart(one)
        list(conflicts.sex_apart("male", "adult_male", ["heart"], seen, {"internal": text}))
        list(conflicts.natural_with_violence("natural", seen))
        list(conflicts.cause_without_finding(["Stab wound"], finished=True, findings=seen,
                                             written=text))  # fmt: skip
        list(conflicts.counts_apart("The opinion", text, {"stab": Recorded({2})}))
        list(conflicts.taken_in_words("The examination", text, ["Blood"]))

    return [
        MethodTime("checks of a case", len(injuries), "findings", _best_of(repeat, checks)),
        MethodTime(
            "rectal temperature, 10,000 readings at once",
            many,
            "results",
            _best_of(repeat, lambda: hours_since_death(rectal, ambient, mass, factor)),
        ),
        MethodTime("rectal temperature, one by one", 200, "results", _best_of(repeat, one_by_one)),
        MethodTime(
            "one example of each method",
            len(registry.METHODS),
            "results",
            _best_of(repeat, all_examples),
        ),
        MethodTime("SHA-256 of 16 MB", 16, "MB", _best_of(repeat, lambda: sha256(block))),
        MethodTime(
            "Merkle root of 4,096 leaves", 4096, "leaves", _best_of(repeat, lambda: root_of(leaves))
        ),
    ]
