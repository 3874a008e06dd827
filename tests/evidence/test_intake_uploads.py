"""Files in pieces by tus 1.0.0 (https://tus.io/protocols/resumable-upload), and the last step."""

from __future__ import annotations

import base64
import hashlib
import io
from datetime import timedelta
from pathlib import Path

import pytest
from django.core.files.storage import default_storage
from django.utils import timezone

from evidence import store
from evidence.intake import actions, parts, rules
from evidence.intake import checking as pictures
from evidence.intake import taking as intake
from evidence.intake import tasks as intake_tasks
from evidence.intake.models import PhotographUpload
from evidence.photographs.models import Photograph
from evidence.store.models import StoredFile
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, NotKnown
from me_office.audit.models import AuditEvent
from me_office.jobs import own_work
from me_office.jobs.rules import MAX_ATTEMPTS
from tests.builders import make_case, make_staff
from tests.evidence.pictures import add, picture_bytes
from tests.evidence.tus import VERSION, Sender, metadata

pytestmark = pytest.mark.django_db


@pytest.fixture
def sender(api, case):
    return Sender(api, case, picture_bytes(size=(300, 200), quality=100))


def in_the_temporary_place():
    """What lies there of uploads that this test knows of."""
    folders, files = default_storage.listdir("incoming")
    mine = {f"upload-{key.hex}" for key in PhotographUpload.objects.values_list("pk", flat=True)}
    return sorted(name for name in [*folders, *files] if name in mine)


def test_a_file_in_pieces_becomes_one_photograph(sender, vasko):
    begun = sender.begin(view="close-up")
    assert (begun.status_code, begun["Location"]) == (201, sender.path)
    assert begun["Upload-Expires"].endswith("GMT")
    half = len(sender.content) // 2
    assert sender.send(0, half)["Upload-Offset"] == str(half)
    assert sender.offset() == half
    assert sender.send(half).status_code == 204
    made = sender.take_in()
    assert made.status_code == 201
    photograph = Photograph.objects.get()
    assert made.json()["id"] == str(photograph.pk) == str(sender.key)
    assert (photograph.number, photograph.view, photograph.shows) == (
        1, "close-up", "Front of the chest",
    )  # fmt: skip
    assert photograph.file.sha256 == sender.sha256
    assert store.is_whole(photograph.file)
    assert in_the_temporary_place() == []
    event = AuditEvent.objects.get(table="evidence_photograph", record_id=str(sender.key))
    assert (event.act, event.actor_name, event.source) == ("add_photograph", str(vasko), "api")


def test_a_small_file_comes_with_its_beginning(sender, api):
    begun = sender.begin(content=sender.content)
    assert (begun.status_code, begun["Upload-Offset"]) == (201, str(len(sender.content)))
    assert sender.begin(content=sender.content).status_code == 201  # the answer was lost
    assert sender.take_in().json()["sha256"] == sender.sha256


def test_every_step_may_be_sent_twice(sender):
    for _ in range(2):
        assert sender.begin().status_code == 201
    sender.send(0)
    # The answer was lost: the sender asks how far it came, and goes on from there.
    assert sender.send(0).status_code == 409
    assert sender.offset() == len(sender.content)
    first, again = sender.take_in(), sender.take_in()
    assert first.json() == again.json()
    assert Photograph.objects.count() == StoredFile.objects.count() == 1


def test_a_broken_connection_keeps_what_came(sender, vasko, case):
    class Torn(io.BytesIO):
        def read(self, size=-1):
            if self.tell():
                raise ConnectionResetError
            return super().read(1000)

    sender.begin()
    upload = actions.upload_of(vasko, case.pk, sender.key)
    upload = actions.receive_piece(upload, offset=0, body=Torn(sender.content))
    assert (upload.received_bytes, upload.state) == (1000, "receiving")
    assert sender.offset() == 1000
    sender.send(1000)
    assert sender.take_in().json()["sha256"] == sender.sha256


def test_what_a_dead_server_wrote_and_did_not_note_comes_again(sender):
    sender.begin()
    sender.send(0, 500)
    upload = PhotographUpload.objects.get()
    [lying] = Path(default_storage.path(f"incoming/upload-{upload.pk.hex}")).iterdir()
    with lying.open("ab") as file:
        file.write(b"half a piece")
    sender.send(500)
    assert sender.take_in().json()["sha256"] == sender.sha256


