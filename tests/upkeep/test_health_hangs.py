"""What hangs holds no more than one thread of a process, and that for two seconds at the most."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor

import pytest

from me_office.upkeep import conditions, health
from me_office.upkeep.conditions import Condition, Said, State, condition, right


@pytest.fixture(autouse=True)
def only_ours(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setattr(conditions, "_parts", {})
    health.forget()
    yield
    health.forget()


@pytest.fixture
def hangs(monkeypatch: pytest.MonkeyPatch) -> Iterator[threading.Event]:
    """Something that is patient for long, looked at for a moment only."""
    let_go = threading.Event()
    monkeypatch.setattr(health, "WITHIN_SECONDS", 0.01)

    def hang() -> Iterator[Said]:
        let_go.wait(30)
        yield right("It stands.")

    condition("database", serving=True, patience=30)(hang)
    condition("address", patience=30)(hang)
    yield let_go
    let_go.set()


def test_who_asks_waits_no_longer_than_said_whatever_patience_a_condition_has(
    hangs: threading.Event,
):
    assert health.recent()[0].state is State.NOT_SEEN
    assert not hangs.is_set()


def test_it_is_two_seconds():
    assert health.WITHIN_SECONDS == 2.0


def test_what_has_time_left_is_told_as_it_was_before_but_not_what_every_request_needs(
    hangs: threading.Event,
):
    for one in conditions._parts.values():
        one.last = (0.0, [right("It stood.")])
    said = {one.name: (one.state, one.says[:9]) for one in health.recent()}
    assert said == {
        "database": (State.NOT_SEEN, "No answer"),
        "address": (State.RIGHT, "It stood."),
    }


def test_what_had_all_its_time_is_not_told_as_it_was_before(hangs: threading.Event):
    address = conditions._parts["address"]
    address.last, address.patience = (0.0, [right("It stood.")]), 0.0
    assert [one.state for one in health.recent()] == [State.NOT_SEEN] * 2


def test_who_comes_while_another_looks_is_told_what_was_seen_and_does_not_wait(
    monkeypatch: pytest.MonkeyPatch,
):
    """The other one holds the look all the time; waiting for it would never end."""
    seen = [Condition("database", State.RIGHT, "It answers.")]
    monkeypatch.setattr(health, "_last", (health.monotonic() - health.FRESH_SECONDS - 1, seen))
    monkeypatch.setattr(health, "WITHIN_SECONDS", 1e6)
    with health._looking:
        assert health.recent() == seen


def test_who_comes_first_of_all_while_another_looks_is_told_that_nothing_was_seen(
    hangs: threading.Event,
):
    with health._looking:
        found = health.recent()
    assert [(one.name, one.state) for one in found] == [
        ("database", State.NOT_SEEN),
        ("address", State.NOT_SEEN),
    ]


def test_what_is_too_old_is_not_told(monkeypatch: pytest.MonkeyPatch):
    condition("database", serving=True)(lambda: [right("It answers.")])
    seen = [Condition("database", State.WRONG, "Away.")]
    monkeypatch.setattr(health, "_last", (health.monotonic() - health.OLD_SECONDS - 1, seen))
    assert [one.state for one in health.recent()] == [State.RIGHT]


def test_many_who_ask_at_once_begin_one_look(monkeypatch: pytest.MonkeyPatch):
    looks: list[int] = []

    def look(**_: float) -> list[Condition]:
        looks.append(1)
        return []

    monkeypatch.setattr(health, "look", look)
    with ThreadPoolExecutor(12) as many:
        list(many.map(lambda _: health.recent(), range(12)))
    assert looks == [1]
