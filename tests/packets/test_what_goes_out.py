"""Which bytes of each photograph go out, without a database: every form, several of a kind.

Files stand in a dictionary here in place of the store; what is asked of the store is its promise:
`lend` gives a size for whole bytes alone, `is_whole` tells whether they are.
"""

from __future__ import annotations

import hashlib
import io
from itertools import product
from pathlib import Path
from types import SimpleNamespace
from typing import Any
from uuid import UUID

import pytest
from PIL import Image

from cases.packets import outgoing as rules
from cases.packets.rules import ReleasedAs
from evidence.imaging import bare

ORIGINAL, REDACTED = ReleasedAs.ORIGINAL, ReleasedAs.REDACTED
COPY, NOT_SENT = ReleasedAs.COPY, ReleasedAs.NOT_SENT


def picture(shade: int) -> bytes:
    exif = Image.Exif()
    exif[0x010F] = "Plain Camera Works"
    saved = io.BytesIO()
    Image.new("RGB", (16, 16), (shade, 0, 0)).save(saved, "JPEG", exif=exif.tobytes())
    return saved.getvalue()


def stored(content: bytes, media_type: str = "image/jpeg") -> Any:
    sha256 = hashlib.sha256(content).hexdigest()
    return SimpleNamespace(content=content, sha256=sha256, media_type=media_type, path=sha256)


def photographed(number: int, media_type: str = "image/jpeg", content: bytes | None = None) -> Any:
    file = stored(content or picture(number), media_type)
    return SimpleNamespace(
        photograph=SimpleNamespace(pk=UUID(int=number), number=number, file=file)
    )


def redaction(number: int) -> Any:
    return SimpleNamespace(why=f"Face {number}", file=stored(picture(100 + number)))


def material(*, photographs: int = 4, redacted: tuple[int, ...] = ()) -> Any:
    return SimpleNamespace(
        photographs=[photographed(number) for number in range(1, photographs + 1)],
        redactions={UUID(int=number): redaction(number) for number in redacted},
    )


@pytest.fixture
def office(monkeypatch: pytest.MonkeyPatch) -> set[str]:
    """Put files in the place of the store; return the digests of those that are damaged."""
    damaged: set[str] = set()

    def lend(file: Any, there: Path) -> int | None:
        there.write_bytes(file.content)
        return None if file.sha256 in damaged else len(file.content)

    fake = SimpleNamespace(
        lend=lend,
        is_whole=lambda file: file.sha256 not in damaged,
        open_stored=lambda file: io.BytesIO(file.content),
    )
    monkeypatch.setattr(rules, "store", fake)
    return damaged


def forms(sent: list[Any]) -> list[ReleasedAs]:
    return [one.form for one in sent]


@pytest.mark.parametrize("named", [(), (2,), (3,), (2, 3), (1,), (2, 3, 4)])
def test_only_the_originals_that_are_named_go_out_in_the_clear(named):
    sent = rules.outgoing_photographs(
        material(redacted=(2, 3, 4)),
        originals=[str(UUID(int=number)) for number in named],
        originals_why="Order of 3 May",
    )
    assert [one.one.photograph.number for one in sent] == [1, 2, 3, 4]
    assert forms(sent) == [
        ORIGINAL, *(ORIGINAL if number in named else REDACTED for number in (2, 3, 4))
    ]  # fmt: skip
    assert [one.why for one in sent] == [
        "",
        *(
            f"A redacted copy stands (Face {number}); not sent, because: Order of 3 May"
            if number in named
            else f"Face {number}"
            for number in (2, 3, 4)
        ),
    ]
    assert [one.is_redacted for one in sent] == [form is REDACTED for form in forms(sent)]
    assert [one.redaction and one.redaction.why for one in sent] == [
        None, "Face 2", "Face 3", "Face 4"
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("with_photographs", "camera_notes"), list(product([True, False], repeat=2))
)
def test_a_packet_sends_as_it_was_asked_for(with_photographs, camera_notes):
    packet: Any = SimpleNamespace(
        with_photographs=with_photographs, camera_notes=camera_notes,
        originals=[str(UUID(int=2))], originals_why="Consent of the kin",
    )  # fmt: skip
    sent = rules.of_packet(material(redacted=(2, 3)), packet)
    clear = ORIGINAL if camera_notes else COPY
    assert forms(sent) == ([clear, clear, REDACTED, clear] if with_photographs else [NOT_SENT] * 4)
    told = "A redacted copy stands (Face 2); not sent, because: Consent of the kin"
    assert [one.why for one in sent] == (["", told, "Face 3", ""] if with_photographs else [""] * 4)


