"""A folder on a file server that hangs: a page waits for a short time, and then for none."""

from __future__ import annotations

import os
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.core.files.storage import default_storage
from django.urls import reverse

from evidence import store
from evidence.fixity import alarms
from evidence.photographs import tasks
from evidence.store import away, limits
from me_office.accounts.roles import Role
from tests.builders import make_case, make_staff
from tests.evidence.fake_bucket import kept
from tests.evidence.pictures import add, picture_bytes

pytestmark = pytest.mark.django_db


@pytest.fixture
def folder(settings, tmp_path, monkeypatch):
    """A store of its own, and a short limit."""
    backend = {
        "BACKEND": "django.core.files.storage.FileSystemStorage",
        "OPTIONS": {"location": tmp_path},
    }
    settings.STORAGES = {**settings.STORAGES, "default": backend}
    monkeypatch.setattr(limits, "SECONDS", 0.2)
    monkeypatch.setattr(limits, "folder_breaker", away.Breaker())
    return tmp_path


@pytest.fixture
def hanging(folder) -> Iterator[list[Path]]:
    """Names that hang whoever opens them: pipes to which nobody writes."""
    pipes: list[Path] = []
    yield pipes
    waiting = [one for one in threading.enumerate() if "asked" in one.name]
    for pipe in pipes:  # whoever still waits is let go
        end = os.open(pipe, os.O_RDWR | os.O_NONBLOCK)
        for thread in waiting:
            thread.join(0.2)
        os.close(end)
    for thread in waiting:
        thread.join()


def hang(pipes: list[Path], path: str) -> None:
    there = Path(default_storage.path(path))
    there.unlink()
    os.mkfifo(there)
    pipes.append(there)


def test_who_opens_a_file_of_a_folder_that_hangs_goes_on_without(hanging):
    stored, other = kept(b"one"), kept(b"another")
    hang(hanging, stored.path)
    for _ in range(away.FAILURES):
        assert not store.is_away()
        with pytest.raises(store.StoreAway):
            store.open_part(stored.path, 0, 3)
    assert store.is_away()
    with pytest.raises(store.StoreAway):  # nobody waits, also for what would answer
        store.open_stored(other)


def test_a_file_that_is_not_there_is_an_answer(folder):
    stored = kept(b"one")
    default_storage.delete(stored.path)
    for _ in range(away.FAILURES + 1):
        with pytest.raises(FileNotFoundError):
            store.open_stored(stored)
    assert not store.is_away()


def test_pages_go_on_while_the_folder_hangs(client, hanging):
    vasko = make_staff(Role.PATHOLOGIST, Role.SUPERVISOR)
    client.force_login(vasko)
    photograph = add(vasko, make_case(), picture_bytes())
    assert tasks.derive_images(photograph_id=str(photograph.pk)) == "made"
    hang(hanging, photograph.derived.get(kind="thumb").file.path)
    hang(hanging, store.MARK)
    keys = {"case_id": photograph.case_id}
    thumb = reverse("evidence:photograph-thumb", kwargs=keys | {"photograph_id": photograph.pk})
    answers = [client.get(thumb) for _ in range(away.FAILURES)]
    assert [answer.status_code for answer in answers] == [503] * away.FAILURES
    log = client.get(reverse("evidence:photographs", kwargs=keys))
    assert (log.status_code, "Pictures can’t be shown now" in log.content.decode()) == (200, True)
    assert alarms.wrong_store() == ""


def test_a_file_that_opens_too_late_is_closed(folder, monkeypatch):
    monkeypatch.setattr(limits, "SECONDS", 0.01)
    let_go, closed = threading.Event(), threading.Event()
    with pytest.raises(store.StoreAway):
        store.within_limit(lambda: let_go.wait(10), too_late=lambda answer: closed.set())
    let_go.set()
    assert closed.wait(10)


def test_how_much_room_there_is_is_not_waited_for(folder, monkeypatch):
    def hangs(*_):
        raise store.StoreAway

    monkeypatch.setattr(alarms.store, "within_limit", hangs)
    assert alarms._little_room() == []