def test_a_connection_that_was_taken_over_notes_nothing(sender, vasko, case):
    sender.begin()

    class Overtaken(io.BytesIO):
        def read(self, size=-1):
            if not self.tell():
                PhotographUpload.objects.update(claim="018f3d0e-0000-7000-8000-000000000000")
            return super().read(size)

    upload = actions.upload_of(vasko, case.pk, sender.key)
    with pytest.raises(Conflict, match="Another connection"):
        actions.receive_piece(upload, offset=0, body=Overtaken(sender.content))
    assert sender.offset() == 0


@pytest.mark.parametrize("algorithm", rules.ALGORITHMS)
def test_a_piece_with_a_checksum_is_kept_whole_or_not_at_all(sender, algorithm):
    sender.begin()
    digest = hashlib.new(algorithm, sender.content[:100]).digest()
    said = f"{algorithm} {base64.b64encode(digest).decode()}"
    # 460 is the protocol's own: the checksum extension, "Checksum Mismatch".
    assert sender.send(0, 99, HTTP_UPLOAD_CHECKSUM=said).status_code == 460
    assert sender.offset() == 0
    assert sender.send(0, 100, HTTP_UPLOAD_CHECKSUM=said).status_code == 204
    sender.send(100)
    assert sender.take_in().status_code == 201


def test_the_server_says_what_it_speaks(api, sender):
    answer = api.options(sender.folder)
    assert answer.status_code == 204
    assert answer["Tus-Version"] == answer["Tus-Resumable"] == "1.0.0"
    assert answer["Tus-Extension"] == (
        "creation,creation-with-upload,checksum,expiration,termination"
    )
    assert answer["Tus-Checksum-Algorithm"] == "sha256,sha1"
    other = sender.begin(headers={"HTTP_TUS_RESUMABLE": "0.2.2"})
    assert (other.status_code, other["Tus-Version"]) == (412, "1.0.0")
    assert PhotographUpload.objects.count() == 0


def test_a_proxy_that_knows_only_post_can_pass_it_on(api, sender):
    sender.begin()
    answer = api.post(
        sender.path,
        sender.content,
        "application/offset+octet-stream",
        HTTP_X_HTTP_METHOD_OVERRIDE="PATCH",
        HTTP_UPLOAD_OFFSET="0",
        **VERSION,
    )
    assert (answer.status_code, answer["Upload-Offset"]) == (204, str(len(sender.content)))


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ({"HTTP_UPLOAD_LENGTH": "-5"}, 400),
        ({"HTTP_UPLOAD_LENGTH": ""}, 400),
        ({"HTTP_UPLOAD_LENGTH": "9" * 30}, 400),
        ({"HTTP_UPLOAD_METADATA": "filename %%%"}, 400),
        ({"HTTP_UPLOAD_METADATA": "entry " + base64.b64encode(b"[1]").decode()}, 400),
        ({"HTTP_UPLOAD_METADATA": metadata(filename="a.jpg")}, 422),
        ({"HTTP_UPLOAD_LENGTH": "0"}, 422),
        ({"HTTP_UPLOAD_LENGTH": "999999999"}, 422),
    ],
)
def test_a_malformed_beginning_is_refused_and_nothing_is_opened(api, sender, headers, status):
    line = '{"photographer": "P. Sedge", "place": "scene", "view": "overview"}'
    entry = metadata(id=str(sender.key), entry=line)
    given = {"HTTP_UPLOAD_LENGTH": "100", "HTTP_UPLOAD_METADATA": entry, **VERSION, **headers}
    assert api.post(sender.folder, **given).status_code == status
    assert PhotographUpload.objects.count() == 0


def test_more_bytes_than_announced_are_refused(sender):
    sender.begin()
    content = sender.content
    sender.content = content + b"more"
    assert sender.send(0).status_code == 422
    assert Photograph.objects.count() == 0


