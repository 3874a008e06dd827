"""The office while its file store does not answer: pages go on, and what is sent is sent again."""

from __future__ import annotations

import functools
from collections.abc import Iterator
from uuid import uuid4

import pytest
from botocore.loaders import create_loader
from django.core.cache import cache
from django.core.files.storage import default_storage
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone

from evidence import store
from evidence.fixity import tasks as fixity_tasks
from evidence.fixity.models import FixityProblem, FixityRun
from evidence.intake import tasks as intake_tasks
from evidence.intake.models import PhotographUpload
from evidence.photographs import tasks as photograph_tasks
from evidence.photographs import tile_tasks
from evidence.photographs.models import Photograph
from me_office.accounts.roles import Role
from me_office.jobs.rules import MAX_ATTEMPTS
from tests.builders import make_case, make_staff
from tests.evidence.fake_bucket import Server, serving, use_bucket
from tests.evidence.pictures import add, described, picture_bytes
from tests.evidence.tus import Sender

pytestmark = [
    pytest.mark.django_db,
    # The S3 client leaves closing its sockets to the interpreter.
    pytest.mark.filterwarnings("ignore::ResourceWarning"),
    pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning"),
]
WORDS = "The file store is not answering."


@pytest.fixture
def server(settings, monkeypatch) -> Iterator[Server]:
    """Set the office's store to a bucket whose server can be told to fail."""
    monkeypatch.setattr("botocore.session.create_loader", functools.cache(create_loader))
    with serving() as it:
        use_bucket(settings, it)
        yield it


@pytest.fixture
def vasko(server, client):
    person = make_staff(Role.PATHOLOGIST)
    client.force_login(person)
    return person


@pytest.fixture
def photograph(server, vasko):
    made = add(vasko, make_case(), picture_bytes(size=(1700, 1100), quality=90))
    assert photograph_tasks.derive_images(photograph_id=str(made.pk)) == "made"
    made.refresh_from_db()
    return made


def open_breaker():
    """Let the store count as away, as after some failures in a row."""
    breaker = default_storage.breaker
    while not breaker.is_open:
        with pytest.raises(store.StoreAway), breaker.asking():
            raise store.StoreAway


def page(client, name, photograph, **keys):
    keys |= {"case_id": photograph.case_id}
    return client.get(reverse(f"evidence:{name}", kwargs=keys))


def test_pages_go_on_without_pictures_and_ask_nobody(server, client, photograph):
    before = page(client, "photographs", photograph).content.decode()
    assert "<img" in before
    assert "Pictures can’t be shown now" not in before
    open_breaker()
    asked = len(server.asked)
    for name, keys in (("photographs", {}), ("photograph", {"photograph_id": photograph.pk})):
        answer = page(client, name, photograph, **keys)
        assert answer.status_code == 200
        assert "Pictures can’t be shown now" in answer.content.decode()
        assert "<img" not in answer.content.decode()
    assert len(server.asked) == asked


@pytest.mark.parametrize("name", ["photograph-thumb", "photograph-screen", "photograph-original"])
def test_a_picture_is_refused_for_now(server, client, photograph, name):
    server.fault = "503"
    answer = page(client, name, photograph, photograph_id=photograph.pk)
    assert (answer.status_code, answer["Retry-After"]) == (503, "10")
    assert WORDS in answer.content.decode()
    server.fault = ""
    answer = page(client, name, photograph, photograph_id=photograph.pk)
    assert answer.status_code == 200
    assert b"".join(answer.streaming_content)


