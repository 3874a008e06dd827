"""Copies without metadata: the picture stays, every word goes.

Markers are numbered as in ITU-T T.81 (09/1992), table B.1. OpenCV and Pillow, which know nothing
of this project, decode original and copy; the segments are found here by a second reading.
"""

from __future__ import annotations

import io
from typing import Any

import cv2
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image, ImageCms

from evidence.imaging import bare

SIZE = (70, 50)
SECRET = b"Plain Camera Works 4711"
NOTES_MARKERS = {0xFE, *range(0xE1, 0xEE), 0xEF}


def painted(mode: str = "RGB") -> Image.Image:
    random = np.random.default_rng(11)
    points = random.integers(0, 255, (SIZE[1] // 10, SIZE[0] // 10, 3), dtype=np.uint8)
    return Image.fromarray(points).resize(SIZE).convert(mode)


def noted(picture: Image.Image | None = None, *, orientation: int = 1, **options: Any) -> bytes:
    """A JPEG in whose Exif, comment and small JFIF picture somebody could be found."""
    exif = Image.Exif()
    exif[0x010F] = SECRET.decode()
    exif[0x0112] = orientation
    exif.get_ifd(0x8825).update({1: "N", 2: (44.0, 30.0, 15.0)})
    saved = io.BytesIO()
    (picture or painted()).save(saved, "JPEG", exif=exif.tobytes(), comment=SECRET, **options)
    return saved.getvalue()


def markers_before_the_scan(content: bytes) -> list[int]:
    found, at = [], 2
    while content[at + 1] != 0xDA:
        found.append(content[at + 1])
        at += 2 + int.from_bytes(content[at + 2 : at + 4], "big")
    return found


def seen(content: bytes) -> np.ndarray[Any, Any]:
    flags = cv2.IMREAD_UNCHANGED | cv2.IMREAD_IGNORE_ORIENTATION
    return cv2.imdecode(np.frombuffer(content, np.uint8), flags)


@pytest.mark.parametrize(
    "options",
    [
        {},
        {"progressive": True},
        {"restart_marker_blocks": 1},
        {"subsampling": 0, "quality": 98},
        {"optimize": True},
    ],
    ids=["baseline", "progressive", "restarts", "full colour", "own tables"],
)
@pytest.mark.parametrize("mode", ["RGB", "L", "CMYK"])
def test_the_picture_stays_and_every_note_goes(options: dict[str, Any], mode: str) -> None:
    original = noted(painted(mode), **options)
    copy, made = bare.copy_without_metadata(io.BytesIO(original))
    assert made == bare.AS_IT_WAS
    assert np.array_equal(seen(copy), seen(original))
    with Image.open(io.BytesIO(copy)) as picture, Image.open(io.BytesIO(original)) as before:
        assert picture.tobytes() == before.tobytes()
        assert (dict(picture.getexif()), picture.info.get("comment")) == ({}, None)
    assert SECRET in original
    assert SECRET not in copy
    assert NOTES_MARKERS.isdisjoint(markers_before_the_scan(copy))
    assert len(copy) < len(original)


@pytest.mark.parametrize("orientation", range(2, 9))
def test_which_way_up_it_was_held_is_all_that_stays(orientation: int) -> None:
    original = noted(orientation=orientation)
    copy, made = bare.copy_without_metadata(io.BytesIO(original))
    assert made.endswith(bare.HELD)
    assert SECRET not in copy
    with Image.open(io.BytesIO(copy)) as picture:
        assert dict(picture.getexif()) == {0x0112: orientation}
    turned = [cv2.imdecode(np.frombuffer(one, np.uint8), 1) for one in (original, copy)]
    assert np.array_equal(*turned)


def test_what_stands_behind_the_picture_or_small_in_front_of_it_goes() -> None:
    plain = noted()
    at = plain.index(b"JFIF\0")
    small = plain[:at] + b"JFIF\0\x01\x02\0\0\x01\0\x01\x01\x01" + b"RGB" + plain[at + 14 :]
    with_small = small[: at - 2] + (19).to_bytes(2, "big") + small[at:]
    second = with_small + noted(painted("L"))
    copy, made = bare.copy_without_metadata(io.BytesIO(second))
    assert made == bare.AS_IT_WAS
    assert copy.count(b"\xff\xd8") == copy.count(b"\xff\xd9") == 1
    head = copy.index(b"JFIF\0")
    assert copy[head - 2 : head] == b"\0\x10"
    assert copy[head + 12 : head + 14] == b"\0\0"


def test_other_colors_and_other_kinds_are_saved_anew() -> None:
    srgb = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    other = srgb.replace(b"sRGB", b"Wide").replace("sRGB".encode("utf-16-be"), b"\0W\0i\0d\0e")
    assert bare.copy_without_metadata(io.BytesIO(noted(icc_profile=srgb)))[1] == bare.AS_IT_WAS
    copy, made = bare.copy_without_metadata(io.BytesIO(noted(icc_profile=other, orientation=6)))
    assert made == bare.ANEW
    with Image.open(io.BytesIO(copy)) as picture:
        assert (picture.size, dict(picture.getexif())) == (SIZE[::-1], {})
        assert "icc_profile" not in picture.info
    saved = io.BytesIO()
    painted().save(saved, "PNG")
    assert bare.copy_without_metadata(io.BytesIO(saved.getvalue()))[1] == bare.ANEW


def test_words_behind_the_color_transform_are_cut_off() -> None:
    # ITU-T T.872 (06/2012): an APP14 segment "Adobe" holds 12 bytes, the last one of which
    # says how colors are to be read (source not checked).
    plain = noted(painted("CMYK"))
    at = plain.index(b"Adobe")
    long = plain[: at - 2] + (14 + len(SECRET)).to_bytes(2, "big") + plain[at : at + 12]
    copy, made = bare.copy_without_metadata(io.BytesIO(long + SECRET + plain[at + 12 :]))
    assert made == bare.AS_IT_WAS
    assert SECRET not in copy
    kept = copy.index(b"Adobe")
    assert copy[kept - 2 : kept + 12] == b"\0\x0e" + plain[at : at + 12]
    assert np.array_equal(seen(copy), seen(plain))


@pytest.mark.parametrize("profile", [b"no profile at all", b"\0" * 128, b"sRGB"])
def test_a_color_profile_that_cannot_be_read_is_not_taken_for_srgb(profile: bytes) -> None:
    copy, made = bare.copy_without_metadata(io.BytesIO(noted(icc_profile=profile)))
    assert made == bare.ANEW
    with Image.open(io.BytesIO(copy)) as picture:
        assert "icc_profile" not in picture.info


@given(cut=st.integers(0, 4000), junk=st.binary(max_size=6))
def test_a_broken_file_is_refused_and_never_read_beyond_its_end(cut: int, junk: bytes) -> None:
    whole = noted()
    broken = whole[: cut % len(whole)] + junk
    try:
        copy = bare.without_notes(broken)
    except bare.NotPlain:
        return
    assert copy.endswith(b"\xff\xd9")
    assert SECRET not in copy
