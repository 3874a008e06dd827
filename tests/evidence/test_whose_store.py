"""A store that is not the one the database knows is noticed before it is written to."""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Callable
from uuid import uuid4

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.core.management import CommandError, call_command
from django.db import connection

from evidence import store
from evidence.intake import parts
from evidence.store import marking
from me_office.upkeep import conditions
from me_office.upkeep.parts.store import TO_DO
from tests.evidence.fake_bucket import kept
from tests.evidence.pictures import add, picture_bytes

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def empty_store(settings, tmp_path):
    """A folder of its own, without a mark, as a disk that is not mounted leaves it."""
    settings.STORAGES = {
        **settings.STORAGES,
        "default": {
            "BACKEND": "django.core.files.storage.FileSystemStorage",
            "OPTIONS": {"location": tmp_path / "files"},
        },
    }
    return tmp_path / "files"


def put(path: str, content: bytes = b"x") -> None:
    default_storage.save(path, ContentFile(content))


def lose_the_mark() -> None:
    default_storage.delete(store.MARK)


def test_a_new_office_marks_its_store_at_the_first_use(empty_store):
    assert store.whose() is store.Whose.NEW
    assert not empty_store.exists()
    kept(b"one")
    said = json.loads((empty_store / store.MARK).read_text())
    assert said["office"] == str(marking.office_id())
    assert store.whose() is store.Whose.OURS


def test_a_store_of_before_there_were_marks_is_taken_for_the_own_by_its_newest_files():
    for n in range(3):
        kept(f"file {n}".encode())
    lose_the_mark()
    assert store.whose() is store.Whose.UNMARKED
    kept(b"another")
    assert store.whose() is store.Whose.OURS


def lost() -> None:
    """The disk is not mounted: what was kept is not there."""
    for one in (kept(b"one"), kept(b"two")):
        default_storage.delete(one.path)
    lose_the_mark()


def one_of_the_newest_is_lost() -> None:
    """An older copy of the store: it lacks what came last."""
    kept(b"one")
    default_storage.delete(kept(b"two").path)
    lose_the_mark()


def strange() -> None:
    put("originals/ab/abc")


def of_another_office() -> None:
    kept(b"one")
    lose_the_mark()
    put(store.MARK, json.dumps({"office": str(uuid4())}).encode())


def left(by: object) -> None:
    kept(b"one")
    lose_the_mark()
    put(store.MARK, json.dumps({"office": "", "was": str(by), "what": "left"}).encode())


def left_for_another() -> None:
    left(by=marking.office_id())


def left_by_another_office() -> None:
    left(by=uuid4())


def unreadable() -> None:
    put(store.MARK, b"\xff not a mark")


def cut_in_half() -> None:
    """The machine stopped, or the disk was full, while it was written."""
    put(store.MARK, b'{"office": "0198')


WRONG = [
    (lost, store.Whose.LOST),
    (one_of_the_newest_is_lost, store.Whose.LOST),
    (strange, store.Whose.STRANGE),
    (of_another_office, store.Whose.OTHERS),
    (left_for_another, store.Whose.MOVED),
    (left_by_another_office, store.Whose.OTHERS),
    (unreadable, store.Whose.UNREADABLE),
    (cut_in_half, store.Whose.UNREADABLE),
]


@pytest.mark.parametrize(("made", "whose"), WRONG, ids=[made.__name__ for made, _ in WRONG])
def test_nothing_is_written_to_another_store(made, whose, empty_store, tmp_path):
    made()
    assert store.whose() is whose
    before = sorted(empty_store.rglob("*"))
    with pytest.raises(store.WrongStore):
        kept(b"new")
    with pytest.raises(store.WrongStore):
        store.publish_made(tmp_path / "made", "packets/ab/x.zip")
    with pytest.raises(store.WrongStore):
        parts.keeper().write(uuid4(), 0, [b"abc"], lambda *_: True, claim=uuid4())
    assert sorted(empty_store.rglob("*")) == before
    with pytest.raises(CommandError, match="not this office's"):
        call_command("check_store")
    [said] = conditions._parts["whose store"].look()
    assert said.state is conditions.State.WRONG
    assert whose.value in said.says and said.to_do == TO_DO[whose]


def test_a_right_store_is_said_to_be():
    kept(b"one")
    [said] = conditions._parts["whose store"].look()
    assert said.state is conditions.State.RIGHT
    assert TO_DO.keys() == set(store.Whose) - store.GOOD


def test_an_upload_is_refused_by_name_reads_go_on_and_the_pages_say_it(client, renn, vasko, case):
    photograph = add(vasko, case, picture_bytes(3))
    lose_the_mark()
    put(store.MARK, b'{"office": "other"}')
    with pytest.raises(store.WrongStore, match="not this office's"):
        add(vasko, case, picture_bytes(4))
    client.force_login(renn)
    assert "The file store is not this office’s" in client.get("/").content.decode()
    assert "The file store is not this office’s" in client.get("/store/").content.decode()
    assert store.is_whole(photograph.file)