def test_left_to_itself_everything_goes_out_and_what_is_hidden_stays_hidden():
    assert forms(rules.outgoing_photographs(material(redacted=(1, 4)))) == [
        REDACTED, ORIGINAL, ORIGINAL, REDACTED
    ]  # fmt: skip


def test_what_is_written_has_the_bytes_names_and_digests_of_its_form(office, tmp_path):
    given = material(redacted=(2, 3))
    sent = rules.outgoing_photographs(given, camera_notes=False, originals=[str(UUID(int=3))])
    beats: list[int] = []
    written = rules.write_photographs(tmp_path, sent, beats.append)
    assert beats == [1, 2, 3, 4]
    first, second, third, fourth = written
    hidden = given.redactions[UUID(int=2)].file
    assert (second.sha256, second.size_bytes) == (hidden.sha256, len(hidden.content))
    assert second.name == f"P-002-redacted-{hidden.sha256[:12]}.jpg"
    assert (tmp_path / second.path).read_bytes() == hidden.content
    assert second.made == ""
    for one in (first, third, fourth):
        content = (tmp_path / one.path).read_bytes()
        sha256 = hashlib.sha256(content).hexdigest()
        assert b"Plain Camera Works" not in content
        assert (one.sha256, one.size_bytes) == (sha256, len(content))
        assert one.name == f"P-{one.one.photograph.number:03d}-copy-{sha256[:12]}.jpg"
        assert one.made == bare.AS_IT_WAS
    assert {path.name for path in tmp_path.iterdir()} == {"photographs"}
    assert {path.name for path in (tmp_path / "photographs").iterdir()} == {
        one.name for one in written
    }
    assert all(one.path == f"photographs/{one.name}" for one in written)
    assert sent[0].path == ""


def test_an_original_that_was_asked_for_is_written_though_a_redacted_copy_stands(office, tmp_path):
    given = material(photographs=2, redacted=(1, 2))
    sent = rules.outgoing_photographs(
        given, originals=[str(UUID(int=2))], originals_why="Order of 3 May"
    )
    hidden, asked_for = rules.write_photographs(tmp_path, sent, lambda done: None)
    assert (tmp_path / hidden.path).read_bytes() == given.redactions[UUID(int=1)].file.content
    original = given.photographs[1].photograph.file
    assert (tmp_path / asked_for.path).read_bytes() == original.content
    assert asked_for.name == f"P-002-{original.sha256[:12]}.jpg"


@pytest.mark.parametrize(
    ("media_type", "extension"),
    [("image/jpeg", "jpg"), ("image/png", "png"), ("image/tiff", "tif"), ("image/webp", "webp"),
     ("image/heic", "heic"), ("image/heif", "heif"), ("image/x-nikon-nef", "bin")],
)  # fmt: skip
def test_an_original_keeps_the_ending_of_its_kind(office, tmp_path, media_type, extension):
    one = photographed(7, media_type)
    only: Any = SimpleNamespace(photographs=[one], redactions={})
    (written,) = rules.write_photographs(
        tmp_path, rules.outgoing_photographs(only), lambda done: None
    )
    file = one.photograph.file
    assert written.name == f"P-007-{file.sha256[:12]}.{extension}"
    assert (written.sha256, written.size_bytes) == (file.sha256, len(file.content))
    assert (tmp_path / written.path).read_bytes() == file.content


@pytest.mark.parametrize(
    ("options", "redacted"),
    [({}, ()), ({"camera_notes": False}, ()), ({}, (1,)), ({"camera_notes": False}, (1,))],
)
def test_nothing_is_packed_from_bytes_that_changed(office, tmp_path, options, redacted):
    given = material(photographs=1, redacted=redacted)
    of = given.redactions[UUID(int=1)] if redacted else given.photographs[0].photograph
    office.add(of.file.sha256)
    with pytest.raises(rules.OriginalChanged, match=r"^photograph 1$") as changed:
        rules.write_photographs(
            tmp_path, rules.outgoing_photographs(given, **options), lambda done: None
        )
    assert changed.value.number == 1


@pytest.mark.parametrize(
    "fault", [OSError("cut"), MemoryError(), Image.DecompressionBombError(), ValueError("not one")]
)
def test_a_picture_of_which_no_copy_can_be_made_is_named(office, tmp_path, monkeypatch, fault):
    def copy_without_metadata(file: Any) -> None:
        raise fault

    monkeypatch.setattr(rules.bare, "copy_without_metadata", copy_without_metadata)
    sent = rules.outgoing_photographs(material(photographs=2), camera_notes=False)
    with pytest.raises(rules.NoCopy, match=r"^photograph 2$") as none:
        rules.write_photographs(tmp_path, sent[1:], lambda done: None)
    assert none.value.number == 2
    assert none.value.__cause__ is fault
