"""Derived copies: the same bytes from another process, true sizes, no notes of the camera."""

from __future__ import annotations

import hashlib
import io
import json
import subprocess
import sys
from pathlib import Path

import cv2
import numpy as np
import pytest
from PIL import Image

from cases.rules.case import CaseState
from evidence import store
from evidence.measuring import actions, copy_rules, copying, queries, tasks
from evidence.measuring.models import DerivedCopy
from evidence.store.models import StoredFile
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, NotAllowed, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.builders import make_case, make_staff
from tests.evidence.pictures import add, picture_bytes
from tests.measuring.pictures import SIZE, measured, photograph_with_scale, right_angled
from tests.measuring.scenes import SIZE as SCENE
from tests.measuring.scenes import Camera

ROOT = Path(__file__).resolve().parents[2]
KINDS = ["marked", "rectified", "cropped"]


def asked_for(actor, measurement, kind="marked", **changed):
    return actions.request_copy(
        actor,
        **{
            "case_id": measurement.case_id,
            "record_id": new_id(),
            "photograph_id": measurement.photograph_id,
            "measurement_id": measurement.pk,
            "kind": kind,
            **changed,
        },
    )


def copied(actor, measurement, kind="marked", **changed):
    """A copy, asked for and made."""
    asked = asked_for(actor, measurement, kind, **changed)
    tasks.make_copy(request_id=str(asked.pk))
    return DerivedCopy.objects.get(pk=asked.pk)


def bytes_of(stored: StoredFile) -> bytes:
    return b"".join(store.original_chunks(stored))


# One interpreter makes them all, each as `python -m evidence.measuring.copying` would.
OF_EACH_FOLDER = """
import runpy, sys
for folder in sys.argv[1:]:
    sys.argv = ["-m", *(f"{folder}/{name}" for name in ("parent", "operations.json", "copy.png"))]
    try:
        runpy.run_module("evidence.measuring.copying", run_name="__main__")
    except SystemExit as ended:
        assert ended.code == 0
"""


@pytest.mark.usefixtures("processes")
def test_another_process_makes_the_same_bytes_again(vasko, photograph, tmp_path):
    measurement = measured(vasko, photograph, entry=right_angled())
    kept = {}
    for kind, with_line in [*((kind, True) for kind in KINDS), ("rectified", False)]:
        folder = tmp_path / f"{kind}-{with_line}"
        folder.mkdir()
        kept[folder] = copied(vasko, measurement, kind, with_line=with_line)
        (folder / "parent").write_bytes(bytes_of(photograph.file))
        (folder / "operations.json").write_text(json.dumps(kept[folder].operations))
    said = subprocess.run(
        [sys.executable, "-c", OF_EACH_FOLDER, *kept],
        cwd=ROOT, capture_output=True, text=True, check=True,
    ).stdout  # fmt: skip
    assert len(kept) == len(KINDS) + 1
    for folder, copy in kept.items():
        made = (folder / "copy.png").read_bytes()
        assert hashlib.sha256(made).hexdigest() == copy.file.sha256
        assert made == bytes_of(copy.file)
        assert copy.pixels_sha256 in said
        assert copy.software in said


def test_a_copy_names_its_parent_and_leaves_its_event(vasko, photograph):
    kept = copied(vasko, measured(vasko, photograph))
    assert kept.parent_sha256 == photograph.file.sha256
    assert kept.file.sha256 != kept.parent_sha256
    assert [each["op"] for each in kept.operations] == ["upright", "mark"]
    event = AuditEvent.objects.get(table="measuring_derivedcopy")
    assert (event.act, event.actor_name) == ("finish_copy", "Dr. I. Vasko")


def test_nothing_of_the_cameras_notes_goes_along(vasko):
    exif = Image.Exif()
    exif[0x010F] = "A camera that should not be named"
    content = picture_bytes(size=SIZE, exif=exif.tobytes())
    photograph = add(vasko, make_case(), content)
    made = bytes_of(copied(vasko, measured(vasko, photograph)).file)
    assert b"camera" not in made
    with Image.open(io.BytesIO(made)) as picture:
        assert (picture.size, picture.info, dict(picture.getexif())) == (SIZE, {}, {})
    assert [made[at : at + 4] for at in (12, 37)] == [b"IHDR", b"IDAT"]