def test_two_that_mark_at_once_leave_one_mark(empty_store, monkeypatch):
    read = marking.read_mark

    def late():
        marking.read_mark = read
        put(store.MARK, json.dumps({"office": str(marking.office_id())}).encode())

    monkeypatch.setattr(marking, "read_mark", late)
    store.write_mark()
    assert [path for path in empty_store.rglob("*") if path.is_file()] == [empty_store / store.MARK]


def test_nobody_ever_reads_half_a_mark(empty_store, monkeypatch):
    """Who comes while it is written finds none, and after that the whole."""
    seen = []
    flush = os.fsync
    monkeypatch.setattr(marking.os, "fsync", lambda file: seen.append(store.whose()) or flush(file))
    store.write_mark()
    assert seen == [store.Whose.NEW]
    assert store.whose() is store.Whose.OURS


def mark_only_with_its_files(spoil: Callable[[], object] = lambda: None) -> None:
    """An administrator marks a store whose mark was lost; not while one of its files is."""
    first = kept(b"one")
    lose_the_mark()
    spoil()
    default_storage.delete(first.path)
    with pytest.raises(CommandError, match="missing or altered"):
        call_command("mark_store")
    put(first.path, b"one")
    call_command("mark_store", verbosity=0)
    assert store.whose() is store.Whose.OURS


@pytest.mark.parametrize("spoiled", [unreadable, cut_in_half])
def test_an_administrator_renews_a_mark_that_cannot_be_read_where_the_files_are_there(spoiled):
    mark_only_with_its_files(spoiled)


def test_an_administrator_marks_a_store_that_was_put_back_by_hand():
    mark_only_with_its_files()
    lose_the_mark()
    put(store.MARK, b'{"office": "other"}')
    with pytest.raises(CommandError, match="another office's"):
        call_command("mark_store")


def of(database: str) -> None:
    """Let the store be marked as the office's, by a database of it; by none with ""."""
    said = {"office": str(marking.office_id())} | ({"database": database} if database else {})
    default_storage.delete(store.MARK)
    put(store.MARK, json.dumps(said).encode())


def test_a_copy_of_the_database_writes_nothing_into_the_store_of_the_office(empty_store):
    """A dump restored beside the office, for a test, names the same store with the same id."""
    kept(b"one")
    of("another cluster")
    assert store.whose() is store.Whose.COPYS
    before = sorted(empty_store.rglob("*"))
    with pytest.raises(store.WrongStore, match="in use by another copy"):
        kept(b"two")
    with pytest.raises(store.WrongStore):
        store.write_mark()
    [said] = conditions._parts["whose store"].look()
    assert said.state is conditions.State.WRONG and "--other-is-gone" in said.to_do
    assert sorted(empty_store.rglob("*")) == before


def test_an_administrator_says_that_the_other_database_is_no_more():
    kept(b"one")
    of("the cluster before pg_upgrade")
    with pytest.raises(CommandError, match="say --other-is-gone"):
        call_command("mark_store")
    call_command("mark_store", "--other-is-gone")
    assert store.whose() is store.Whose.OURS
    kept(b"two")


def test_the_store_of_another_office_is_not_had_that_way():
    kept(b"one")
    default_storage.delete(store.MARK)
    put(store.MARK, json.dumps({"office": str(uuid4()), "database": "another"}).encode())
    with pytest.raises(CommandError, match="another office's"):
        call_command("mark_store", "--other-is-gone")
    with pytest.raises(store.WrongStore):
        store.write_mark(instead_of_a_copy=True)


def test_a_mark_of_before_databases_were_named_is_completed_at_the_first_use(empty_store):
    kept(b"one")
    of("")
    assert store.whose() is store.Whose.UNCLAIMED
    kept(b"two")
    assert json.loads((empty_store / store.MARK).read_text()) == marking.own_mark()


def test_a_database_is_told_by_its_cluster_and_its_name():
    """A standby is a copy of the cluster to the byte: it has both, and goes on."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT system_identifier, current_database() FROM pg_control_system()")
        cluster, name = cursor.fetchone()
    told = hashlib.sha256(repr((cluster, name)).encode()).hexdigest()[:32]
    assert marking.this_database() == told


def test_who_may_not_ask_for_the_cluster_is_told_by_office_and_name():
    marking.this_database.cache_clear()
    with connection.cursor() as cursor:
        cursor.execute("REVOKE EXECUTE ON FUNCTION pg_control_system() FROM PUBLIC")
        cursor.execute("CREATE ROLE plain_reader")
        cursor.execute("GRANT SELECT ON evidence_officeidentity TO plain_reader")
        cursor.execute("SET LOCAL ROLE plain_reader")
        told = marking.this_database()
        cursor.execute("RESET ROLE")
    marking.this_database.cache_clear()
    assert len(told) == 32 and told != marking.this_database()
