"""An intake that something else comes into: a full disk, a withdrawal in the same moment."""

from __future__ import annotations

import errno
import hashlib
import io

import pytest

from evidence.intake import actions, parts
from evidence.intake import taking as intake
from evidence.intake.models import PhotographUpload
from evidence.photographs.models import Photograph
from me_office.audit.errors import Conflict
from tests.evidence.pictures import picture_bytes
from tests.evidence.tus import Sender

pytestmark = pytest.mark.django_db


@pytest.fixture
def sender(client, vasko, case):
    client.force_login(vasko)
    return Sender(client, case, picture_bytes(size=(300, 200), quality=100))


def test_a_full_disk_keeps_what_was_written_and_the_file_comes_whole_later(
    sender, vasko, case, monkeypatch
):
    class Dripping(io.BytesIO):
        def read(self, size=-1):
            return super().read(1000)

    room = [True, False]
    write = parts._write_all

    def until_full(file, block):
        if not room.pop(0):
            raise OSError(errno.ENOSPC, "No space left on device")
        write(file, block)

    sender.begin()
    upload = actions.upload_of(vasko, case.pk, sender.key)
    monkeypatch.setattr(parts, "_write_all", until_full)
    with pytest.raises(OSError, match="No space"):
        actions.receive_piece(upload, offset=0, body=Dripping(sender.content))
    monkeypatch.undo()
    said = hashlib.sha256(sender.content[:1000]).hexdigest()
    assert [run[:2] for run in PhotographUpload.objects.get().pieces] == [[1000, said]]
    sender.send(1000)
    assert sender.take_in().json()["sha256"] == sender.sha256


def test_a_file_that_was_just_taken_in_is_not_withdrawn(sender, vasko, case, monkeypatch):
    sender.begin()
    sender.send(0)
    before = actions.upload_of(vasko, case.pk, sender.key)
    sender.take_in()
    monkeypatch.setattr(actions, "upload_of", lambda *asked: before)  # read a moment earlier
    with pytest.raises(Conflict, match="just become a photograph"):
        actions.withdraw_upload(vasko, case_id=case.pk, upload_id=sender.key)
    assert PhotographUpload.objects.get().state == "taken in"


def test_a_file_that_was_just_withdrawn_is_not_taken_in(sender, vasko, case):
    sender.begin()
    sender.send(0)
    before = actions.upload_of(vasko, case.pk, sender.key)
    PhotographUpload.objects.update(state="withdrawn")
    with pytest.raises(Conflict, match="upload is finished"):
        intake.take_in_upload(before)
    assert Photograph.objects.count() == 0