@pytest.mark.parametrize("orientation", range(1, 9))
def test_a_picture_is_turned_upright_as_pillow_does(orientation):
    from PIL import ImageOps

    exif = Image.Exif()
    exif[0x0112] = orientation
    rows = np.arange(5 * 7 * 3, dtype=np.uint8).reshape(5, 7, 3)
    buffer = io.BytesIO()
    Image.fromarray(rows).save(buffer, "PNG", exif=exif)
    made, _ = copying.make_copy(buffer.getvalue(), [{"op": "upright", "orientation": orientation}])
    with Image.open(io.BytesIO(buffer.getvalue())) as original:
        expected = np.asarray(ImageOps.exif_transpose(original))
    assert np.array_equal(np.asarray(Image.open(io.BytesIO(made))), expected)


def test_a_rectified_copy_is_true_to_scale_and_not_mirrored():
    camera = Camera(35, 20, 10)
    known = [(x, y) for x in (0, 40, 80) for y in (0, 40, 80)]
    # Counted upward, as a scale whose second arm points up: the picture runs downward.
    picks = [
        {"px": list(seen), "mm": [x, 80 - y]}
        for (x, y), seen in zip(known, camera.seen(known), strict=True)
    ]
    operation = copy_rules.rectify(camera.seen([(10, 10)]).tolist(), picks)

    def painted(x, y):
        return np.where((x >= 10) & (x <= 30) & (y >= 10) & (y <= 20), 20.0, 220.0)

    gray = camera.rendered(painted).astype(np.uint8)
    buffer = io.BytesIO()
    Image.fromarray(gray).save(buffer, "PNG")
    made, _ = copying.make_copy(buffer.getvalue(), [operation])
    flat = np.asarray(Image.open(io.BytesIO(made)))[:, :, 0]
    dark = np.argwhere(flat < 110)
    (top, left), (bottom, right) = dark.min(axis=0), dark.max(axis=0) + 1
    per_mm = operation["px_per_mm"]
    assert (right - left) / per_mm == pytest.approx(20, abs=0.4)
    assert (bottom - top) / per_mm == pytest.approx(10, abs=0.4)
    # The dark field lies in the upper left part of the plane, as the camera saw it.
    assert (left + right) / 2 < flat.shape[1] / 2
    assert (top + bottom) / 2 < flat.shape[0] / 2


def test_a_rectified_copy_shows_the_measured_line_true_to_scale_if_that_is_wanted(
    vasko, photograph
):
    line = right_angled(kind="length", points=[[300, 400], [600, 400]])
    measurement = measured(vasko, photograph, entry=line)
    kept = copied(vasko, measurement, "rectified")
    upright, flat, mark = kept.operations
    (start, end), words = mark["lines"][0]["points"], mark["words"][0]
    assert [upright["op"], flat["op"], mark["op"]] == ["upright", "rectify", "mark"]
    length_mm = float(np.hypot(end[0] - start[0], end[1] - start[1])) / flat["px_per_mm"]
    # The picture was drawn at 10 px a millimeter: the line is 30 mm long.
    assert length_mm == pytest.approx(30, rel=1e-3)
    assert words["text"] == measurement.words
    assert words["text"].endswith("in the plane of the scale")
    with Image.open(io.BytesIO(bytes_of(kept.file))) as copy:
        assert list(copy.size) == flat["size"]
        drawn = np.asarray(copy.convert("L")).astype(int)
    plain = copied(vasko, measurement, "rectified", with_line=False)
    assert [each["op"] for each in plain.operations] == ["upright", "rectify"]
    with Image.open(io.BytesIO(bytes_of(plain.file))) as copy:
        changed = np.argwhere(np.abs(np.asarray(copy.convert("L")).astype(int) - drawn) > 60)
    reach = 8 * mark["unit_px"]
    assert changed[:, 1].min() >= min(start[0], words["at"][0] - 180 * mark["unit_px"]) - reach
    assert any(abs(row - start[1]) <= reach for row in changed[:, 0])