def test_the_same_bytes_are_recognized_before_they_are_sent(sender, vasko, case):
    there = add(vasko, case, sender.content)
    answer = sender.begin()
    assert (answer.status_code, answer.json()["code"]) == (409, "already_in_case")
    assert answer.json()["photograph"] == {"id": str(there.pk), "number": 1}
    assert PhotographUpload.objects.count() == 0


def test_the_same_bytes_are_recognized_after_they_were_sent(sender, vasko, case):
    there = add(vasko, case, sender.content)
    sender.begin(sha256="")  # a browser that cannot compute it
    sender.send(0)
    answer = sender.take_in()
    assert (answer.status_code, answer.json()["photograph"]["number"]) == (409, there.number)
    assert Photograph.objects.count() == StoredFile.objects.count() == 1
    assert in_the_temporary_place() == []


def test_bytes_that_changed_on_the_way_are_not_believed(sender):
    sender.begin(sha256="0" * 64)
    sender.send(0)
    answer = sender.take_in()
    assert answer.status_code == 422
    assert "differ from the sender's file" in answer.json()["message"]
    assert Photograph.objects.count() == StoredFile.objects.count() == 0


def test_bytes_that_changed_on_the_disk_are_not_believed(sender):
    sender.begin(sha256="")
    sender.send(0)
    [path] = Path(default_storage.path(f"incoming/upload-{sender.key.hex}")).iterdir()
    with path.open("r+b") as file:
        file.seek(20)
        file.write(b"\0")
    assert "differ from the bytes received" in sender.take_in().json()["message"]
    assert StoredFile.objects.count() == 0


def test_what_is_no_photograph_is_refused_and_removed(api, case):
    sender = Sender(api, case, b"Dear office, please find attached")
    sender.begin()
    sender.send(0)
    answer = sender.take_in()
    assert (answer.status_code, answer.json()["field"]) == (422, "upload")
    upload = PhotographUpload.objects.get()
    assert upload.state == "refused"
    assert "not a picture" in upload.refusal
    assert in_the_temporary_place() == []


def test_an_unfinished_file_is_not_taken_in(sender):
    sender.begin()
    sender.send(0, 100)
    assert sender.take_in().status_code == 409
    assert Photograph.objects.count() == 0


def test_only_who_may_photograph_and_only_ones_own(client, sender, case):
    sender.begin()
    client.force_login(make_staff(Role.RECORDS_CLERK))
    assert sender.begin().status_code == 403
    assert sender.send(0).status_code == 403
    client.force_login(make_staff(Role.PATHOLOGIST))
    assert sender.send(0).status_code == 404
    assert client.head(sender.path, **VERSION).status_code == 404
    assert client.get(sender.folder).json() == []
    client.force_login(make_staff(Role.ADMINISTRATOR))
    assert sender.begin().status_code == 404
    client.logout()
    assert sender.send(0).status_code == 401


def test_a_file_that_is_given_up_leaves_no_bytes(api, sender):
    sender.begin()
    sender.send(0, 100)
    assert api.delete(sender.path, **VERSION).status_code == 204
    assert in_the_temporary_place() == []
    assert api.head(sender.path, **VERSION).status_code == 410
    assert sender.send(100).status_code == 404


def test_the_list_of_unfinished_files_is_the_same_after_a_reload(api, sender):
    sender.begin()
    sender.send(0, 100)
    [row] = api.get(sender.folder).json()
    assert (row["id"], row["received_bytes"], row["state"]) == (str(sender.key), 100, "receiving")


def sent_by(job):
    """Run a periodic job; return what it sent to the workers."""
    sent = []
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(own_work.sending, "send", lambda task, **named: not sent.append(named))
        assert job() == len(sent)
    return sent


def long_ago(**span):
    PhotographUpload.objects.update(heard_at=timezone.now() - timedelta(**span))


def test_a_whole_file_that_no_browser_asks_for_is_taken_in_by_the_job(sender):
    sender.begin()
    sender.send(0)
    assert intake_tasks.take_in_whole_uploads() == 0  # the browser may still ask
    long_ago(minutes=5)
    assert sent_by(intake_tasks.take_in_whole_uploads) == [{"upload_id": str(sender.key)}]
    assert intake_tasks.take_in_upload(upload_id=str(sender.key)) == "taken in"
    assert Photograph.objects.get().file.sha256 == sender.sha256
    assert intake_tasks.take_in_whole_uploads() == 0
    assert intake_tasks.take_in_upload(upload_id=str(sender.key)) == "nothing to do"