def test_a_file_that_is_on_its_way_is_held_back_and_goes_on_once(server, client, vasko):
    sender = Sender(client, make_case(), picture_bytes(size=(300, 200), quality=100))
    sender.begin()
    assert sender.send(0, 700).status_code == 204
    server.fault = "503"
    refused = sender.send(700)
    assert (refused.status_code, refused["Retry-After"]) == (503, "10")
    assert refused.json()["code"] == "store_away"
    assert sender.offset() == 700
    server.fault = ""
    assert sender.send(700).status_code == 204
    server.fault = "denies"
    refused = sender.take_in()
    assert (refused.status_code, refused.json()["code"]) == (503, "store_away")
    assert PhotographUpload.objects.get().state == "complete"
    assert intake_tasks.take_in_upload(upload_id=str(sender.key)) == "waits"
    server.fault = ""
    default_storage.breaker._until = 0.0
    assert sender.take_in().json()["sha256"] == sender.sha256
    assert sender.take_in().status_code == 201
    assert Photograph.objects.count() == 1


def test_a_form_with_files_is_said_to_be_sent_again_and_is_one_photograph(server, client, vasko):
    case, content, key = make_case(), picture_bytes(4), str(uuid4())

    def send():
        typed = {
            **described(), "upload": SimpleUploadedFile("a.jpg", content, "image/jpeg"),
            "record_id": key, "request_key": key, "version": "0", "photographer": "Dr. I. Vasko",
        }  # fmt: skip
        return client.post(reverse("evidence:photographs-add", args=[case.pk]), typed)

    server.fault = "503"
    answer = send()
    assert answer.status_code == 503
    assert WORDS in answer.content.decode()
    assert 'value="Dr. I. Vasko"' in answer.content.decode()
    server.fault = ""
    assert [send().status_code, send().status_code] == [302, 302]
    assert Photograph.objects.count() == 1


def test_no_job_gives_a_picture_up_while_the_store_is_away(server, vasko):
    photograph = add(vasko, make_case(), picture_bytes(size=(1700, 1100), quality=90))
    key = str(photograph.pk)
    open_breaker()
    for _ in range(MAX_ATTEMPTS + 1):
        assert photograph_tasks.derive_images(photograph_id=key) == "waits"
        assert tile_tasks.derive_tiles(photograph_id=key) == "waits"
    default_storage.breaker._until = 0.0
    assert photograph_tasks.derive_images(photograph_id=key) == "made"
    assert tile_tasks.derive_tiles(photograph_id=key) == "made"


def test_the_check_of_the_store_calls_no_file_missing_for_a_store_that_is_away(
    server, vasko, monkeypatch
):
    for shade in range(3):
        add(vasko, make_case(), picture_bytes(shade))
    read, files = store.digest_if_there, []

    def away_after_one(path):
        files.append(path)
        if len(files) > 1:
            raise store.StoreAway
        return read(path)

    monkeypatch.setattr(store, "digest_if_there", away_after_one)
    for _ in range(MAX_ATTEMPTS + 2):
        fixity_tasks.check_store()
    run = FixityRun.objects.get()
    assert (run.files, run.finished_at) == (1, None)
    monkeypatch.setattr(store, "digest_if_there", read)
    while FixityRun.objects.filter(finished_at=None).exists():
        fixity_tasks.check_store()
    assert (FixityRun.objects.get().files, FixityProblem.objects.count()) == (3, 0)
    assert FixityRun.objects.get().finished_at <= timezone.now()


def test_a_square_of_a_large_photograph_is_fetched_alone(server, client, photograph):
    assert tile_tasks.derive_tiles(photograph_id=str(photograph.pk)) == "made"
    cache.clear()
    keys = {"photograph_id": photograph.pk, "level": 0, "column": 1, "row": 1}
    first = page(client, "photograph-tile", photograph, **keys)
    server.ranges.clear()
    again = page(client, "photograph-tile", photograph, **keys)
    assert (again.status_code, again.content) == (200, first.content)
    assert again.content.startswith(b"\xff\xd8")
    [asked] = server.ranges
    begin, end = map(int, asked.removeprefix("bytes=").split("-"))
    assert end - begin + 1 == len(again.content)
    gone = page(client, "photograph-tile", photograph, **keys | {"column": 99})
    assert gone.status_code == 404
