"""The store in a bucket: what is sent and fetched, and what a server may do wrong."""

from __future__ import annotations

import hashlib
import io
import json
import threading
import tracemalloc
from collections.abc import Iterator
from datetime import timedelta
from functools import cache
from uuid import uuid4

import pytest
from botocore.loaders import create_loader
from django.core.files.storage import default_storage
from django.utils import timezone
from PIL import Image

from evidence import store
from evidence.intake.tasks import clear_uploads
from evidence.store import away, bucket, bucket_parts, marking
from evidence.store.away import Breaker, StoreAway
from me_office.upkeep import conditions
from me_office.upkeep.conditions import State
from tests.evidence.fake_bucket import MEGABYTE, Made, Server, _Handler, kept, serving, use_bucket
from tests.evidence.pictures import picture_bytes

pytestmark = [
    # The S3 client leaves closing its sockets to the interpreter.
    pytest.mark.filterwarnings("ignore::ResourceWarning"),
    pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning"),
]
FAULTS = ["hangs", "500", "503", "denies", "other bucket"]


@pytest.fixture(scope="module", autouse=True)
def _protocol_read_once() -> Iterator[None]:
    """Read what the client knows of the protocol once, not for each storage anew."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("botocore.session.create_loader", cache(create_loader))
        yield


@pytest.fixture
def server() -> Iterator[Server]:
    with serving() as it:
        yield it


@pytest.fixture
def quick(monkeypatch):
    """Let nobody wait as long as an office does."""
    for name in ("READ_SECONDS", "WRITE_SECONDS", "WINDOW_SECONDS"):
        monkeypatch.setattr(bucket, name, 0.2)


@pytest.fixture
def office(server, settings):
    """Set the office's store to the bucket."""
    use_bucket(settings, server)
    return server


@pytest.fixture
def marked(office):
    """The bucket with the office's mark, as it is after its first use."""
    store.require_own_store()
    office.asked.clear()
    office.received = office.sent = 0
    mark = office.objects.pop(store.MARK)
    office.objects.clear()
    assert mark
    return office


# Four times what may be held.
LARGE = 96 * MEGABYTE


def test_a_large_object_is_read_without_holding_it(server):
    server.objects["large"] = Made(LARGE)
    storage, whole = server.storage(), hashlib.sha256()
    storage.exists("large")  # the client itself is made before
    tracemalloc.start()
    try:
        with storage.open("large") as file:
            while piece := file.read(store.CHUNK):
                whole.update(piece)
        peak = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    assert server.sent == LARGE
    assert peak < LARGE / 4
    same = hashlib.sha256()
    for piece in Made(LARGE).part(0, LARGE - 1):
        same.update(piece)
    assert whole.hexdigest() == same.hexdigest()


def test_a_large_file_is_sent_without_holding_it_and_digested_on_the_way(server):
    made, pieces = Made(65 * MEGABYTE), iter(Made(65 * MEGABYTE).part(0, 65 * MEGABYTE - 1))

    class File(io.RawIOBase):
        def read(self, size=-1):
            return next(pieces, b"")

    sent = server.storage().send("large", File())
    same = hashlib.sha256()
    for piece in made.part(0, made.size - 1):
        same.update(piece)
    assert (sent.sha256, sent.size, sent.confirmed) == (same.hexdigest(), made.size, True)
    assert server.received < made.size + MEGABYTE
    assert [what for what, _ in server.asked] == ["POST", *["PUT"] * 5, "POST"]
    assert hashlib.sha256(server.objects["large"]).hexdigest() == sent.sha256  # type: ignore[arg-type]


def test_of_a_range_only_the_range_is_fetched(office):
    office.objects["large"] = Made(300 * MEGABYTE)
    first, length = 200 * MEGABYTE + 7, 5_000
    with store.open_part("large", first, length) as part:
        assert part.read() == Made.block[7:5_007]
        assert (part.read(1), part.seek(0), part.read(3)) == (b"", 0, Made.block[7:10])
        part.seek(-2, io.SEEK_END)
        assert part.read(9) == Made.block[5_005:5_007]
    assert office.ranges == [f"bytes={first}-{first + length - 1}"]
    assert office.sent == length


def test_jumping_about_reads_what_is_there(server):
    content = picture_bytes(size=(900, 700), quality=100) * 9
    server.objects["x"] = content
    with server.storage().open("x") as file:
        for place, length in [(0, 10), (len(content) - 9, 99), (300_000, 400_000), (5, 3)]:
            file.seek(place)
            assert file.read(length) == content[place : place + length]
    with server.storage().open("x") as file:
        assert file.read() == content


@pytest.mark.parametrize("content", [b"", b"x"])
def test_the_smallest_objects_come_back(server, content):
    storage = server.storage()
    storage.save("small", io.BytesIO(content))
    with storage.open("small") as file:
        assert file.read() == content
    with pytest.raises(FileNotFoundError):
        storage.open("smaller")


