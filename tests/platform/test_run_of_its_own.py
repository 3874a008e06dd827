"""What the run of tests itself rests on: a database made once, and a store that stays as it was."""

from __future__ import annotations

import fcntl
import os
from pathlib import Path
from types import SimpleNamespace

import pytest

from tests import ready, servers

DECIDES = [
    "requirements.txt",
    "cases/migrations/0002_more.py",
    "evidence/custody/migrations/0001_initial.py",
    "findings/migrations/0001_initial.py",
    "me_office/audit/migrations/0001_initial.py",
    "me_office/audit/sql/audit_change.sql",
]


def write(path: Path, words: str = "x") -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(words)


@pytest.fixture
def sources(tmp_path, monkeypatch):
    """The files of an office of which nothing else is there."""
    monkeypatch.setattr(ready, "ROOT", tmp_path)
    for name in DECIDES:
        write(tmp_path / name)
    return tmp_path


@pytest.mark.parametrize("name", DECIDES)
def test_a_database_is_made_anew_when_what_makes_it_has_changed(sources, name):
    before = ready._key()
    assert ready._key() == before
    write(sources / name, "y")
    changed = ready._key()
    assert changed != before
    (sources / name).rename((sources / name).with_stem("0003_other"))
    if name != "requirements.txt":
        assert ready._key() not in {before, changed}


def test_a_database_is_kept_while_only_the_rest_changes(sources):
    before = ready._key()
    write(sources / "cases" / "models.py")
    write(sources / "tests" / "migrations" / "0001_initial.py")
    assert ready._key() == before


@pytest.fixture
def kept(tmp_path, monkeypatch):
    """A folder for kept clusters, whose making is one file; `made` tells how often one was."""
    folder, made = tmp_path / "kept", []
    monkeypatch.setattr(ready, "KEPT", folder)
    monkeypatch.setattr(ready, "_key", lambda: "now")

    def make(there: Path) -> None:
        made.append(there)
        write(there / "PG_VERSION")

    monkeypatch.setattr(ready, "_make", make)
    return SimpleNamespace(folder=folder, made=made)


def test_a_cluster_is_made_once_and_whoever_comes_waits_for_who_is_at_it(kept):
    for _ in range(2):
        with ready._made() as there, (kept.folder / "lock").open("w") as other:
            assert (there / "PG_VERSION").exists()
            with pytest.raises(BlockingIOError):
                fcntl.flock(other, fcntl.LOCK_EX | fcntl.LOCK_NB)
    assert kept.made == [kept.folder / "now"]
    with (kept.folder / "lock").open("w") as other:
        fcntl.flock(other, fcntl.LOCK_EX | fcntl.LOCK_NB)


def test_what_was_used_last_is_kept_and_the_rest_forgotten(kept):
    for days in range(1, 12):
        write(kept.folder / f"{days}" / "PG_VERSION")
        os.utime(kept.folder / f"{days}", (0, 1_000_000 - days))
    with ready._made():
        pass
    left = {path.name for path in kept.folder.iterdir()}
    assert left == {"now", "lock", *map(str, range(1, ready.MOST_KEPT))}


def test_nothing_is_taken_from_a_folder_that_somebody_else_may_have_laid(
    kept, tmp_path, monkeypatch
):
    (tmp_path / "theirs").mkdir()
    kept.folder.symlink_to(tmp_path / "theirs")
    assert ready.put_into(tmp_path / "home") is False
    kept.folder.unlink()
    monkeypatch.setattr(os, "geteuid", lambda: kept.folder.parent.stat().st_uid + 1)
    assert ready.put_into(tmp_path / "home") is False
    assert kept.made == []


def test_a_cluster_whose_making_failed_is_not_there(tmp_path, monkeypatch):
    class Broken:
        def __init__(self, home: Path, *, lasting: bool) -> None:
            write(home / "half", "done")

        def start(self) -> None:
            raise RuntimeError

        def stop(self) -> None:
            """It never ran."""

    monkeypatch.setattr(ready.embedded, "PostgreSQL", Broken)
    with pytest.raises(RuntimeError):
        ready._make(tmp_path / "now")
    assert list(tmp_path.iterdir()) == []


@pytest.fixture
def files(tmp_path, monkeypatch):
    """The store of a run of its own, with one file that several tests share."""
    monkeypatch.setattr(servers, "_servers", SimpleNamespace(home=tmp_path))
    write(tmp_path / "files" / "originals" / "shared", "whole")
    return tmp_path / "files"


def test_a_test_leaves_in_the_store_what_was_there_and_nothing_else(files):
    before = servers._in_the_store()
    write(files / "originals" / "own")
    write(files / "incoming" / "left")
    servers._leave_in_the_store(before)
    assert [path for path in files.rglob("*") if path.is_file()] == [files / "originals" / "shared"]
    servers._leave_in_the_store({})
    assert list(files.iterdir()) == []


@pytest.mark.parametrize(
    "harm",
    [
        lambda shared: shared.unlink(),
        lambda shared: shared.write_text("longer than it was"),
        lambda shared: (shared.write_text("other"), os.utime(shared, (1, 1))),
        lambda shared: (shared.rename(shared.with_name("own")), write(shared, "whole")),
    ],
    ids=["gone", "longer", "written again", "another in its place"],
)
def test_a_test_that_changes_what_others_share_is_told(files, harm):
    before = servers._in_the_store()
    harm(files / "originals" / "shared")
    with pytest.raises(AssertionError, match="changed files that others share"):
        servers._leave_in_the_store(before)


@pytest.mark.parametrize(
    ("workers", "in_worker", "lists", "part", "needs_none"),
    [
        (None, False, False, None, False),
        (None, False, False, "served", False),
        (2, True, False, "served", False),
        (2, False, False, "served", True),
        (None, False, True, None, True),
        (None, False, False, "pure", True),
    ],
)
def test_only_who_runs_what_asks_for_a_server_starts_one(
    monkeypatch, workers, in_worker, lists, part, needs_none
):
    started = []
    monkeypatch.delenv(servers.WORKER, raising=False)
    if in_worker:
        monkeypatch.setenv(servers.WORKER, "gw0")
    monkeypatch.setattr(servers._servers, "start", lambda **how: started.append(how))
    asked = SimpleNamespace(numprocesses=workers, collectonly=lists, part=part)
    begun = servers.pytest_load_initial_conftests(SimpleNamespace(known_args_namespace=asked))
    next(begun)
    with pytest.raises(StopIteration):
        begun.send(None)
    assert started == [{"only_named": needs_none}]
