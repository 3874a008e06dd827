"""The store: streamed, checked, kept once, never overwritten."""

from __future__ import annotations

import hashlib
import io
import os
import stat
from datetime import timedelta
from pathlib import Path

import pytest
from django.core.files.storage import default_storage
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import transaction
from django.utils import timezone

from evidence import store
from evidence.store.models import StoredFile
from evidence.store.uploads import taken_in
from me_office.audit.errors import Conflict, Refused

pytestmark = pytest.mark.django_db

# NIST FIPS 180-4 example values: https://csrc.nist.gov/projects/cryptographic-standards-and-
# guidelines/example-values, SHA-256 of "abc" and of the 56-byte message.
KNOWN = {
    b"abc": "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad",
    b"abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq": (
        "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1"
    ),
}


def kept(content: bytes, folder: str = store.ORIGINALS) -> StoredFile:
    with store.receive(io.BytesIO(content), name="x") as incoming:
        return store.publish(incoming, folder=folder)


@pytest.mark.parametrize(("content", "digest"), KNOWN.items())
def test_the_digest_is_that_of_the_standard(content, digest):
    stored = kept(content)
    assert stored.sha256 == digest
    assert stored.path == f"originals/{digest[:2]}/{digest}"
    assert b"".join(store.original_chunks(stored)) == content


def test_a_file_larger_than_one_piece_comes_back_whole():
    content = bytes(range(256)) * 10_000
    stored = kept(content)
    assert stored.size_bytes == len(content)
    assert stored.sha256 == hashlib.sha256(content).hexdigest()
    assert b"".join(store.original_chunks(stored)) == content


def test_the_same_bytes_are_kept_once():
    first, again = kept(b"the same"), kept(b"the same")
    assert first.pk == again.pk
    there = default_storage.listdir(f"originals/{first.sha256[:2]}")[1]
    assert [name for name in there if name.startswith(first.sha256)] == [first.sha256]


def test_a_file_lent_twice_to_one_name_is_refused_and_the_original_stays_whole(tmp_path):
    stored = kept(b"an original that is lent")
    there = tmp_path / "letter.pdf"
    assert store.lend(stored, there) == stored.size_bytes
    with pytest.raises(FileExistsError):
        store.lend(stored, there)
    assert store.is_whole(stored)


def test_a_file_gets_its_place_where_the_block_that_records_it_has_ended_well():
    def there() -> bool:
        return default_storage.exists(stored.path)

    with store.receive(io.BytesIO(b"recorded last"), name="x") as incoming:
        with pytest.raises(ZeroDivisionError), transaction.atomic(), store.kept(incoming) as stored:
            assert not there()
            raise ZeroDivisionError
        assert not there()
        with store.kept(incoming, folder=store.DERIVED) as stored:
            assert not there()
        assert there() and stored.path.startswith(f"{store.DERIVED}/")


@pytest.mark.parametrize(
    ("fault", "answer"), [(store.Damaged, Conflict), (store.StoreFault, Refused)]
)
def test_what_the_store_finds_wrong_with_an_upload_is_said_beside_its_field(fault, answer):
    upload = SimpleUploadedFile("paper.pdf", b"%PDF-1.7")
    with pytest.raises(answer) as said, taken_in(upload, "application/pdf") as incoming:
        assert incoming.media_type == "application/pdf"
        raise fault("It broke off.")
    assert (said.value.field, said.value.message[:13]) == ("upload", "It broke off.")


def test_nothing_stays_in_the_temporary_place():
    kept(b"published")
    with store.receive(io.BytesIO(b"given up"), name="x"):
        assert len(default_storage.listdir("incoming")[1]) == 1
    assert default_storage.listdir("incoming")[1] == []
    assert StoredFile.objects.count() == 1


def test_a_file_that_breaks_off_leaves_nothing():
    class Torn(io.BytesIO):
        def read(self, size=-1):
            if self.tell() > 0:
                raise ConnectionResetError
            return super().read(4)

    with pytest.raises(ConnectionResetError), store.receive(Torn(b"12345678"), name="x"):
        pytest.fail("it must not be received")
    assert StoredFile.objects.count() == 0
    left = default_storage.listdir("incoming")[1] if default_storage.exists("incoming") else []
    assert left == []


