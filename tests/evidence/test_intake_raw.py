"""Camera raw: kept as it came, checked by its values, shown by its preview."""

from __future__ import annotations

import io
import struct

import pytest
from PIL import Image

from evidence import store
from evidence.imaging import pictures, raw
from evidence.intake import checking
from evidence.store.models import StoredFile
from me_office.audit.errors import Refused
from tests.evidence.pictures import picture_bytes

pytestmark = pytest.mark.django_db
SHORT, LONG, BYTE, ASCII, SRATIONAL, RATIONAL = 3, 4, 1, 2, 10, 5
SIZES = {BYTE: 1, ASCII: 1, SHORT: 2, LONG: 4, RATIONAL: 8, SRATIONAL: 8}


def dng(width: int = 64, height: int = 48, *, claimed: tuple[int, int] | None = None) -> bytes:
    """Write a small DNG: one Bayer picture of 16-bit values, by Adobe's DNG specification 1.4.

    Tags: TIFF 6.0 section 8, TIFF/EP (CFARepeatPatternDim, CFAPattern), DNG 1.4 chapter 4.
    """
    values = b"".join(
        struct.pack("<H", (x * 700 + y * 300) % 16_000) for y in range(height) for x in range(width)
    )
    said = claimed or (width, height)
    identity = [10_000, 10_000, 0, 1, 0, 1, 0, 1, 10_000, 10_000, 0, 1, 0, 1, 0, 1, 10_000, 10_000]
    tags = [
        (0x00FE, LONG, [0]), (0x0100, LONG, [said[0]]), (0x0101, LONG, [said[1]]),
        (0x0102, SHORT, [16]), (0x0103, SHORT, [1]), (0x0106, SHORT, [32803]),
        (0x010F, ASCII, b"Tarn\0"), (0x0110, ASCII, b"Synthetic\0"), (0x0111, LONG, [0]),
        (0x0112, SHORT, [1]), (0x0115, SHORT, [1]), (0x0116, LONG, [said[1]]),
        (0x0117, LONG, [len(values)]), (0x828D, SHORT, [2, 2]), (0x828E, BYTE, [0, 1, 1, 2]),
        (0xC612, BYTE, [1, 4, 0, 0]), (0xC613, BYTE, [1, 1, 0, 0]),
        (0xC614, ASCII, b"Tarn Synthetic\0"), (0xC621, SRATIONAL, identity),
        (0xC628, RATIONAL, [1, 1, 1, 1, 1, 1]), (0xC65A, SHORT, [21]),
    ]  # fmt: skip
    place = 8 + 2 + 12 * len(tags) + 4
    packed = [(tag, kind, _packed(kind, value)) for tag, kind, value in tags]
    end = place + sum(len(body) + len(body) % 2 for _, _, body in packed if len(body) > 4)
    entries, behind = b"", b""
    for tag, kind, body in packed:
        if tag == 0x0111:
            body = struct.pack("<I", end)
        count = len(body) // SIZES[kind]
        if len(body) > 4:
            where = struct.pack("<I", place + len(behind))
            behind += body + b"\0" * (len(body) % 2)
        else:
            where = body.ljust(4, b"\0")
        entries += struct.pack("<HHI", tag, kind, count) + where
    head = b"II*\0" + struct.pack("<IH", 8, len(tags))
    return head + entries + struct.pack("<I", 0) + behind + values


def _packed(kind: int, value) -> bytes:
    if isinstance(value, bytes):
        return value
    form = {BYTE: "B", SHORT: "H", LONG: "I", RATIONAL: "I", SRATIONAL: "i"}[kind]
    return struct.pack(f"<{len(value)}{form}", *value)


def read(content: bytes, name: str) -> store.Incoming:
    with store.receive(io.BytesIO(content), name=name) as incoming:
        return checking.check_picture(incoming)


def test_a_raw_file_is_known_by_its_bytes_and_kept_whole():
    content = dng()
    found = read(content, "IMG_1.DNG")
    assert (found.media_type, found.width_px, found.height_px) == ("image/x-adobe-dng", 64, 48)
    assert (found.exif["make"], found.exif["model"]) == ("Tarn", "Synthetic")
    assert found.size_bytes == len(content)


def test_a_raw_file_without_a_preview_of_its_own_is_shown_developed():
    copy = pictures.smaller_copy(io.BytesIO(dng(256, 128)), longest_px=100)
    with Image.open(io.BytesIO(copy)) as made:
        assert made.size == (100, 50)
        assert not made.getexif()


# Outside the tests Pillow's warning goes to the log and the file is judged on.
@pytest.mark.filterwarnings("ignore:Corrupt EXIF data")
@pytest.mark.parametrize(
    ("name", "content", "words"),
    [
        ("a.dng", dng()[: len(dng()) // 2], "damaged or incomplete"),
        ("a.cr2", b"II*\0\x10\0\0\0CR\x02\0" + b"\xff" * 500, "damaged or incomplete"),
        ("a.nef", b"II*\0\x08\0\0\0" + b"\xff" * 500, "not a picture|broken"),
        ("a.arw", picture_bytes(), "The name says camera raw, but the file is JPEG"),
        ("a.jpg", dng(), "The name says JPEG, but the file is camera raw"),
        ("a.tif", dng(), "The name says TIFF, but the file is camera raw"),
        ("a", dng(), "without its name's ending"),
        ("a.dng", dng(claimed=(60_000, 60_000)), "too many picture points|broken"),
    ],
)
def test_a_raw_file_that_is_not_whole_or_not_what_it_says_is_refused(name, content, words):
    with pytest.raises(Refused, match=words):
        read(content, name)
    assert StoredFile.objects.count() == 0


def test_a_plain_tiff_is_no_raw_file():
    assert not raw.is_raw(io.BytesIO(picture_bytes(kind="TIFF")))
    assert not raw.is_raw(io.BytesIO(picture_bytes()))
    assert not raw.is_raw(io.BytesIO(b""))
