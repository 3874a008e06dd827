"""A JPEG without notes, segment by segment, on files put together by hand.

Markers: ITU-T T.81 (09/1992), table B.1 and B.1.1.2 (fill bytes) and B.1.1.5 (stuffed zeros).
JFIF: ITU-T T.871. APP14 "Adobe": ITU-T T.872. Exif: CIPA DC-008. (All from memory, not checked.)
"""

from __future__ import annotations

import io
from types import SimpleNamespace
from typing import Any

import pytest
from PIL import Image

from evidence.imaging import bare
from tests.evidence.test_bare import SECRET, noted, painted

SOI, EOI = b"\xff\xd8", b"\xff\xd9"
TABLE = b"\xff\xdb\x00\x05abc"
JFIF = b"JFIF\0\x01\x02\x01\x00\x48\x00\x48"
ADOBE = b"Adobe\x00\x64\x00\x00\x00\x00\x02"


def segment(marker: int, body: bytes) -> bytes:
    return bytes([0xFF, marker]) + (len(body) + 2).to_bytes(2, "big") + body


def scan(data: bytes) -> bytes:
    return segment(0xDA, b"\x01\x01\x00\x00\x3f\x00") + data


def bared(*parts: bytes, **options: int) -> bytes:
    """What stays of a file of these parts, without the marks of beginning and end."""
    copy = bare.without_notes(b"".join([SOI, *parts, EOI]), **options)
    assert copy[:2] == SOI
    assert copy[-2:] == EOI
    return copy[2:-2]


# Frames (C0 to CF but C4 and CC, which are tables), tables, lines, restarts, hierarchy.
STAY = {*range(0xC0, 0xD0), 0xDB, 0xDC, 0xDD, 0xDE, 0xDF}
# No length follows these: beginning, end, restarts. The scan's header has data behind it.
ALONE = {0xD8, 0xD9, *range(0xD0, 0xD8), 0xDA}


def test_of_every_marker_only_what_decoding_needs_stays() -> None:
    stays = {
        marker
        for marker in set(range(0x01, 0xFF)) - ALONE
        if bared(segment(marker, SECRET)) == segment(marker, SECRET)
    }
    goes = {marker for marker in set(range(0x01, 0xFF)) - ALONE if not bared(segment(marker, b"x"))}
    assert stays == STAY
    assert goes == set(range(0x01, 0xFF)) - ALONE - STAY


@pytest.mark.parametrize(
    ("given", "stays"),
    [
        (segment(0xE0, JFIF + b"\x01\x01RGB"), segment(0xE0, JFIF + b"\0\0")),
        (segment(0xE0, JFIF + b"\0\0"), segment(0xE0, JFIF + b"\0\0")),
        (segment(0xE0, JFIF), segment(0xE0, JFIF + b"\0\0")),
        (segment(0xE0, JFIF[:-1]), b""),
        (segment(0xE0, b"JFXX\0\x10" + SECRET), b""),  # a small picture of its own
        (segment(0xE1, JFIF + b"\0\0"), b""),
        (segment(0xE1, SECRET) + segment(0xE0, JFIF), segment(0xE0, JFIF + b"\0\0")),
        (TABLE + segment(0xE0, JFIF + b"\0\0"), TABLE),
        (segment(0xE0, JFIF) * 2, segment(0xE0, JFIF + b"\0\0")),
        (segment(0xEE, ADOBE + SECRET), segment(0xEE, ADOBE)),
        (segment(0xEE, ADOBE), segment(0xEE, ADOBE)),
        (segment(0xEE, ADOBE[:-1]), b""),
        (segment(0xEE, SECRET), b""),
        (segment(0xED, ADOBE), b""),
    ],
)
def test_how_colors_and_density_are_read_stays_and_nothing_else(given: bytes, stays: bytes) -> None:
    assert bared(given) == stays


def held(orientation: int) -> bytes:
    """An Exif segment with one entry: tag 0x0112, SHORT, one value; no further directory."""
    return bytes.fromhex(
        "ffe10022 457869660000 4d4d002a00000008 0001 0112 0003 00000001"
        f"{orientation:04x} 0000 00000000"
    )


@pytest.mark.parametrize("orientation", range(2, 9))
def test_how_the_camera_was_held_is_written_once_before_the_tables(orientation: int) -> None:
    jfif = segment(0xE0, JFIF + b"\0\0")
    assert bared(TABLE, TABLE, orientation=orientation) == held(orientation) + TABLE * 2
    assert bared(jfif, TABLE, TABLE, orientation=orientation) == (
        jfif + held(orientation) + TABLE * 2
    )
    assert bared(jfif, segment(0xEE, ADOBE), TABLE, orientation=orientation) == (
        jfif + held(orientation) + segment(0xEE, ADOBE) + TABLE
    )


def test_an_upright_picture_has_no_such_segment() -> None:
    assert bared(TABLE) == bared(TABLE, orientation=1) == TABLE


