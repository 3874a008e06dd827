"""Bad and odd files by both ways in: each is a photograph or is refused, none is half kept."""

from __future__ import annotations

import hashlib
import io
import re

import pytest
from django.core.files.storage import default_storage
from django.core.files.uploadedfile import SimpleUploadedFile
from django.forms import model_to_dict
from django.urls import reverse
from PIL import Image

from evidence import store
from evidence.custody.models import Seal, Transfer
from evidence.intake.models import PhotographUpload
from evidence.items.models import Item
from evidence.photographs import tasks
from evidence.photographs.models import Photograph
from evidence.store.models import StoredFile
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from tests.builders import make_staff, taken_back
from tests.evidence.bad_pictures import REFUSED, TAKEN
from tests.evidence.pictures import described, picture_bytes, waiting_files
from tests.evidence.tus import Sender

pytestmark = pytest.mark.django_db


@pytest.fixture
def signed_in(client):
    client.force_login(make_staff(Role.PATHOLOGIST, name="Dr. I. Vasko"))
    return client


def by_form(client, case, name, content):
    """Send a file by the plain form of the page; return what was refused, or nothing."""
    page = reverse("evidence:photographs-add", kwargs={"case_id": case.pk})
    line = {**described(), "record_id": str(new_id()), "version": "0", "with_scale": ""}
    line |= {"taken_at": "2026-11-14T09:20:00", "upload": SimpleUploadedFile(name, content)}
    answer = client.post(page, line)
    if answer.status_code == 302:
        return ""
    assert answer.status_code == 422
    return answer.context["form"].errors["upload"][0]


def by_pieces(client, case, name, content):
    """Send a file in two pieces by tus, and ask for it to be taken in; return what was refused."""
    sender = Sender(client, case, content, name=name)
    answer = sender.begin()
    if answer.status_code == 201:
        middle = len(content) // 2
        assert sender.send(0, middle).status_code == sender.send(middle).status_code == 204
        answer = sender.take_in()
    if answer.status_code == 201:
        return ""
    assert answer.status_code == 422
    said = answer.json()
    assert said["field"] == "upload"
    return said["message"]


WAYS = pytest.mark.parametrize("way", [by_form, by_pieces])


def in_place(sha256):
    """Whether the store holds these bytes as an original."""
    return default_storage.exists(f"originals/{sha256[:2]}/{sha256}")


@WAYS
def test_it_is_refused_with_the_reason_and_the_next_file_comes_in(signed_in, case, way):
    lying = set(waiting_files())
    for shade, (what, make) in enumerate(REFUSED.items()):
        name, content, words = make()
        said = way(signed_in, case, name, content)
        assert re.search(words, said), (what, said)
        for kept in (Photograph, StoredFile, Item, Seal, Transfer):
            assert not kept.objects.exists(), (what, kept)
        assert not in_place(hashlib.sha256(content).hexdigest()), what
        assert set(waiting_files()) == lying, what
        assert not PhotographUpload.objects.exclude(state="refused").exists(), what
        with taken_back():
            assert way(signed_in, case, "good.jpg", picture_bytes(shade)) == "", what
            good = Photograph.objects.get()
            assert (good.number, store.is_whole(good.file)) == (1, True), what
    assert way(signed_in, case, "good.jpg", picture_bytes(100)) == ""
    assert tasks.derive_images(photograph_id=str(Photograph.objects.get().pk)) == "made"


def test_it_is_taken_byte_for_byte_and_shown_as_a_plain_picture(signed_in, case):
    for what, made in TAKEN.items():
        name, content = made()
        with taken_back():
            by_the_form = is_taken(signed_in, case, by_form, what, name, content)
            default_storage.delete(by_the_form["path"])
        with taken_back():
            # What is known of it is the same, so what is made of it is, too.
            assert is_taken(signed_in, case, by_pieces, what, name, content) == by_the_form, what
            is_shown(signed_in, Photograph.objects.get(), what, content)


def is_taken(client, case, way, what, name, content):
    """Send a file in; return what is known of it then."""
    lying = set(waiting_files())
    assert way(client, case, name, content) == "", what
    photograph = Photograph.objects.get()
    assert photograph.file.sha256 == hashlib.sha256(content).hexdigest(), what
    assert store.is_whole(photograph.file), what
    assert set(waiting_files()) == lying, what
    assert all(str(value).isprintable() for value in photograph.exif.values()), what
    assert len(str(photograph.exif)) < 1000, what
    size = photograph.width_px, photograph.height_px
    return {**model_to_dict(photograph.file), "size": size, "exif": photograph.exif}


def is_shown(client, photograph, what, content):
    assert tasks.derive_images(photograph_id=str(photograph.pk)) == "made", what
    for copy in photograph.derived.all():
        with store.open_stored(copy.file) as file:
            shown = Image.open(io.BytesIO(file.read()))
            assert (shown.format, shown.mode, dict(shown.getexif())) == ("JPEG", "RGB", {}), what
        assert copy.file.size_bytes < 200_000, what
    named = {"case_id": photograph.case_id, "photograph_id": photograph.pk}
    answer = client.get(reverse("evidence:photograph-original", kwargs=named))
    assert answer.getvalue() == content, what
    assert answer["Content-Type"] == photograph.file.media_type, what
    assert answer["X-Content-Type-Options"] == "nosniff", what
    assert answer["Content-Disposition"].startswith("attachment"), what
