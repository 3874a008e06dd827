"""A run that waits for its store: how long, how often, and what is not waited for."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from evidence.store import patience
from evidence.store.away import Breaker, StoreAway
from tests.evidence.waiting import Clock


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> Clock:
    return Clock(monkeypatch)


def away_until(clock: Clock, moment: float, since: float = 0.0) -> Callable[[], str]:
    def ask() -> str:
        if since <= clock.now < moment:
            raise StoreAway("get_object: ReadTimeoutError")
        return "answered"

    return ask


def test_who_is_not_patient_hears_at_once(clock):
    with pytest.raises(StoreAway):
        patience.answered(away_until(clock, 1))
    assert clock.rests == []


def test_the_waits_grow_up_to_half_a_minute_and_one_line_says_so(clock):
    said: list[str] = []
    with patience.patient(said.append):
        assert patience.answered(away_until(clock, 100)) == "answered"
        assert patience.answered(away_until(clock, 0)) == "answered"
    assert clock.rests == [1, 2, 4, 8, 16, 30, 30, 30]
    assert said == ["The file store is not answering (get_object: ReadTimeoutError): waiting ..."]


@pytest.mark.parametrize(("moment", "answered"), [(1800, True), (1800.5, False)])
def test_half_an_hour_is_waited_and_no_longer(clock, moment, answered):
    with patience.patient(lambda words: None) as mine:
        if answered:
            assert patience.answered(away_until(clock, moment)) == "answered"
        else:
            with pytest.raises(StoreAway):
                patience.answered(away_until(clock, moment))
        assert clock.now == sum(clock.rests) == 1800
        # Whatever is cleared up after that waits no more.
        with pytest.raises(StoreAway):
            patience.answered(away_until(clock, 9999))
        assert (clock.now, mine.why) == (1800, "get_object: ReadTimeoutError")
    with patience.patient(lambda words: None):
        assert patience.answered(away_until(clock, 3600)) == "answered"


def test_many_silences_share_the_half_hour_and_work_between_them_costs_none(clock):
    with patience.patient(lambda words: None):
        for silence in range(2):
            clock.now = 100_000.0 * silence
            end = clock.now + 600
            assert patience.answered(away_until(clock, end)) == "answered"
        spent = sum(clock.rests)
        with pytest.raises(StoreAway):
            patience.answered(away_until(clock, 10**9))
    assert (spent, sum(clock.rests)) == (1202, 1800)


def test_what_will_not_pass_by_itself_is_not_waited_for(clock):
    def ask() -> None:
        raise StoreAway("put_object: AccessDenied", passing=False)

    with patience.patient(lambda words: None) as mine, pytest.raises(StoreAway):
        patience.answered(ask)
    assert (clock.rests, mine.why) == ([], "put_object: AccessDenied")


def test_an_answer_about_a_file_is_an_answer(clock):
    def ask() -> None:
        away_until(clock, 3)()
        raise FileNotFoundError

    with patience.patient(lambda words: None), pytest.raises(FileNotFoundError):
        patience.answered(ask)
    assert clock.rests == [1, 2]


def test_it_goes_through_the_pauses_in_which_nobody_is_let_through(clock):
    breaker, asked = Breaker(clock=clock), []

    def ask() -> str:
        with breaker.asking():
            asked.append(clock.now)
            return away_until(clock, 40)()

    with patience.patient(lambda words: None) as mine:
        assert patience.answered(ask) == "answered"
    assert asked == [0, 1, 3, 15, 31, 61]
    assert mine.why == "get_object: ReadTimeoutError"
