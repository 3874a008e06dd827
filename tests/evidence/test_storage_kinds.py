"""The same promises of the store in a folder and in a bucket that speaks S3's protocol."""

from __future__ import annotations

import hashlib
import io
import os
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from uuid import uuid4

import boto3
import pytest
from botocore.loaders import create_loader
from django.core.files.storage import default_storage, storages
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import transaction
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from evidence import store
from evidence.fixity import actions as fixity
from evidence.fixity.models import FixityProblem
from evidence.intake import actions, parts
from evidence.intake import tasks as intake_tasks
from evidence.intake.models import PhotographUpload
from evidence.photographs import tasks as photograph_tasks
from evidence.photographs.models import Photograph
from evidence.store import bucket_parts
from evidence.store.bucket import Bucket
from evidence.store.models import StoredFile
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict
from tests.apart import run_python
from tests.builders import MOMENT, make_case, make_staff
from tests.evidence.fake_bucket import kept
from tests.evidence.pictures import described, picture_bytes
from tests.evidence.tus import Sender

pytestmark = [
    pytest.mark.django_db,
    # The S3 client leaves closing its sockets to the interpreter.
    pytest.mark.filterwarnings("ignore::ResourceWarning"),
    pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning"),
]
SECRET = {"access_key": "tarn", "secret_key": "tarn-county"}


@pytest.fixture(scope="session")
def bucket_server() -> Iterator[str]:
    """Run a local S3-compatible server on the loopback address."""
    # Only here: who collects every test need not load all of it.
    from moto.server import ThreadedMotoServer

    server = ThreadedMotoServer(ip_address="127.0.0.1", port=0, verbose=False)
    server.start()
    host, port = server.get_host_and_port()
    with pytest.MonkeyPatch.context() as patch:
        # What the client knows of the protocol is read from files once, not in each session anew.
        patch.setattr("botocore.session.create_loader", cache(create_loader))
        yield f"http://{host}:{port}"
    server.stop()


@pytest.fixture(params=["folder", "bucket"])
def kind(request, settings, tmp_path):
    """Set the office's storage; afterward it is what it was."""
    if request.param == "folder":
        settings.STORAGES = {
            **settings.STORAGES,
            "default": {
                "BACKEND": "django.core.files.storage.FileSystemStorage",
                "OPTIONS": {"location": tmp_path / "files"},
            },
        }
    else:
        endpoint = request.getfixturevalue("bucket_server")
        name = f"tarn-{uuid4().hex}"
        client = boto3.client(
            "s3",
            endpoint_url=endpoint,
            region_name="us-east-1",
            aws_access_key_id=SECRET["access_key"],
            aws_secret_access_key=SECRET["secret_key"],
        )
        client.create_bucket(Bucket=name)
        options = {"bucket_name": name, "endpoint_url": endpoint, "region_name": "us-east-1"}
        settings.STORAGES = {
            **settings.STORAGES,
            "default": {
                "BACKEND": "evidence.store.bucket.Bucket",
                "OPTIONS": {**options, **SECRET, "file_overwrite": False, "default_acl": None},
            },
        }
    return request.param


@pytest.fixture
def sender(client: Client, kind):
    client.force_login(make_staff(Role.PATHOLOGIST))
    return Sender(client, make_case(), picture_bytes(size=(300, 200), quality=100))


def test_it_is_the_storage_that_was_asked_for(kind):
    assert store.in_folder() == (kind == "folder")
    assert type(storages["default"]).__name__ == (
        "FileSystemStorage" if kind == "folder" else "Bucket"
    )


def test_bytes_come_back_as_they_came_and_are_kept_once(kind):
    content = os.urandom(3_000_000)
    first, again = kept(content), kept(content)
    assert first.pk == again.pk
    assert first.sha256 == hashlib.sha256(content).hexdigest()
    assert b"".join(store.original_chunks(first)) == content
    assert default_storage.listdir(f"originals/{first.sha256[:2]}")[1] == [first.sha256]
    assert default_storage.listdir("incoming")[1] == []


def test_other_bytes_under_a_digest_are_never_overwritten(kind):
    store.require_own_store()  # its first use
    digest = hashlib.sha256(b"right").hexdigest()
    path = default_storage.save(f"originals/{digest[:2]}/{digest}", io.BytesIO(b"wrong"))
    with pytest.raises(store.StoreFault):
        kept(b"right")
    with default_storage.open(path) as there:
        assert there.read() == b"wrong"


def test_bytes_that_come_again_are_not_given_up_for_a_stored_file_that_is_damaged(kind, sender):
    """What was altered on the disk is said, and the good bytes stay where they came to."""
    content = sender.content
    kept(content)
    path = StoredFile.objects.get().path
    default_storage.delete(path)
    default_storage.save(path, io.BytesIO(content[:-1] + b"?"))
    with pytest.raises(store.Damaged):
        kept(content)
    sender.begin()
    sender.send(0)
    answer = sender.take_in()
    assert answer.status_code == 409
    assert "damaged" in answer.json()["message"]
    assert PhotographUpload.objects.get().state == "complete"
    default_storage.delete(path)  # as an administrator restores it from the backup
    assert sender.take_in().status_code == 201
    assert store.is_whole(StoredFile.objects.get(path=path))


