"""How many reports were signed by a day, where some are not signed yet. No database.

Kaplan EL, Meier P. Nonparametric estimation from incomplete observations. J Am Stat Assoc
1958;53:457-481. The interval is the one on the log-minus-log scale with Greenwood's variance, as
survival tables commonly give it. Days are whole numbers from 0; on one day, what was done comes
before what is left open.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

# The normal deviate of a two-sided interval of 95 %.
DEVIATE = 1.959963984540054


@dataclass(frozen=True)
class Step:
    """A day on which something was done: how many were waited for until then, how many were done.

    `left` is the estimated share that is still not done after the day, `sum_of_terms` Greenwood's
    sum up to it (infinite where nothing is left).
    """

    day: int
    waited_for: int
    done: int
    left: float
    sum_of_terms: float


@dataclass(frozen=True)
class Curve:
    """The share not done, day by day, and how far it was observed."""

    steps: tuple[Step, ...]
    last_day: int | None
    n: int

    def done_by(self, day: int) -> float | None:
        """Return the estimated share done by the end of a day; None where nobody was observed."""
        left = self._left(day)
        return None if left is None else 1 - left

    def interval(self, day: int) -> tuple[float, float] | None:
        """Return the 95 % interval of the share done by a day; None where there is none."""
        left = self._left(day)
        step = self._step(day)
        if left is None or step is None or left <= 0:
            return None
        half = DEVIATE * math.sqrt(step.sum_of_terms) / abs(math.log(left))
        return 1 - left ** math.exp(-half), 1 - left ** math.exp(half)

    def median(self) -> int | None:
        """Return the first day by which half is done; None where it has not come to that."""
        return next((step.day for step in self.steps if step.left <= 0.5 + 1e-12), None)

    def _step(self, day: int) -> Step | None:
        return next((step for step in reversed(self.steps) if step.day <= day), None)

    def _left(self, day: int) -> float | None:
        step = self._step(day)
        left = step.left if step else 1.0
        if self.last_day is None or (day > self.last_day and left > 0):
            return None
        return left


def curve_of(done: Iterable[int], still_open: Iterable[int]) -> Curve:
    """Estimate from the days after which each was done, and for how long each open one waits.

    Raises ValueError for a day below 0.
    """
    ended, waits = Counter(done), Counter(still_open)
    if any(day < 0 for day in (*ended, *waits)):
        raise ValueError("A day is below 0.")
    at_risk = n = ended.total() + waits.total()
    left, terms, steps = 1.0, 0.0, []
    for day in sorted({*ended, *waits}):
        if ended[day]:
            left *= (at_risk - ended[day]) / at_risk
            gone = at_risk - ended[day]
            terms += ended[day] / (at_risk * gone) if gone else math.inf
            steps.append(Step(day, at_risk, ended[day], left, terms))
        at_risk -= ended[day] + waits[day]
    return Curve(tuple(steps), max((*ended, *waits), default=None), n)
