"""A look at everything opens few connections to the database, and what hangs holds up no other."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator

import pytest
from django.db import connection
from django.db.backends.signals import connection_created

from evidence.store import marking
from me_office.upkeep import conditions
from me_office.upkeep.conditions import Said, State, condition, look, right


@pytest.fixture
def opened() -> Iterator[list[int]]:
    """The connections that are opened meanwhile, by the thread that opens one."""
    found: list[int] = []

    def note(**_: object) -> None:
        found.append(threading.get_ident())

    connection_created.connect(note)
    yield found
    connection_created.disconnect(note)


def asks() -> Iterator[Said]:
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1")
    yield right("It answers.")


@pytest.mark.django_db(transaction=True)
def test_a_look_at_everything_opens_three_connections_at_the_most(
    opened: list[int], monkeypatch: pytest.MonkeyPatch
):
    own = {"office": str(marking.office_id()), "database": marking.this_database()}
    monkeypatch.setattr(marking, "read_mark", lambda: marking.Mark(**own))
    list(look())  # what a process asks once only
    opened.clear()
    assert {one.name for one in look()} == set(conditions.names())
    assert 0 < len(opened) <= conditions.DATABASE_THREADS == 3


@pytest.fixture
def only_ours(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(conditions, "_parts", {})


@pytest.mark.usefixtures("only_ours")
@pytest.mark.django_db(transaction=True)
def test_two_that_hang_hold_up_no_other_and_are_not_begun_again(opened: list[int]):
    let_go, begun = threading.Event(), []

    def hangs() -> Iterator[Said]:
        begun.append(1)
        yield from asks()
        let_go.wait(30)

    names = [f"condition {number}" for number in range(12)]
    for number, name in enumerate(names):
        patience = 0.01 if number in (0, 5) else 30
        of_it: Callable[[], Iterator[Said]] = hangs if number in (0, 5) else asks
        condition(name, asks_database=True, patience=patience)(of_it)
    for _ in range(3):
        found = {one.name: one.state for one in look()}
        assert [name for name in names if found[name] is not State.RIGHT] == [names[0], names[5]]
    assert len(begun) == 2
    # Three with the first look; the two that hang keep theirs, and each later look opens one.
    assert len(opened) <= 3 + 1 + 1
    let_go.set()
    waited = conditions._parts[names[5]]
    while waited.out_since is not None:
        let_go.wait(0.001)
    waited.patience = 30
    assert [one.state for one in look([names[5]])] == [State.RIGHT]


@pytest.mark.usefixtures("only_ours")
@pytest.mark.django_db(transaction=True)
def test_what_breaks_its_connection_leaves_the_next_one_a_whole_one(
    monkeypatch: pytest.MonkeyPatch,
):
    def breaks() -> Iterator[Said]:
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_terminate_backend(pg_backend_pid())")
        yield right("")

    monkeypatch.setattr(conditions, "DATABASE_THREADS", 1)
    condition("one", asks_database=True)(breaks)
    condition("two", asks_database=True)(asks)
    assert [one.state for one in look()] == [State.NOT_SEEN, State.RIGHT]
