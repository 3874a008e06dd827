"""Moving the store from a folder to a bucket and back: nothing is lost, and nothing too early."""

from __future__ import annotations

import io
import json
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import psycopg
import pytest
from botocore.loaders import create_loader
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage, storages
from django.core.management import CommandError, call_command
from django.db import connection

from evidence import store
from evidence.fixity.management.commands.move_store import storage_named
from evidence.store import moving
from evidence.store.models import StoredFile
from tests.evidence.fake_bucket import Server, serving
from tests.evidence.waiting import Clock

pytestmark = [
    pytest.mark.django_db,
    # The S3 client leaves closing its sockets to the interpreter.
    pytest.mark.filterwarnings("ignore::ResourceWarning"),
    pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning"),
]


@pytest.fixture(autouse=True)
def _nobody_else(monkeypatch):
    """Let the office be stopped."""
    monkeypatch.setattr(moving, "others_connected", lambda: 0)


@pytest.fixture
def server(monkeypatch) -> Iterator[Server]:
    monkeypatch.setattr("botocore.session.create_loader", cache(create_loader))
    with serving() as it:
        yield it


@pytest.fixture
def bucket(server, tmp_path):
    """The lines of the settings that name the bucket."""
    lines = tmp_path / "bucket.env"
    lines.write_text(
        "# the new store\nME_S3_BUCKET=tarn\nME_S3_REGION=us-east-1\n"
        f"ME_S3_ENDPOINT={server.endpoint}\nME_S3_ACCESS_KEY=tarn\nME_S3_SECRET_KEY='tarn-county'\n"
        "OFFICE_NAME=not of the store\n"
    )
    return str(lines)


@pytest.fixture(params=["folder to bucket", "bucket to folder", "folder to folder"])
def places(request, settings, tmp_path, bucket):
    """The office's store with three files in it, and the place to which it is to be moved."""
    folder = str(tmp_path / "files")
    old, new = {
        "folder to bucket": (folder, bucket),
        "bucket to folder": (bucket, folder),
        "folder to folder": (folder, str(tmp_path / "other")),
    }[request.param]
    use(settings, old)
    for n in range(3):
        kept(n)
    return old, new


def use(settings, place: str) -> None:
    """Set the office's store, as its settings do."""
    storage = storage_named(place)
    backend = f"{type(storage).__module__}.{type(storage).__qualname__}"
    options = storage._constructor_args[1]
    settings.STORAGES = {
        **settings.STORAGES, "default": {"BACKEND": backend, "OPTIONS": options},
    }  # fmt: skip


def kept(n: int) -> StoredFile:
    with store.receive(io.BytesIO(f"file {n}".encode() * 50), name="x") as incoming:
        return store.publish(incoming)


def move(*words: str) -> str:
    said = io.StringIO()
    call_command("move_store", *words, stdout=said, stderr=said)
    return said.getvalue()


def put_in(place: str, path: str, content: bytes) -> None:
    storage = storage_named(place)
    storage.delete(path)
    storage.save(path, ContentFile(content))


def test_the_store_is_moved_while_people_work_and_switched_when_they_stopped(settings, places):
    old, new = places
    assert "3 copied now" in move("--to", new)
    assert store.whose() is store.Whose.OURS  # people go on with the old one
    came = kept(3)
    default_storage.save("incoming/upload-0a/000-b", ContentFile(b"half of a file"))
    assert "1 copied now" in move("--to", new, "--switch")
    assert store.whose() is store.Whose.MOVED
    # Also a process of the office that was forgotten writes no more to what was left.
    with pytest.raises(store.WrongStore):
        storages._storages.clear()
        kept(4)
    use(settings, new)
    assert store.whose() is store.Whose.OURS
    assert all(store.is_whole(one) for one in StoredFile.objects.all())
    assert default_storage.open("incoming/upload-0a/000-b").read() == b"half of a file"
    left = storage_named(old)
    assert left.exists(came.path)
    left.save("note.txt", ContentFile(b"whose is this?"))
    assert "4 deleted" in move("--delete-left", old)
    assert not left.exists(came.path)
    assert left.exists("note.txt")
    assert kept(5).path


def test_who_is_killed_in_the_middle_goes_on_where_he_was(places, monkeypatch):
    name, times = moving._named_in, []

    def killed(*args):
        times.append(args)
        if len(times) == 2:
            raise KeyboardInterrupt
        name(*args)

    monkeypatch.setattr(moving, "_named_in", killed)
    with pytest.raises(KeyboardInterrupt):
        move("--to", places[1])
    assert "2 copied now" in move("--to", places[1])
    assert "0 copied now" in move("--to", places[1])