def test_the_words_of_a_cropped_copy_stay_within_it(vasko, photograph):
    kept = copied(vasko, measured(vasko, photograph), "cropped")
    _, part, mark = kept.operations
    left, top, right, bottom = part["box"]
    (x, y), room = mark["words"][0]["at"], 165 * mark["unit_px"]
    assert room <= x <= right - left - room or right - left < 2 * room
    assert 0 < y < bottom - top
    assert all(0 <= px <= right - left for px, _ in mark["lines"][0]["points"])


def test_rectifying_agrees_with_opencv():
    camera = Camera(30, -15, 5)
    corners = [(0, 0), (80, 0), (80, 80), (0, 80)]
    picks = [
        {"px": list(seen), "mm": list(mm)}
        for mm, seen in zip(corners, camera.seen(corners), strict=True)
    ]
    operation = copy_rules.rectify(camera.seen([(40, 40)]).tolist(), picks)
    rng = np.random.default_rng(2)
    coarse = rng.uniform(0, 255, (SCENE[1] // 30, SCENE[0] // 30)).astype(np.uint8)
    gray = cv2.resize(coarse, SCENE, interpolation=cv2.INTER_CUBIC)
    buffer = io.BytesIO()
    Image.fromarray(gray).save(buffer, "PNG")
    ours, _ = copying.make_copy(buffer.getvalue(), [operation])
    per_mm, (left, top) = operation["px_per_mm"], operation["origin_mm"]
    to_mm = np.array([[1 / per_mm, 0, left], [0, 1 / per_mm, top], [0, 0, 1]])
    half = np.array([[1, 0, 0.5], [0, 1, 0.5], [0, 0, 1]])
    back = np.linalg.inv(half) @ np.array(operation["to_picture"]) @ to_mm @ half
    theirs = cv2.warpPerspective(
        gray, back, tuple(operation["size"]), flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP,
        borderValue=copying.GRAY,
    )  # fmt: skip
    found = np.asarray(Image.open(io.BytesIO(ours)))[:, :, 0].astype(int)
    # OpenCV rounds places to 1/32 px.
    assert np.abs(found - theirs)[5:-5, 5:-5].mean() < 1
    assert np.quantile(np.abs(found - theirs)[5:-5, 5:-5], 0.99) <= 3


def test_a_straight_scale_rectifies_nothing(vasko, photograph):
    with pytest.raises(Refused, match="right-angled"):
        copied(vasko, measured(vasko, photograph), "rectified")
    assert not DerivedCopy.objects.exists()


def test_a_copy_is_refused_by_role_by_state_and_for_another_photograph(vasko, photograph):
    measurement = measured(vasko, photograph)
    with pytest.raises(NotAllowed):
        copied(make_staff(Role.RECORDS_CLERK), measurement)
    other = photograph_with_scale(vasko, photograph.case, shade=91)
    with pytest.raises(Refused, match="of this photograph"):
        copied(vasko, measurement, photograph_id=other.pk)
    with pytest.raises(Refused, match="Choose marked"):
        copied(vasko, measurement, "blurred")
    photograph.case.state = CaseState.SIGNED
    photograph.case.signed_at = photograph.created_at
    photograph.case.save()
    with pytest.raises(NotAllowed):
        copied(vasko, measurement)


def test_the_same_request_twice_makes_one_copy_and_another_content_is_a_conflict(vasko, photograph):
    measurement, key = measured(vasko, photograph), new_id()
    assert copied(vasko, measurement, record_id=key) == copied(vasko, measurement, record_id=key)
    assert DerivedCopy.objects.count() == 1
    with pytest.raises(Conflict):
        copied(vasko, measurement, "cropped", record_id=key)


def test_a_withdrawn_copy_is_no_longer_offered_and_its_file_stays(vasko, photograph):
    kept = copied(vasko, measured(vasko, photograph))
    keys = {"case_id": kept.case_id, "copy_id": kept.pk}
    with pytest.raises(StaleRecord):
        actions.void_copy(vasko, **keys, version=3, reason="wrong line")
    with pytest.raises(NotAllowed):
        actions.void_copy(make_staff(Role.SUPERVISOR), **keys, version=1, reason="wrong line")
    actions.void_copy(vasko, **keys, version=1, reason="wrong line")
    assert queries.copies_of(photograph) == []
    assert store.is_whole(kept.file)
    assert AuditEvent.objects.filter(act="void_copy", reason="wrong line").exists()