@pytest.mark.django_db
@pytest.mark.parametrize("tells", [True, False], ids=["tells digests", "tells none"])
def test_an_upload_is_sent_once_and_read_back_only_where_the_server_tells_no_digest(marked, tells):
    marked.tells_digests = tells
    content = b"sent once" * 1000
    stored = kept(content)
    assert marked.objects == {stored.path: content}
    assert marked.received == len(content)
    asked = [what for what, _ in marked.asked]
    back = [] if tells else ["HEAD", "GET"]
    assert asked == ["PUT", "GET", "PUT copy", *back, "DELETE"]  # the first GET is a list
    assert marked.sent == (0 if tells else len(content))


@pytest.mark.django_db
@pytest.mark.parametrize("tells", [True, False], ids=["tells digests", "tells none"])
def test_a_copy_that_differs_is_not_believed(marked, tells):
    marked.tells_digests, marked.fault = tells, "copies wrongly"
    with pytest.raises(store.StoreFault):
        kept(b"on its way")


@pytest.mark.django_db
def test_more_than_one_copy_takes_is_copied_in_parts_and_read_back_once(marked, monkeypatch):
    monkeypatch.setattr(bucket, "COPY_AT_ONCE", 1000)
    monkeypatch.setattr(bucket_parts, "COPIED_PART", 400)
    content = bytes(range(250)) * 5
    stored = kept(content)
    assert marked.objects == {stored.path: content}
    copies = [key for what, key in marked.asked if what == "PUT copy"]
    assert copies == [stored.path] * 4
    assert (marked.received - len(content) < 1000, marked.sent) == (True, len(content))


@pytest.mark.django_db
def test_uploads_in_parts_that_nobody_finished_are_taken_back_after_a_day(office, caplog):
    now = timezone.now()
    old, young = now - timedelta(days=1, seconds=1), now - timedelta(hours=23, minutes=59)
    whole = [f"{folder}/x" for folder in ("derived", "incoming", "originals", "packets")]
    office.begun = {f"old {key}": (key, old) for key in (*whole, "of others/x", "note")}
    office.begun["young"] = whole[0], young
    store.require_own_store()
    assert clear_uploads() == len(whole)
    assert office.begun.keys() == {"old of others/x", "old note", "young"}
    assert "4 unfinished uploads in parts were taken back" in caplog.text
    assert clear_uploads() == 0
    # Where the key may not ask, or the store is another office's, nothing is said or done.
    office.begun["old"] = whole[0], old
    office.objects[store.MARK] = b'{"office": "another"}'
    assert clear_uploads() == 0
    del office.objects[store.MARK]
    office.fault = "denies"
    assert default_storage.begun_in_parts() == []
    assert (office.begun["old"], default_storage.breaker._failed) == ((whole[0], old), 0)


def test_what_a_server_joins_itself():
    least, step = bucket_parts.LEAST_PART, bucket_parts.COPIED_PART
    can = bucket_parts.can_be_assembled
    assert [can([least, 1]), can([least - 1, 1]), can([least, least, 3])] == [True, False, True]
    assert [can([step, 1]), can([step + 1, 1]), can([step + least, 1])] == [True, False, True]
    assert not can([least])


@pytest.mark.parametrize("fault", FAULTS)
def test_a_server_that_fails_is_away_and_no_file_is_missing_for_it(server, quick, fault):
    server.objects["x"] = b"there"
    storage = server.storage()
    server.fault = fault
    for ask in (storage.open, storage.exists, storage.size, storage.listdir, storage.delete):
        storage.breaker = Breaker()
        with pytest.raises(StoreAway):
            ask("x")
    with pytest.raises(StoreAway):
        storage.save("y", io.BytesIO(b"new"))
    server.fault = ""
    assert "x" in server.objects


@pytest.mark.parametrize("fault", ["cuts", "trickles"])
def test_an_answer_that_is_cut_or_does_not_end_is_not_taken_for_a_file(server, quick, fault):
    server.objects["x"] = b"there" * 1000
    server.fault = fault
    with pytest.raises(StoreAway):
        server.storage().open("x").read()


@pytest.mark.parametrize("half", [b"<ListBucketResult><Contents>", b"<html><br>Sign in</html>"])
def test_an_answer_that_cannot_be_parsed_is_a_store_that_is_away(server, monkeypatch, half):
    """Cut by a proxy, or somebody else's page: nothing is said of any file."""
    monkeypatch.setattr(_Handler, "_list", lambda self, query: self._answer(200, half))
    with pytest.raises(StoreAway):
        server.storage().exists("x")


def test_one_quick_refusal_passes_unnoticed(server):
    storage = server.storage()
    server.objects["x"] = b"there"
    real, asked = storage._client, []

    def once(seconds):
        asked.append(seconds)
        server.fault = "503" if len(asked) == 1 else ""
        return real(seconds)

    storage._client = once
    assert storage.open("x").read() == b"there"
    assert not storage.breaker.is_open


def test_after_some_failures_nobody_waits_for_the_server(server, quick):
    storage = server.storage()
    server.fault = "hangs"
    for _ in range(away.FAILURES):
        assert not storage.breaker.is_open
        with pytest.raises(StoreAway):
            storage.exists("x")
    asked = len(server.asked)
    for ask in (storage.exists, storage.open, storage.delete):
        with pytest.raises(StoreAway):
            ask("x")
    assert (len(server.asked), storage.breaker.is_open) == (asked, True)


