"""Every condition is looked at within its time, and what hangs keeps nobody waiting."""

from __future__ import annotations

import json
import threading
from collections.abc import Iterator
from io import StringIO

import psycopg
import pytest
from django.contrib.staticfiles.storage import staticfiles_storage
from django.core.management import call_command
from django.db import OperationalError, ProgrammingError
from django.utils import timezone
from psycopg import errors

from me_office.upkeep import beats, conditions
from me_office.upkeep.conditions import Said, State, condition, dangerous, look, right, wrong
from me_office.upkeep.models import Backup


@pytest.fixture(autouse=True)
def only_ours(monkeypatch: pytest.MonkeyPatch, request: pytest.FixtureRequest) -> None:
    if "transactional_db" not in request.fixturenames:
        monkeypatch.setattr(conditions, "_parts", {})


def test_each_says_what_was_found_in_the_order_of_registration():
    @condition("one")
    def one() -> Iterator[Said]:
        yield right("It stands.")

    @condition("two", serving=True)
    def two() -> Iterator[Said]:
        yield wrong("It fell.", "Put it up.")
        yield dangerous("It lies in the way.", "Step over it.")

    assert [(c.name, c.state, c.says, c.to_do) for c in look()] == [
        ("one", State.RIGHT, "It stands.", ""),
        ("two", State.WRONG, "It fell.", "Put it up."),
        ("two", State.DANGER, "It lies in the way.", "Step over it."),
    ]
    assert conditions.names(serving_only=True) == ["two"]


def test_two_may_not_have_one_name():
    condition("one")(lambda: [])
    with pytest.raises(ValueError, match="one"):
        condition("one")(lambda: [])


def test_what_cannot_be_looked_at_is_said_and_keeps_no_other_from_being_seen():
    @condition("one")
    def one() -> Iterator[Said]:
        raise PermissionError("the password is 12345")
        yield

    condition("two")(lambda: [right("It stands.")])
    first, second = look()
    assert (first.state, second.state) == (State.NOT_SEEN, State.RIGHT)
    assert "PermissionError" in first.says and "12345" not in first.says


@pytest.mark.parametrize(
    ("of", "cause", "says"),
    [
        (ProgrammingError, errors.UndefinedTable, "not there yet: see tables"),
        (ProgrammingError, errors.UndefinedColumn, "not there yet: see tables"),
        (ProgrammingError, errors.InsufficientPrivilege, "at: ProgrammingError"),
        (OperationalError, psycopg.OperationalError, "does not answer: see database"),
        (OperationalError, errors.AdminShutdown, "does not answer: see database"),
        (OperationalError, errors.LockNotAvailable, "at: OperationalError"),
    ],
)
def test_what_the_database_does_not_give_is_said_with_the_line_that_tells_more(
    of: type[Exception], cause: type[psycopg.Error], says: str
):
    @condition("one")
    def one() -> Iterator[Said]:
        raise of from cause()
        yield

    (seen,) = look()
    assert seen.state is State.NOT_SEEN and says in seen.says


def test_what_hangs_is_said_to_hang_and_is_not_begun_again_until_it_came_back():
    begun, let_go = [], threading.Event()

    @condition("one", patience=0.01)
    def one() -> Iterator[Said]:
        begun.append(1)
        let_go.wait(30)
        yield right("It stands.")

    condition("two")(lambda: [right("It stands.")])
    for _ in range(3):
        first, second = look()
        assert first.state is State.NOT_SEEN and first.says.startswith("No answer since ")
        assert second.state is State.RIGHT
    assert begun == [1]
    let_go.set()
    watched = conditions._parts["one"]
    watched.patience = 30
    while watched.out_since is not None:
        let_go.wait(0.001)
    assert [c.state for c in look(["one"])] == [State.RIGHT]
    assert begun == [1, 1]


def test_what_is_dear_to_look_at_is_told_again_for_a_while_and_then_looked_at_anew():
    seen = []

    def dear() -> Iterator[Said]:
        seen.append(1)
        yield right(f"It stands, {len(seen)}.")

    condition("one", good_for=60)(dear)
    assert [c.says for _ in range(3) for c in look()] == ["It stands, 1."] * 3
    watched = conditions._parts["one"]
    watched.good_for = 0.0
    assert [c.says for c in look()] == ["It stands, 2."]


def test_while_the_database_is_away_one_line_says_what_is_not_seen_without_it():
    condition("database")(lambda: [wrong("It is away.", "Start it.")])
    condition("mail")(lambda: [wrong("It is away, too.", "Start that.")])
    for name in ("tables", "backup"):

        @condition(name)
        def unseen() -> Iterator[Said]:
            raise OperationalError from psycopg.OperationalError()
            yield

    out = StringIO()
    with pytest.raises(SystemExit):
        call_command("ready", stdout=out)
    assert out.getvalue().splitlines() == [
        "wrong: database. It is away.",
        "    Start it.",
        "wrong: mail. It is away, too.",
        "    Start that.",
        "not seen while the database is away: tables, backup.",
    ]


def test_an_office_that_lacks_something_is_not_ready(
    transactional_db: None, monkeypatch: pytest.MonkeyPatch
):
    def away(name: str) -> str:
        raise ValueError(name)

    everybody = [beats.BEAT, *map(beats.worker, beats.QUEUES)]
    beats.note(*everybody)
    # What the machine of a test run lacks is no matter of the command.
    of_the_machine = ("database role", "folders", "mail", "administrator", "settings")
    rest = {n: one for n, one in conditions._parts.items() if n not in of_the_machine}
    monkeypatch.setattr(conditions, "_parts", rest)
    now = timezone.now()
    Backup.objects.create(
        name="x", folder="/x", taken_at=now, files=0, size_bytes=0, not_whole=0, checked_at=now
    )
    out = StringIO()
    call_command("ready", "--json", stdout=out)
    assert {one["state"] for one in json.loads(out.getvalue())} == {"right"}
    monkeypatch.setattr(staticfiles_storage, "url", away, raising=False)
    out = StringIO()
    with pytest.raises(SystemExit):
        call_command("ready", stdout=out)
    first = out.getvalue().splitlines()[:2]
    assert first[0].startswith("wrong: static files. They are not in ")
    assert first[1] == "    manage.py collectstatic --noinput"