@pytest.mark.parametrize("damaged", [True, False], ids=["damaged", "came differently"])
def test_a_fault_of_the_store_is_said_beside_the_field_of_a_form(client, monkeypatch, damaged):
    client.force_login(make_staff(Role.PATHOLOGIST))
    case, content = make_case(), picture_bytes(4)
    if damaged:
        path = kept(content).path
        default_storage.delete(path)
        default_storage.save(path, io.BytesIO(b"something else"))
    else:
        monkeypatch.setattr(store.incoming, "digest_of", lambda path: "0" * 64)
    typed = {
        **described(), "upload": SimpleUploadedFile("a.jpg", content, "image/jpeg"),
        "record_id": str(uuid4()), "request_key": str(uuid4()), "version": "0",
        "photographer": "Dr. I. Vasko",
    }  # fmt: skip
    page = client.post(reverse("evidence:photographs-add", args=[case.pk]), typed)
    assert page.status_code in {409, 422}
    words = "is damaged. Keep your own copy" if damaged else "Send it again."
    assert words in page.content.decode()
    assert not Photograph.objects.exists()
    if damaged:
        default_storage.delete(path)


def test_a_file_in_pieces_becomes_one_photograph(sender, kind):
    sender.begin()
    for begin, end in [(0, 700), (700, 900), (900, None)]:
        assert sender.send(begin, end).status_code == 204
    made = sender.take_in()
    assert made.json()["sha256"] == sender.sha256
    assert sender.take_in().json()["id"] == made.json()["id"]
    assert store.is_whole(Photograph.objects.get().file)
    assert parts.lying_about() == []


class Late:
    """A connection that sends some bytes, and others when it is already forgotten."""

    def __init__(self, begin: bytes, meanwhile: Callable[[], object], then: bytes) -> None:
        self.answers = [lambda: begin, lambda: (meanwhile(), then)[1], lambda: b""]

    def read(self, size: int) -> bytes:
        return self.answers.pop(0)()


@pytest.mark.parametrize("connections", [1, 2])
def test_a_late_connection_alters_nothing_that_was_taken_in(sender, kind, connections):
    """One or two connections that were taken over go on writing after the file became a record."""
    sender.begin()

    def whole_file() -> None:
        assert sender.send(0).status_code == 204
        assert sender.take_in().status_code == 201

    meanwhile = whole_file
    for number in range(connections):
        upload = PhotographUpload.objects.get(pk=sender.key)
        begin = sender.content[: 500 + 700 * number]
        late = Late(begin, meanwhile, b"X" * 5_000)

        def send(upload=upload, late=late) -> None:
            with pytest.raises(Conflict, match="Another connection"):
                actions.receive_piece(upload, offset=0, body=late)

        meanwhile = send
    meanwhile()
    stored = Photograph.objects.get().file
    assert stored.sha256 == sender.sha256
    assert store.is_whole(stored)
    actions.expire_uploads(now=timezone.now())
    assert parts.lying_about() == []


def test_control_whoever_still_holds_a_published_file_can_write_it(tmp_path, settings):
    """So the test above would see an original that shares its bytes with a connection."""
    settings.STORAGES = {
        **settings.STORAGES,
        "default": {
            "BACKEND": "django.core.files.storage.FileSystemStorage",
            "OPTIONS": {"location": tmp_path},
        },
    }
    with (
        store.receive(io.BytesIO(b"as it came"), name="x") as incoming,
        Path(default_storage.path(incoming.path)).open("r+b") as late,
    ):
        stored = store.publish(incoming)
        late.write(b"as I want")
    assert not store.is_whole(stored)


def test_what_stands_under_the_final_name_is_compared(kind, monkeypatch):
    """What went wrong on the last way to the name leaves no file, and no row that says so.

    In a folder it is read back; in a bucket the server says what it keeps there.
    """
    read, copied = store.digest_of, Bucket.copy

    def other_at_the_end(path: str) -> str:
        return "0" * 64 if path.startswith("originals/") else read(path)

    def copied_wrongly(*args, **kwargs):
        copied(*args, **kwargs)
        return "0" * 64

    for part in (store.incoming, store.publishing):
        monkeypatch.setattr(part, "digest_of", other_at_the_end)
    monkeypatch.setattr(Bucket, "copy", copied_wrongly)
    with pytest.raises(store.StoreFault), transaction.atomic():
        kept(b"on its way")
    digest = hashlib.sha256(b"on its way").hexdigest()
    assert not StoredFile.objects.exists()
    assert not default_storage.exists(f"originals/{digest[:2]}/{digest}")


def test_of_the_same_bytes_published_at_the_same_time_one_file_stays(kind, monkeypatch):
    first = kept(b"the same")
    monkeypatch.setattr(Bucket, "exists", lambda self, name: False)  # not there yet
    assert kept(b"the same") == first
    assert default_storage.listdir(f"originals/{first.sha256[:2]}")[1] == [first.sha256]


