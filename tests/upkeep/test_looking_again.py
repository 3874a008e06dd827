"""How long each look is waited for, and for how long what was seen is told again. No database."""

from __future__ import annotations

from collections.abc import Iterator
from types import SimpleNamespace
from typing import Any

import pytest
from django.test import RequestFactory

from me_office.upkeep import conditions, health
from me_office.upkeep.conditions import Condition, Said, State, condition, look, right, wrong


@pytest.fixture(autouse=True)
def only_ours(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(conditions, "_parts", {})


def test_each_look_has_a_patience_of_its_own(monkeypatch: pytest.MonkeyPatch):
    until: dict[str, float] = {}

    def noted(one: Any, answer: Any, by: float) -> Iterator[Condition]:
        until[one.name] = by
        return iter(())

    monkeypatch.setattr(conditions, "monotonic", lambda: 100.0)
    monkeypatch.setattr(conditions, "_answered", noted)
    for name, patience in (("long", {"patience": 20}), ("usual", {}), ("short", {"patience": 1})):
        condition(name, **patience)(lambda: [right("It stands.")])
    assert list(look()) == []
    assert until == {"long": 120.0, "usual": 105.0, "short": 101.0}
    assert list(look(within=2)) == []
    assert until == {"long": 102.0, "usual": 102.0, "short": 101.0}


def test_what_was_seen_is_told_again_until_its_time_is_over(monkeypatch: pytest.MonkeyPatch):
    now, seen = [0.0], []

    def dear() -> Iterator[Said]:
        seen.append(1)
        yield right(f"It stands, {len(seen)}.")

    monkeypatch.setattr(conditions, "monotonic", lambda: now[0])
    condition("one", good_for=60)(dear)
    said = []
    for now[0] in (0.0, 59.9, 60.0, 119.9, 120.0):
        said += [one.says for one in look()]
    assert said == [f"It stands, {number}." for number in (1, 1, 2, 2, 3)]


def test_what_was_not_right_is_looked_at_anew_however_dear_it_is():
    """A fault that lasts a moment raises no alarm, and one that was mended is over at once."""
    stands = [wrong("It fell.", "Put it up."), right("It stands."), wrong("It fell.", "Put it up.")]
    condition("one", good_for=60)(lambda: [stands.pop(0)])
    assert [one.says for _ in range(3) for one in look()] == [
        "It fell.",
        "It stands.",
        "It stands.",
    ]


def test_no_look_keeps_a_connection(monkeypatch: pytest.MonkeyPatch):
    closed: list[int] = []
    away = SimpleNamespace(close_all=lambda: closed.append(1))
    monkeypatch.setattr(conditions, "connections", away)
    condition("well")(lambda: [right("It stands.")])

    @condition("broken")
    def broken() -> Iterator[Said]:
        raise OSError
        yield

    assert len(list(look())) == 2
    assert closed == [1, 1]


def test_what_is_too_old_is_not_told_while_another_looks_either(monkeypatch: pytest.MonkeyPatch):
    condition("database", serving=True)(lambda: [right("It answers.")])
    monkeypatch.setattr(health, "monotonic", lambda: 100.0)
    monkeypatch.setattr(health, "WITHIN_SECONDS", 0.0)
    seen = [Condition("database", State.RIGHT, "It answered.")]
    for age, state in ((30.0, State.RIGHT), (30.1, State.NOT_SEEN), (3600.0, State.NOT_SEEN)):
        monkeypatch.setattr(health, "_last", (100.0 - age, seen))
        with health._looking:
            assert [one.state for one in health.recent()] == [state], age


def test_how_old_a_look_is_counts_from_its_end(monkeypatch: pytest.MonkeyPatch):
    now, looks = [100.0], []

    def look(**_: float) -> list[Condition]:
        looks.append(now[0])
        now[0] += 4.0
        return []

    health.forget()
    monkeypatch.setattr(health, "monotonic", lambda: now[0])
    monkeypatch.setattr(health, "look", look)
    for now[0] in (100.0, 109.0, 109.1):
        health.recent()
    health.forget()
    assert looks == [100.0, 109.1]


@pytest.mark.parametrize("asked", [health.live, health.ready])
def test_a_load_balancer_may_ask_for_the_head_alone(monkeypatch: pytest.MonkeyPatch, asked: Any):
    monkeypatch.setattr(health, "recent", list)
    ask = RequestFactory()
    answers = [asked(one("/health/")) for one in (ask.get, ask.head, ask.post)]
    assert [one.status_code for one in answers] == [200, 200, 405]
