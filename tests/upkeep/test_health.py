"""What a load balancer, a stranger and an administrator are told."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from django.test import Client

from me_office.accounts.roles import Role
from me_office.upkeep import health
from me_office.upkeep.conditions import Condition, State, names
from tests.builders import CASE_STAFF, as_person, make_staff

pytestmark = pytest.mark.django_db
TOKEN = "a token of the inside, long enough"
FOUND = {
    "database": ("It answers.", ""),
    "beat": ("Silent since 3 Mar, 11:00.", "Start one."),
}


@pytest.fixture(autouse=True)
def _nothing_is_remembered() -> Iterator[None]:
    health.forget()
    yield
    health.forget()


@pytest.fixture
def stands(monkeypatch: pytest.MonkeyPatch) -> Any:
    """Let everything stand as it is said; count the looks."""

    def as_said(**states: State) -> list[int]:
        looks: list[int] = []

        def look(**_: float) -> Iterator[Condition]:
            looks.append(1)
            for name, state in states.items():
                says, to_do = FOUND.get(name, ("", ""))
                yield Condition(name.replace("_", " "), state, says, to_do)

        health.forget()
        monkeypatch.setattr(health, "look", look)
        return looks

    return as_said


def test_the_process_says_that_it_lives_without_asking_the_database(
    client: Client, django_assert_num_queries: Any
):
    with django_assert_num_queries(0):
        answer = client.get("/health/live/")
    assert (answer.status_code, answer.content) == (200, b"alive\n")


@pytest.mark.parametrize("serving", names(serving_only=True))
def test_without_what_every_request_needs_nobody_is_sent_here(
    client: Client, stands: Any, serving: str
):
    stands(**{serving.replace(" ", "_"): State.RIGHT})
    assert client.get("/health/ready/").status_code == 200
    for state in (State.WRONG, State.DANGER, State.NOT_SEEN):
        stands(**{serving.replace(" ", "_"): state})
        answer = client.get("/health/ready/")
        assert (answer.status_code, answer.json()["ready"]) == (503, False)


def test_what_only_some_need_sends_nobody_away_and_is_not_told_to_strangers(
    client: Client, stands: Any
):
    stands(database=State.RIGHT, beat=State.WRONG)
    answer = client.get("/health/ready/")
    assert answer.status_code == 200
    # A stranger reads what every request needs; the rest would tell where to try.
    assert answer.json()["conditions"] == [{"name": "database", "state": "right"}]


@pytest.mark.parametrize(
    ("brought", "kept", "words"),
    [
        ("", TOKEN, False),
        ("Bearer ", "", False),
        ("Bearer " + TOKEN[:-1], TOKEN, False),
        ("Bearer " + TOKEN, TOKEN, True),
        ("Bearer ü", TOKEN, False),
    ],
)
def test_the_words_are_for_who_brings_the_token(
    client: Client, stands: Any, settings: Any, brought: str, kept: str, words: bool
):
    settings.INSIDE_TOKEN = kept
    stands(database=State.RIGHT, beat=State.WRONG)
    told = client.get("/health/ready/", headers={"Authorization": brought}).json()["conditions"]
    assert ("says" in told[0]) is words
    assert [one["name"] for one in told] == ["database", "beat"] if words else ["database"]


def test_who_asks_every_second_is_answered_from_one_look(
    client: Client, stands: Any, monkeypatch: pytest.MonkeyPatch
):
    looks, now = stands(database=State.RIGHT), [1000.0]
    monkeypatch.setattr(health, "monotonic", lambda: now[0])
    for _ in range(5):
        client.get("/health/ready/")
        now[0] += 1.0
    assert looks == [1]
    now[0] += 0.1
    client.get("/health/ready/")
    assert looks == [1, 1]


def test_an_administrator_reads_what_needs_attention_first_and_what_to_do(stands: Any):
    birch = as_person(make_staff(Role.ADMINISTRATOR, name="A. Birch"))
    stands(database=State.RIGHT, beat=State.WRONG)
    page = birch.get("/office/").content.decode()
    assert "One thing needs attention." in page and "Start one." in page
    assert page.index("Silent since") < page.index("It answers.")
    stands(database=State.RIGHT)
    page = birch.get("/office/").content.decode()
    assert "Everything is as it should be." in page and "Needs attention" not in page
    assert 'href="/office/"' in birch.get("/").content.decode()


def test_of_several_things_each_stands_with_what_to_do(monkeypatch: pytest.MonkeyPatch):
    found = [
        Condition("folders", State.DANGER, "One is open.", "chmod one"),
        Condition("folders", State.RIGHT, "Two is closed."),
        Condition("folders", State.WRONG, "Three is missing.", "mkdir three"),
    ]
    monkeypatch.setattr(health, "look", lambda **_: iter(found))
    page = as_person(make_staff(Role.ADMINISTRATOR)).get("/office/").content.decode()
    places = [page.index(one) for one in ("One is", "chmod one", "Three is", "mkdir three")]
    assert places == sorted(places)
    assert "Two is closed" not in page
    assert page.count("Folders") == 1 and "stop" in page


@pytest.mark.parametrize("role", CASE_STAFF)
def test_nobody_else_sees_the_page(role: Role, stands: Any):
    stands(database=State.RIGHT)
    assert as_person(make_staff(role)).get("/office/").status_code == 403


def test_a_stranger_is_asked_to_sign_in(client: Client):
    assert client.get("/office/").status_code == 302
