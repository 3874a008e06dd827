"""The whole picture in squares: how it is cut, kept, sent, and what is noted."""

from __future__ import annotations

import io
import zipfile
from datetime import timedelta
from unittest.mock import Mock

import pytest
from django.core.cache import cache
from django.urls import reverse
from django.utils import timezone
from PIL import Image

from evidence import store
from evidence.imaging import pictures, tiles
from evidence.photographs import tile_tasks
from evidence.photographs.models import DerivedImage
from evidence.photographs.outlines import overlay_of, upright_size
from me_office.accounts.roles import Role
from me_office.audit.models import AccessEvent, AuditEvent
from me_office.jobs.models import JobProgress
from me_office.jobs.rules import MAX_ATTEMPTS
from tests.builders import make_case, make_staff
from tests.evidence.pictures import add, make_finding

# Exif 2.3 (CIPA DC-008): 6 says that the picture was taken with the camera turned.
TURNED = 6


def corners(width, height, *, orientation=1):
    """A picture whose four quarters have a color each: red, green; blue, white."""
    picture = Image.new("RGB", (width, height), "white")
    half = (width // 2, height // 2)
    picture.paste("red", (0, 0, *half))
    picture.paste("lime", (half[0], 0, width, half[1]))
    picture.paste("blue", (0, half[1], half[0], height))
    exif = Image.Exif()
    exif[0x0112] = orientation
    held = io.BytesIO()
    picture.save(held, "JPEG", quality=95, exif=exif)
    return held.getvalue()


def square_in(kept, level, column, row):
    """A square as any reader of ZIP files finds it; None where there is none."""
    with zipfile.ZipFile(kept) as archive:
        name = tiles.name_of(level, column, row)
        return archive.read(name) if name in archive.namelist() else None


@pytest.fixture
def large(vasko):
    photograph = add(vasko, make_case(), corners(2100, 1400, orientation=TURNED))
    cache.clear()
    return photograph


def address(name, photograph, **keys):
    keys |= {"case_id": photograph.case_id, "photograph_id": photograph.pk}
    return reverse(f"evidence:{name}", kwargs=keys)


def test_a_picture_is_cut_at_every_size_down_to_the_screen_copy():
    assert tiles.plan(1600, 900).levels == ()
    assert tiles.plan(8688, 5792).levels == ((17, 12), (9, 6), (5, 3))
    assert tiles.plan(1601, 10).levels == ((4, 1),)


def test_the_squares_put_together_are_the_picture():
    picture = pictures.upright(io.BytesIO(corners(1700, 1100)))
    kept = io.BytesIO(tiles.cut(picture))
    (columns, rows), = tiles.read_note(kept)["levels"]  # fmt: skip
    whole = Image.new("RGB", picture.size)
    for column in range(columns):
        for row in range(rows):
            square = Image.open(io.BytesIO(square_in(kept, 0, column, row)))
            whole.paste(square, (column * tiles.SIDE, row * tiles.SIDE))
    for place in ((5, 5), (1690, 5), (5, 1090), (1690, 1090), (511, 511), (512, 512)):
        differs = zip(whole.getpixel(place), picture.getpixel(place), strict=True)
        assert all(abs(one - other) <= 4 for one, other in differs), place
    assert square_in(kept, 0, columns, 0) is None
    assert square_in(kept, 1, 0, 0) is None


def test_each_square_is_at_its_place_in_the_file():
    kept = io.BytesIO(tiles.cut(pictures.upright(io.BytesIO(corners(2100, 1700)))))
    places = tiles.places_of(kept)
    assert len(places) == 5 * 4  # 2100 x 1700 in squares of 512; halved it fits the screen copy
    for name, (first, length) in places.items():
        level, square = name.removesuffix(".jpg").split("/")
        column, row = square.split("-")
        same = square_in(kept, int(level), int(column), int(row))
        assert kept.getvalue()[first : first + length] == same


def test_the_same_picture_gives_the_same_bytes():
    picture = pictures.upright(io.BytesIO(corners(1700, 1100)))
    assert tiles.cut(picture) == tiles.cut(picture)


@pytest.mark.django_db
def test_the_job_keeps_upright_squares_once_and_leaves_the_original_alone(vasko, large):
    before = store.digest_of(large.file.path)
    key = str(large.pk)
    assert tile_tasks.derive_tiles(photograph_id=key) == "made"
    assert tile_tasks.derive_tiles(photograph_id=key) == "made"
    made = DerivedImage.objects.get(kind="tiles")
    assert made.method == tiles.METHOD
    assert store.is_whole(made.file)
    assert store.digest_of(large.file.path) == before
    with store.open_stored(made.file) as file, zipfile.ZipFile(file) as archive:
        assert archive.testzip() is None
        assert tiles.read_note(file)["width"] == 1400
        # Turned a quarter to the right, the blue quarter comes to the upper left.
        first = Image.open(io.BytesIO(square_in(file, 0, 0, 0)))
    red, green, blue = first.getpixel((3, 3))
    assert (red < 40, green < 40, blue > 200) == (True, True, True)
    event = AuditEvent.objects.filter(table="evidence_derivedimage").last()
    assert (event.act, event.actor_name) == ("add_tiles", "Dr. I. Vasko")


@pytest.mark.django_db
def test_a_picture_that_cannot_be_cut_is_said_to_fail_and_not_asked_for_again(
    client, vasko, large, monkeypatch
):
    monkeypatch.setattr(
        pictures, "upright", lambda file: (_ for _ in ()).throw(OSError("incomplete"))
    )
    assert tile_tasks.derive_tiles(photograph_id=str(large.pk)) == "failed"
    assert not DerivedImage.objects.filter(kind="tiles").exists()
    client.force_login(vasko)
    assert client.get(address("photograph-tiles", large)).json() == {"state": "failed"}


@pytest.mark.django_db
def test_a_picture_that_ends_its_worker_is_cut_no_more_until_a_day_has_passed(
    client, vasko, large, monkeypatch
):
    sent = []
    monkeypatch.setattr(tile_tasks.sending, "send", lambda name, **named: not sent.append(name))
    client.force_login(vasko)

    def state() -> str:
        return client.get(address("photograph-tiles", large)).json()["state"]

    with monkeypatch.context() as patch:
        patch.setattr(pictures, "upright", Mock(side_effect=KeyboardInterrupt))
        for _ in range(MAX_ATTEMPTS):
            with pytest.raises(KeyboardInterrupt):
                tile_tasks.derive_tiles(photograph_id=str(large.pk))
        assert tile_tasks.derive_tiles(photograph_id=str(large.pk)) == "failed"
    assert (state(), sent) == ("failed", [])
    row = JobProgress.objects.filter(attempts=MAX_ATTEMPTS)
    assert row.update(beat_at=timezone.now() - tile_tasks.FAILED_FOR + timedelta(minutes=1)) == 1
    assert (state(), sent) == ("failed", [])
    assert row.update(beat_at=timezone.now() - tile_tasks.FAILED_FOR) == 1
    assert (state(), sent) == ("waiting", ["evidence.photographs.tile_tasks.derive_tiles"])
    assert tile_tasks.derive_tiles(photograph_id=str(large.pk)) == "made"


@pytest.mark.django_db
def test_the_squares_are_asked_for_once_while_they_are_made(client, vasko, large, monkeypatch):
    sent = []
    monkeypatch.setattr(
        tile_tasks.sending, "send", lambda name, **named: not sent.append((name, named))
    )
    client.force_login(vasko)
    for _ in range(3):
        assert client.get(address("photograph-tiles", large)).json() == {"state": "waiting"}
    assert sent == [
        ("evidence.photographs.tile_tasks.derive_tiles", {"photograph_id": str(large.pk)})
    ]
    tile_tasks.derive_tiles(photograph_id=str(large.pk))
    note = client.get(address("photograph-tiles", large)).json()
    assert note == {
        "state": "made", "width": 1400, "height": 2100, "side": 512, "levels": [[3, 5]],
    }  # fmt: skip


@pytest.mark.django_db
def test_many_squares_are_one_look(client, large):
    tile_tasks.derive_tiles(photograph_id=str(large.pk))
    clerk = make_staff(Role.RECORDS_CLERK)
    client.force_login(clerk)
    for column in range(3):
        answer = client.get(address("photograph-tile", large, level=0, column=column, row=0))
        assert (answer.status_code, answer["Content-Type"]) == (200, "image/jpeg")
        assert answer["Cache-Control"] == "private, no-store"
    looks = AccessEvent.objects.filter(what="photograph", record_id=str(large.pk))
    assert [look.actor_id for look in looks] == [clerk.pk]
    client.force_login(make_staff(Role.RECORDS_CLERK))
    client.get(address("photograph-tile", large, level=0, column=0, row=0))
    assert looks.all().count() == 2


@pytest.mark.django_db
def test_a_square_that_is_none_and_one_of_a_closed_case_do_not_exist(client, large):
    tile_tasks.derive_tiles(photograph_id=str(large.pk))
    client.force_login(make_staff(Role.RECORDS_CLERK))
    beyond = address("photograph-tile", large, level=0, column=99, row=0)
    assert client.get(beyond).status_code == 404
    assert AccessEvent.objects.filter(what="photograph").count() == 0
    type(large.case).objects.filter(pk=large.case_id).update(restricted=True)
    for where in (
        address("photograph-tile", large, level=0, column=0, row=0),
        address("photograph-tiles", large),
    ):
        assert client.get(where).status_code == 404


@pytest.mark.django_db
def test_a_square_is_read_in_few_statements(client, vasko, large, django_assert_max_num_queries):
    tile_tasks.derive_tiles(photograph_id=str(large.pk))
    client.force_login(vasko)
    where = address("photograph-tile", large, level=0, column=0, row=0)
    client.get(where)
    with django_assert_max_num_queries(6):
        client.get(where)


@pytest.mark.django_db
def test_an_outline_is_drawn_where_it_is_on_the_upright_picture(vasko, large):
    finding = make_finding(large.case, vasko, number=12, klass="postmortem change")
    link = large.finding_links.model(
        photograph=large, finding=finding, outline=[[0.5, 0.1], [1, 1], [0, 1]]
    )
    assert upright_size(large) == (1400, 2100)
    overlay = overlay_of(large, [link], selected=finding.pk)
    (drawn,) = overlay.outlined
    assert (drawn.path, drawn.pin) == ("M700 210L1400 2100L0 2100Z", ("700", "210"))
    assert (drawn.number, drawn.css, drawn.selected) == (12, "mark-postmortem-change", True)
    # The hatch is the body chart's own for this class.
    assert drawn.hatch == "url(#picture-hatch-postmortem_change)"
    assert 'id="picture-hatch-postmortem_change"' in overlay.patterns
    link.outline = [[0.25, 0.5]]
    (pointed,) = overlay_of(large, [link]).outlined
    assert (pointed.path, pointed.pin) == ("", ("350", "1050"))
    assert "<path" in pointed.symbol