@pytest.mark.parametrize("fill", [0, 1, 2, 3])
def test_fill_bytes_before_a_marker_are_passed_over(fill: int) -> None:
    filled = b"\xff" * fill
    copy = bare.without_notes(SOI + filled + TABLE + filled + segment(0xFE, SECRET) + filled + EOI)
    assert copy == SOI + TABLE + EOI


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"a",
        b"a\xff\x00b",
        b"\xff\x00",
        b"a\xff\x00\xff\x00",
        b"a\xff\xff\x00b",  # decoders pass a doubled one over, as before any marker
        b"a\xff\xff\x00",
        b"a\xff",  # a fill byte before the marker that ends the data
        b"a\xff\xff",
        *(b"a" + bytes([0xFF, restart]) + b"b" for restart in range(0xD0, 0xD8)),
        b"\xff\xd0\xff\xd7",
    ],
)
def test_the_coded_data_of_each_scan_stay_to_the_byte(data: bytes) -> None:
    assert bared(scan(data)) == scan(data)
    assert bared(scan(data), TABLE, scan(data)) == scan(data) + TABLE + scan(data)
    assert bared(scan(data), segment(0xFE, SECRET), scan(data)) == scan(data) * 2
    # D8 and CF are no restarts: what they begin is no coded data any more.
    assert bared(scan(data), segment(0xD8, SECRET)) == scan(data)
    assert bared(scan(data), segment(0xCF, b"x")) == scan(data) + segment(0xCF, b"x")


def test_what_follows_the_first_end_goes() -> None:
    assert bared(TABLE, scan(b"a"), EOI, SECRET, scan(b"b")) == TABLE + scan(b"a")


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"\xff",
        b"\xff\xd9\xff\xd9",
        b"xx" + TABLE + EOI,
        SOI,
        SOI + b"\xff",
        SOI + b"\xff\xff\xff",
        SOI + TABLE,
        SOI + TABLE + b"\xff",
        SOI + TABLE + b"junk" + TABLE + EOI,
        SOI + b"\xff\xdb",
        SOI + b"\xff\xdb\x00",
        SOI + b"\xff\xdb\x00\x00" + EOI,
        SOI + b"\xff\xdb\x00\x01" + EOI,
        SOI + b"\xff\xdb\x00\x09abc" + EOI,
        SOI + scan(b"abc"),
        SOI + scan(b"abc\xff"),
        SOI + scan(b"abc\xff\xff"),
        SOI + scan(b"abc\xff\x00"),
    ],
)
def test_what_is_no_whole_jpeg_is_not_cut_up(content: bytes) -> None:
    with pytest.raises(bare.NotPlain):
        bare.without_notes(content)


def test_an_empty_segment_is_one() -> None:
    assert bared(segment(0xDB, b""), segment(0xFE, b"")) == segment(0xDB, b"")


def test_a_file_of_several_pictures_keeps_the_data_of_the_first() -> None:
    # Multi-Picture Format (CIPA DC-007): telephones put a second picture behind the first.
    saved = io.BytesIO()
    painted().save(saved, "MPO", save_all=True, append_images=[painted().rotate(90)])
    with Image.open(io.BytesIO(saved.getvalue())) as picture:
        assert picture.format == "MPO"
        points = picture.tobytes()
    copy, made = bare.copy_without_metadata(io.BytesIO(saved.getvalue()))
    assert made == bare.AS_IT_WAS
    assert copy.count(SOI) == copy.count(EOI) == 1
    with Image.open(io.BytesIO(copy)) as picture:
        assert picture.tobytes() == points


def test_a_copy_made_anew_is_of_quality_95() -> None:
    saved, plain = io.BytesIO(), io.BytesIO()
    painted().save(saved, "PNG")
    copy, made = bare.copy_without_metadata(io.BytesIO(saved.getvalue()))
    assert made == bare.ANEW
    # ITU-T T.81, table K.1, first row, scaled by the Independent JPEG Group's rule: a quality of
    # 95 takes a tenth of each, rounded (source not checked).
    first_row = [16, 11, 10, 16, 24, 40, 51, 61]
    with Image.open(io.BytesIO(copy)) as picture:
        assert picture.quantization[0][:8] == [(each * 10 + 50) // 100 for each in first_row]
    painted().save(plain, "JPEG", quality=95)
    assert len(copy) < len(plain.getvalue())


@pytest.mark.parametrize("written", [0, 9, 10, 65535])
def test_an_orientation_that_is_none_is_upright(written: int) -> None:
    copy, made = bare.copy_without_metadata(io.BytesIO(noted(orientation=written)))
    assert (made, b"Exif" in copy) == (bare.AS_IT_WAS, False)


def test_notes_that_cannot_be_read_and_absent_ones_say_upright() -> None:
    def junk() -> Any:
        raise SyntaxError("junk")

    picture: Any = SimpleNamespace(getexif=junk)
    assert bare._orientation(picture) == 1
    absent: Any = SimpleNamespace(getexif=dict)
    assert bare._orientation(absent) == 1
    plain = io.BytesIO()
    painted().save(plain, "JPEG")
    copy, made = bare.copy_without_metadata(io.BytesIO(plain.getvalue()))
    assert (made, b"Exif" in copy) == (bare.AS_IT_WAS, False)