class Clock:
    now = 0.0

    def __call__(self):
        return self.now


def heard(breaker, *, answered):
    try:
        with breaker.asking():
            if not answered:
                raise StoreAway
    except StoreAway:
        return "away"
    return "answered"


def test_one_tries_again_after_the_pause_and_the_others_go_on_without():
    clock, asked = Clock(), []
    breaker = Breaker(failures=2, pause=10, clock=clock)
    assert [heard(breaker, answered=False) for _ in range(2)] == ["away"] * 2
    clock.now = 9.9
    assert heard(breaker, answered=True) == "away"
    clock.now = 10.0
    inside, let_go = threading.Event(), threading.Event()

    def trying():
        with breaker.asking():
            inside.set()
            let_go.wait(10)

    thread = threading.Thread(target=trying)
    thread.start()
    assert inside.wait(10)
    asked = [heard(breaker, answered=True) for _ in range(3)]
    let_go.set()
    thread.join()
    assert asked == ["away"] * 3
    assert (heard(breaker, answered=True), breaker.is_open) == ("answered", False)


def test_who_tries_in_vain_begins_the_pause_anew_and_an_answer_ends_the_count():
    clock = Clock()
    breaker = Breaker(failures=2, pause=10, clock=clock)
    assert heard(breaker, answered=False) == "away"
    assert heard(breaker, answered=True) == "answered"
    assert heard(breaker, answered=False) == "away"
    assert not breaker.is_open  # never two in a row
    assert heard(breaker, answered=False) == "away"
    clock.now = 10.0
    assert (heard(breaker, answered=False), breaker.is_open) == ("away", True)
    clock.now = 19.0
    assert heard(breaker, answered=True) == "away"
    clock.now = 20.0
    assert heard(breaker, answered=True) == "answered"


def test_an_answer_about_an_object_is_an_answer():
    breaker = Breaker(failures=1)
    with pytest.raises(FileNotFoundError), breaker.asking():
        raise FileNotFoundError
    assert not breaker.is_open


def test_who_is_stopped_while_trying_leaves_it_to_another():
    clock = Clock()
    breaker = Breaker(failures=1, pause=10, clock=clock)
    heard(breaker, answered=False)
    clock.now = 10.0
    with pytest.raises(KeyboardInterrupt), breaker.asking():
        raise KeyboardInterrupt
    assert heard(breaker, answered=True) == "answered"


def test_no_request_waits_as_long_as_twenty_seconds_for_a_server_that_hangs():
    longest = bucket.QUICK_SECONDS + 2 * bucket.CONNECT_SECONDS
    assert longest + bucket.READ_SECONDS + bucket.WINDOW_SECONDS < 20
    assert longest + bucket.WRITE_SECONDS < 20


@pytest.mark.django_db
def test_a_broken_store_is_no_broken_picture(office):
    """Readers of pictures pass over much; that the store is away goes through them."""
    stored = kept(picture_bytes(size=(2000, 1500), quality=100))
    default_storage.breaker._failed = away.FAILURES
    default_storage.breaker._until = float("inf")
    with pytest.raises(StoreAway):
        Image.open(store.open_stored(stored))


@pytest.mark.django_db
def test_two_offices_that_begin_on_one_empty_bucket_are_not_both_let_in(office, monkeypatch):
    """The other one marks it after this one has looked, and before this one marks it."""
    theirs = json.dumps({"office": str(uuid4()), "database": "x"}).encode()
    whole = marking._put

    def late(said: bytes, *, instead: bool) -> None:
        office.objects[store.MARK] = theirs
        whole(said, instead=instead)

    monkeypatch.setattr(marking, "_put", late)
    with pytest.raises(store.WrongStore, match="another office"):
        store.require_own_store()
    assert office.objects == {store.MARK: theirs}


def test_what_is_there_is_not_written_over_and_a_server_that_does_it_is_found_out(server):
    storage = server.storage()
    assert (storage.send_new("one", b"1"), storage.send_new("one", b"2")) == (True, False)
    server.not_again = 409
    assert not storage.send_new("one", b"2")
    server.not_again = 413
    with pytest.raises(store.StoreFault):
        storage.send_new("one", b"2")
    server.keeps_conditions = False
    assert storage.send_new("one", b"3")
    assert server.objects["one"] == b"3"


@pytest.mark.django_db
@pytest.mark.parametrize(("keeps", "state"), [(True, State.RIGHT), (False, State.DANGER)])
def test_an_administrator_reads_that_a_server_keeps_to_no_condition(marked, keeps, state):
    marked.keeps_conditions = keeps
    marked.objects[store.MARK] = json.dumps(marking.own_mark()).encode()
    [said] = conditions._parts["file store"].look()
    assert said.state is state and ("If-None-Match" in said.says) is not keeps
    assert list(marked.objects) == [store.MARK]