def test_bytes_that_came_to_the_disk_differently_are_not_taken(monkeypatch):
    monkeypatch.setattr(store.incoming, "digest_of", lambda path: "0" * 64)
    with pytest.raises(store.StoreFault), store.receive(io.BytesIO(b"x"), name="x"):
        pytest.fail("it must not be received")
    assert default_storage.listdir("incoming")[1] == []


def test_other_bytes_under_a_digest_are_never_overwritten_and_not_believed():
    digest = hashlib.sha256(b"right").hexdigest()
    path = f"originals/{digest[:2]}/{digest}"
    if default_storage.exists(path):
        default_storage.delete(path)
    default_storage.save(path, io.BytesIO(b"wrong"))
    try:
        with pytest.raises(store.StoreFault, match="damaged"):
            kept(b"right")
        with default_storage.open(path) as there:
            assert there.read() == b"wrong"
    finally:
        default_storage.delete(path)


def test_a_changed_file_is_noticed():
    stored = kept(b"as it was")
    assert store.is_whole(stored)
    default_storage.delete(stored.path)
    assert not store.is_whole(stored)
    default_storage.save(stored.path, io.BytesIO(b"as it is not"))
    assert not store.is_whole(stored)
    default_storage.delete(stored.path)


def test_only_names_that_the_store_gave_itself_are_cleared_away():
    given = ["0" * 32, f"{'ab' * 16}_x1Y2z3"]
    others = [f"upload-{'0' * 32}", "packet-0-1", f"x{'0' * 32}", f"{'0' * 31}", "note.txt"]
    for name in (*given, *others):
        default_storage.save(f"{store.INCOMING}/{name}", io.BytesIO(b"x"))
    # As old as can be: only the name keeps what other parts of the office look after.
    assert store.remove_forgotten(older_than=timezone.now() + timedelta(days=1)) == len(given)
    for name in given:
        assert not default_storage.exists(f"{store.INCOMING}/{name}")
    for name in others:
        assert default_storage.exists(f"{store.INCOMING}/{name}")
        default_storage.delete(f"{store.INCOMING}/{name}")


def test_what_is_being_received_is_not_cleared_away():
    with store.receive(io.BytesIO(b"x"), name="x") as incoming:
        assert store.remove_forgotten(older_than=timezone.now() - timedelta(days=1)) == 0
        assert default_storage.exists(incoming.path)


@pytest.fixture
def on_disk(monkeypatch):
    """What reaches the disk, in its order: a file or folder flushed, a name given."""
    told, fsync, link = [], os.fsync, os.link

    def flushed(handle):
        told.append(("flushed", Path(f"/proc/self/fd/{handle}").readlink()))
        fsync(handle)

    def named(here, there):
        told.append(("named", Path(there)))
        link(here, there)

    monkeypatch.setattr(os, "fsync", flushed)
    monkeypatch.setattr(os, "link", named)
    return told


def made_file(content: bytes) -> Path:
    """A finished file in the store's own folder, as a packet is."""
    there = Path(default_storage.path("incoming")) / "made"
    there.parent.mkdir(parents=True, exist_ok=True)
    there.write_bytes(content)
    return there


def test_a_file_is_on_the_disk_before_it_is_named_its_name_after_and_nobody_may_write_it(on_disk):
    name = Path(default_storage.path(kept(b"an original").path))
    steps = [step for step, _ in on_disk]
    assert steps == ["flushed", "named", "flushed"]
    assert [path for _, path in on_disk[1:]] == [name, name.parent]
    assert stat.S_IMODE(name.stat().st_mode) == 0o440


def test_a_packet_gets_its_name_in_the_same_order_and_is_read_back_from_it(on_disk, monkeypatch):
    made, read = made_file(b"a packet"), []
    digest_of = store.digest_of
    monkeypatch.setattr(
        store.publishing, "digest_of", lambda path: read.append(path) or digest_of(path)
    )
    path, digest = store.publish_made(made, "packets/aa/one.zip")
    name = Path(default_storage.path(path))
    assert on_disk == [("flushed", made), ("named", name), ("flushed", name.parent)]
    assert (read, digest) == (["packets/aa/one.zip"], hashlib.sha256(b"a packet").hexdigest())
    assert stat.S_IMODE(name.stat().st_mode) == 0o440
    made.unlink(), default_storage.delete(path)