def test_who_is_killed_between_the_two_marks_switches_again(settings, places, monkeypatch):
    mark, times = moving._mark, []
    move("--to", places[1])

    def killed(*args):
        times.append(args)
        if len(times) == 2:
            raise KeyboardInterrupt
        mark(*args)

    monkeypatch.setattr(moving, "_mark", killed)
    with pytest.raises(KeyboardInterrupt):
        move("--to", places[1], "--switch")
    assert store.whose() is store.Whose.OURS
    move("--to", places[1], "--switch")
    use(settings, places[1])
    assert store.whose() is store.Whose.OURS


@pytest.mark.parametrize("content", [b"file 1!" * 50, b""], ids=["altered", "missing"])
def test_a_file_that_is_not_whole_in_the_old_store_stops_the_switch(places, content):
    stored = StoredFile.objects.order_by("pk")[1]
    default_storage.delete(stored.path)
    if content:
        default_storage.save(stored.path, ContentFile(content))
    with pytest.raises(CommandError, match="1 files are not in the new store"):
        move("--to", places[1], "--switch")
    assert store.whose() is store.Whose.OURS
    new = storage_named(places[1])
    assert not new.exists(stored.path)
    assert new.exists(StoredFile.objects.order_by("pk")[2].path)


def test_nothing_is_deleted_before_the_switch_nor_while_a_file_is_not_whole(settings, places):
    old, new = places
    move("--to", new)
    with pytest.raises(CommandError, match="not left by this office"):
        move("--delete-left", new)
    with pytest.raises(CommandError, match="not left by this office"):
        move("--delete-left", old)
    move("--to", new, "--switch")
    use(settings, new)
    stored = StoredFile.objects.order_by("pk")[2]
    put_in(new, stored.path, b"something else")
    with pytest.raises(CommandError, match="Nothing was switched or deleted"):
        move("--delete-left", old)
    assert all(storage_named(old).exists(one.path) for one in StoredFile.objects.all())


@pytest.mark.parametrize("there", ["note.txt", store.MARK])
def test_a_place_with_files_of_somebody_else_is_not_filled(places, there):
    put_in(places[1], there, json.dumps({"office": "0" * 32}).encode())
    with pytest.raises(CommandError, match="Name an empty one"):
        move("--to", places[1])


def test_the_same_place_is_no_move(places):
    with pytest.raises(CommandError, match="already"):
        move("--to", places[0])


def test_the_store_is_not_switched_while_others_are_connected(places, monkeypatch):
    monkeypatch.undo()
    with psycopg.connect(**connection.get_connection_params() | {"cursor_factory": None}):
        assert moving.others_connected() >= 1
    monkeypatch.setattr(moving, "others_connected", lambda: 1)
    with pytest.raises(CommandError, match="Stop web, worker and beat"):
        move("--to", places[1], "--switch")
    assert store.whose() is store.Whose.OURS
    assert "is the office's" in move("--to", places[1], "--switch", "--even-so")


@pytest.mark.parametrize("fault", ["503", "copies wrongly"])
def test_a_new_store_that_fails_leaves_all_as_it_is(
    settings, tmp_path, server, bucket, fault, monkeypatch
):
    clock = Clock(monkeypatch)
    use(settings, str(tmp_path / "files"))
    stored = kept(1)
    server.fault = fault
    with pytest.raises(CommandError, match=r"Run this again: it goes on from here\."):
        move("--to", bucket, "--switch")
    assert clock.now == (1800 if fault == "503" else 0)
    assert (stored.path in server.objects, store.whose()) == (False, store.Whose.OURS)


def test_a_file_without_a_store_and_one_with_a_wrong_value_are_refused(tmp_path):
    lines = tmp_path / "x.env"
    for text, words in (("OFFICE_NAME=x", "no line"), ("ME_S3_BUCKET=A_b", "ME_S3_BUCKET")):
        lines.write_text(text)
        with pytest.raises(CommandError, match=words):
            storage_named(str(lines))
    assert storage_named(str(tmp_path)).path("a") == str(Path(tmp_path).resolve() / "a")


def test_a_place_is_named_from_the_root_on_or_it_would_be_a_folder_beside_the_code(
    settings, tmp_path
):
    use(settings, str(tmp_path / "files"))
    with pytest.raises(CommandError, match="Name new-store"):
        move("--to", "new-store.env")