def test_a_file_that_ends_its_worker_is_refused_in_the_end_and_holds_no_other_up(
    sender, api, case, monkeypatch
):
    other = Sender(api, case, picture_bytes(7))
    for one in (sender, other):
        one.begin()
        one.send(0)
    long_ago(minutes=5)
    monkeypatch.setattr(own_work.sending, "is_idle", lambda queue: True)
    sent = sent_by(intake_tasks.take_in_whole_uploads)
    assert sent == [{"upload_id": str(one.key)} for one in (sender, other)]
    read = pictures.check_picture

    def deadly(incoming):
        if incoming.sha256 == sender.sha256:
            raise KeyboardInterrupt
        return read(incoming)

    monkeypatch.setattr(pictures, "check_picture", deadly)
    for _ in range(MAX_ATTEMPTS):
        with pytest.raises(KeyboardInterrupt):
            intake_tasks.take_in_upload(upload_id=str(sender.key))
    assert intake_tasks.take_in_upload(upload_id=str(other.key)) == "taken in"
    assert intake_tasks.take_in_upload(upload_id=str(sender.key)) == "refused"
    upload = PhotographUpload.objects.get(pk=sender.key)
    assert (upload.state, "crashed at every attempt" in upload.refusal) == ("refused", True)
    assert intake_tasks.take_in_whole_uploads() == 0


@pytest.mark.parametrize("other", ["person", "case", "size", "digest"])
def test_an_upload_s_key_is_one_file_of_one_person_for_one_case(sender, vasko, case, other):
    sender.begin()
    said = {
        "case_id": make_case().pk if other == "case" else case.pk,
        "upload_id": sender.key,
        "name": sender.name,
        "size_bytes": len(sender.content) + (other == "size"),
        "stated_sha256": "0" * 64 if other == "digest" else sender.sha256,
        "entry": {},
    }
    actor = make_staff(Role.PATHOLOGIST) if other == "person" else vasko
    with pytest.raises(Conflict, match="another file"):
        actions.begin_upload(actor, **said)
    if other == "person":
        with pytest.raises(NotKnown):
            actions.upload_of(actor, case.pk, sender.key)
    assert PhotographUpload.objects.get().by_id == vasko.pk


def test_the_job_refuses_what_the_person_may_no_longer_do(sender, vasko):
    sender.begin()
    sender.send(0)
    long_ago(minutes=5)
    vasko.groups.clear()
    assert intake_tasks.take_in_upload(upload_id=str(sender.key)) == "refused"
    assert PhotographUpload.objects.get().state == "refused"
    assert Photograph.objects.count() == 0


def test_what_was_given_up_is_cleared_and_what_goes_on_is_not(sender, api, case):
    sender.begin()
    sender.send(0, 100)
    other = Sender(api, case, picture_bytes(7))
    other.begin()
    other.send(0, 50)
    PhotographUpload.objects.filter(pk=sender.key).update(
        heard_at=timezone.now() - timedelta(days=8)
    )
    default_storage.save("incoming/packet-of-another-part", io.BytesIO(b"x"))
    assert intake_tasks.clear_uploads() >= 1
    assert PhotographUpload.objects.get(pk=sender.key).state == "expired"
    assert in_the_temporary_place() == [f"upload-{other.key.hex}"]
    assert default_storage.exists("incoming/packet-of-another-part")
    default_storage.delete("incoming/packet-of-another-part")


def test_a_death_between_publishing_and_clearing_is_mended_by_asking_again(sender, monkeypatch):
    sender.begin()
    sender.send(0)
    upload = PhotographUpload.objects.get()

    def dies(self, key):
        raise KeyboardInterrupt

    with monkeypatch.context() as patch:
        patch.setattr(parts.InFolder, "remove", dies)
        with pytest.raises(KeyboardInterrupt):
            intake.take_in_upload(upload)
    assert sender.take_in().status_code == 201
    assert Photograph.objects.count() == 1
    intake_tasks.clear_uploads()
    assert in_the_temporary_place() == []
