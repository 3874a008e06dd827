"""The share done by a day, against a published example, a reference library and hand reckoning."""

from __future__ import annotations

import random
import warnings

import pytest

from cases.measures.survival import curve_of

# Remission of acute leukemia under 6-mercaptopurine, in weeks (Freireich et al., Blood
# 1963;21:699-716), the worked example of many textbooks; censored times carry a +.
DONE = [6, 6, 6, 7, 10, 13, 16, 22, 23]
OPEN = [6, 9, 10, 11, 17, 19, 20, 25, 32, 32, 34, 35]
# As printed with it, to three places: week, waited for, left.
PUBLISHED = [
    (6, 21, 0.857), (7, 17, 0.807), (10, 15, 0.753), (13, 12, 0.690), (16, 11, 0.627),
    (22, 7, 0.538), (23, 6, 0.448),
]  # fmt: skip


def test_the_published_example():
    curve = curve_of(DONE, OPEN)
    found = [(step.day, step.waited_for, round(step.left, 3)) for step in curve.steps]
    assert found == PUBLISHED
    assert curve.median() == 23
    assert curve.n == 21


@pytest.mark.parametrize("seed", range(12))
def test_estimate_and_interval_are_those_of_the_reference_library(seed: int):
    chance = random.Random(seed)
    done = [chance.randrange(0, 120) for _ in range(chance.randrange(3, 60))]
    still = [chance.randrange(0, 120) for _ in range(chance.randrange(0, 40))]
    # Only here: who collects every test need not load all of it.
    from scipy import stats

    sample = stats.CensoredData(uncensored=done, right=still)
    known = stats.ecdf(sample)
    with warnings.catch_warnings(action="ignore", category=RuntimeWarning):
        # Where all are done, or none, the library too has no interval.
        limits = known.sf.confidence_interval(method="log-log")
    curve = curve_of(done, still)
    for step in curve.steps:
        at = list(known.sf.quantiles).index(step.day)
        assert step.left == pytest.approx(known.sf.probabilities[at])
        found = curve.interval(step.day)
        if found is None:
            assert step.left == pytest.approx(0)
            continue
        low, high = limits.low.probabilities[at], limits.high.probabilities[at]
        assert found == (pytest.approx(1 - high), pytest.approx(1 - low))


def test_without_open_ones_it_is_the_plain_share():
    curve = curve_of([10, 30, 31, 90], [])
    assert [curve.done_by(day) for day in (9, 10, 30, 31, 89, 90, 400)] == pytest.approx(
        [0, 0.25, 0.5, 0.75, 0.75, 1, 1]
    )
    assert curve.median() == 30
    assert curve.interval(90) is None, "all are done: the interval has no width to tell"


def test_what_was_not_observed_is_not_told():
    curve = curve_of([20], [40, 40])
    assert curve.done_by(40) == pytest.approx(1 / 3)
    assert curve.done_by(41) is None
    assert curve.interval(41) is None
    assert curve.interval(19) is None, "nothing was done yet"
    assert curve.median() is None


def test_what_is_done_on_a_day_comes_before_what_is_left_open_on_it():
    [step] = curve_of([5], [5, 5, 5]).steps
    assert (step.waited_for, step.left) == (4, 0.75)


def test_nothing_tells_nothing():
    curve = curve_of([], [])
    assert (curve.steps, curve.n, curve.median(), curve.done_by(0)) == ((), 0, None, None)
    open_only = curve_of([], [3])
    assert open_only.done_by(3) == 0
    assert open_only.done_by(4) is None


@pytest.mark.parametrize(("done", "still"), [([-1], []), ([3], [-1])])
def test_a_day_before_the_first_is_refused(done, still):
    with pytest.raises(ValueError, match="below 0"):
        curve_of(done, still)