def test_a_packet_never_takes_the_place_of_another(kind, tmp_path):
    store.require_own_store()
    path = "packets/aa/one.zip"
    default_storage.save(path, io.BytesIO(b"another"))
    (tmp_path / "made").write_bytes(b"a packet")
    if kind == "folder":
        with pytest.raises(FileExistsError):
            store.publish_made(tmp_path / "made", path)
    else:
        given, digest = store.publish_made(tmp_path / "made", path)
        assert (given != path, digest) == (True, hashlib.sha256(b"a packet").hexdigest())
        with default_storage.open(given) as there:
            assert there.read() == b"a packet"
    with default_storage.open(path) as there:
        assert there.read() == b"another"


@pytest.mark.parametrize("joined", [True, False], ids=["joined", "too small to join"])
def test_a_file_in_large_pieces_is_joined_by_the_server(sender, monkeypatch, joined):
    monkeypatch.setattr(parts, "NOTED_EVERY", 300)
    monkeypatch.setattr("evidence.intake.actions.CHUNK", 300)
    monkeypatch.setattr(bucket_parts, "LEAST_PART", 300)
    monkeypatch.setattr("moto.s3.models.S3_UPLOAD_PART_MIN_SIZE", 300 if joined else 5 * 1024**2)
    sent, send = [], Bucket.send
    monkeypatch.setattr(
        Bucket, "send", lambda self, name, file: (sent.append(name), send(self, name, file))[1]
    )
    sender.begin()
    sender.send(0)
    assert sender.take_in().json()["sha256"] == sender.sha256
    assert store.is_whole(Photograph.objects.get().file)
    if isinstance(default_storage, Bucket):
        again = [name for name in sent if "/upload-" not in name]
        assert len(sent) - len(again) == -(-len(sender.content) // 300)
        assert len(again) == (0 if joined else 1)
    assert parts.lying_about() == []


def test_long_pieces_are_noted_as_they_come(sender, monkeypatch):
    monkeypatch.setattr(parts, "NOTED_EVERY", 1000)
    monkeypatch.setattr("evidence.intake.actions.CHUNK", 400)
    sender.begin()
    sender.send(0)
    assert sender.take_in().json()["sha256"] == sender.sha256


def test_a_piece_that_a_dead_server_left_is_not_joined(sender, kind):
    sender.begin()
    sender.send(0, 500)
    if kind == "bucket":
        default_storage.save(f"incoming/upload-{sender.key.hex}/{700:015}", io.BytesIO(b"dead"))
        default_storage.save(f"incoming/upload-{sender.key.hex}/{500:015}", io.BytesIO(b"dead"))
    sender.send(500)
    assert sender.take_in().json()["sha256"] == sender.sha256
    assert parts.lying_about() == []


def test_copies_are_made_and_what_is_given_up_is_cleared(sender, client):
    sender.begin(content=sender.content)
    key = sender.take_in().json()["id"]
    assert photograph_tasks.derive_images(photograph_id=key) == "made"
    other = Sender(client, sender.case, picture_bytes(9))
    other.begin()
    other.send(0, 100)
    PhotographUpload.objects.filter(pk=other.key).update(heard_at=MOMENT.replace(year=2020))
    intake_tasks.clear_uploads()
    assert parts.lying_about() == []


def test_the_check_finds_a_missing_and_an_altered_file(kind):
    files = [kept(f"file {n}".encode()) for n in range(4)]
    default_storage.delete(files[0].path)
    default_storage.delete(files[1].path)
    default_storage.save(files[1].path, io.BytesIO(b"something else"))
    run = fixity.begin_run(now=MOMENT.replace(year=2100))
    while run.finished_at is None:
        run = fixity.go_on(run)
    found = dict(FixityProblem.objects.values_list("file", "kind"))
    assert found == {files[0].pk: "missing", files[1].pk: "altered"}


@pytest.mark.parametrize(
    ("environment", "words"),
    [
        ({"ME_S3_BUCKET": "tarn", "ME_S3_ENDPOINT": "storage.invalid"}, "ME_S3_ENDPOINT must"),
        ({"ME_S3_BUCKET": "tarn", "ME_S3_ACCESS_KEY": "x"}, "must be set together"),
    ],
)
@pytest.mark.usefixtures("processes")
def test_a_wrong_setting_stops_the_start_with_its_name(tmp_path, environment, words):
    started = ("-c", "import me_office.settings")
    ended = run_python(started, {**os.environ, **environment}, tmp_path)
    assert words in ended.stderr


@pytest.mark.usefixtures("processes")
def test_a_bucket_is_chosen_by_the_environment_alone(tmp_path):
    show = "from me_office.settings import STORAGES as s; print(s['default'])"
    chosen = {
        "ME_S3_BUCKET": "tarn", "ME_S3_ENDPOINT": "http://127.0.0.1:1", "ME_S3_REGION": "here",
        "ME_S3_ACCESS_KEY": "key", "ME_S3_SECRET_KEY": "secret",
    }  # fmt: skip
    ended = run_python(("-c", show), {**os.environ, **chosen}, tmp_path)
    assert ended.returncode == 0, ended.stderr
    assert "store.bucket.Bucket" in ended.stdout
    assert "'file_overwrite': False" in ended.stdout
