"""Whoever asked the store before it went away hears late: that ends nothing and delays nothing."""

from __future__ import annotations

import pytest

from evidence.store.away import Breaker, StoreAway


class Clock:
    now = 0.0

    def __call__(self) -> float:
        return self.now


def fails(breaker: Breaker) -> None:
    with pytest.raises(StoreAway), breaker.asking():
        raise StoreAway


def test_a_late_answer_does_not_send_everybody_to_a_store_that_is_away():
    breaker = Breaker(failures=2, pause=10, clock=Clock())
    with breaker.asking():
        fails(breaker)
        fails(breaker)
    assert breaker.is_open
    with pytest.raises(StoreAway), breaker.asking():
        pytest.fail("it was asked")


def test_a_late_failure_does_not_make_the_pause_longer():
    clock = Clock()
    breaker = Breaker(failures=2, pause=10, clock=clock)
    with pytest.raises(StoreAway), breaker.asking():
        fails(breaker)
        fails(breaker)
        clock.now = 5.0
        raise StoreAway
    clock.now = 10.0
    with breaker.asking():
        pass
    assert not breaker.is_open
