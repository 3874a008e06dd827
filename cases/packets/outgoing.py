"""In which form photographs go out: as originals, redacted copies, copies without metadata."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from PIL import Image

from cases.exhibits.models import Redaction
from cases.packets.material import Material
from cases.packets.models import Packet
from cases.packets.rules import ReleasedAs, photograph_name, released_as
from evidence import store
from evidence.imaging import bare, pictures
from evidence.photographs.queries import PacketPhotograph
from evidence.store.models import StoredFile
from me_office.audit.errors import Refused

EXTENSIONS = {
    "image/jpeg": "jpg",
    "image/png": "png",
    "image/tiff": "tif",
    "image/webp": "webp",
    "image/heic": "heic",
    "image/heif": "heif",
}
FOLDER = "photographs"


class CannotBuild(Refused):
    """What is to go out cannot be built; the message says why, for the clerk."""


class OriginalChanged(Exception):
    """A stored file no longer has its digest; nothing is packed from it."""

    def __init__(self, number: int) -> None:
        super().__init__(f"photograph {number}")
        self.number = number


class NoCopy(Exception):
    """A photograph of which no copy without metadata can be made."""

    def __init__(self, number: int) -> None:
        super().__init__(f"photograph {number}")
        self.number = number


@dataclass(frozen=True)
class OutgoingPhotograph:
    """A photograph with the form in which it goes out, and the file that then lies in the bag."""

    one: PacketPhotograph
    form: ReleasedAs
    redaction: Redaction | None
    why: str
    name: str = ""
    sha256: str = ""
    size_bytes: int = 0
    made: str = ""  # how a copy without metadata was made

    @property
    def path(self) -> str:
        """Where it lies in the packet; empty when it is not sent."""
        return f"{FOLDER}/{self.name}" if self.name else ""

    @property
    def is_redacted(self) -> bool:
        """Tell whether something in it is hidden, so that the original stays in the office."""
        return self.form is ReleasedAs.REDACTED


def outgoing_photographs(
    material: Material,
    *,
    with_photographs: bool = True,
    camera_notes: bool = True,
    originals: Sequence[str] = (),
    originals_why: str = "",
) -> list[OutgoingPhotograph]:
    """Decide for each photograph; where a redacted copy stands, it goes out unless named."""
    sent = []
    for one in material.photographs:
        redaction = material.redactions.get(one.photograph.pk)
        wanted = str(one.photograph.pk) in originals
        form = released_as(
            with_photographs=with_photographs,
            camera_notes=camera_notes,
            redacted=redaction is not None,
            original_wanted=wanted,
        )
        why = redaction.why if redaction and form is ReleasedAs.REDACTED else ""
        if redaction and wanted and form is not ReleasedAs.NOT_SENT:
            why = f"A redacted copy stands ({redaction.why}); not sent, because: {originals_why}"
        sent.append(OutgoingPhotograph(one, form, redaction, why))
    return sent


def of_packet(material: Material, packet: Packet) -> list[OutgoingPhotograph]:
    """Decide as the packet was asked for."""
    return outgoing_photographs(
        material,
        with_photographs=packet.with_photographs,
        camera_notes=packet.camera_notes,
        originals=packet.originals,
        originals_why=packet.originals_why,
    )


def write_photographs(
    folder: Path, sent: Sequence[OutgoingPhotograph], beat: Callable[[int], None]
) -> list[OutgoingPhotograph]:
    """Write what goes out, each file compared with its digest; return it with names and digests.

    Raises OriginalChanged, NoCopy.
    """
    (folder / FOLDER).mkdir()
    written = []
    for done, each in enumerate(sent, start=1):
        written.append(_write(folder / FOLDER, each))
        beat(done)
    return written


def write_or_say(
    folder: Path,
    sent: Sequence[OutgoingPhotograph],
    beat: Callable[[int], None],
    *,
    instead: str,
) -> list[OutgoingPhotograph]:
    """Write what goes out; `instead` tells what helps where no copy can be made.

    Raises CannotBuild.
    """
    try:
        return write_photographs(folder, sent, beat)
    except OriginalChanged as error:
        raise CannotBuild(
            f"The stored file of photograph {error.number} no longer has its digest. "
            "Nothing was packed. Tell an administrator."
        ) from error
    except NoCopy as error:
        raise CannotBuild(
            f"No copy without metadata can be made of photograph {error.number}. {instead}"
        ) from error
    except FileNotFoundError as error:
        raise CannotBuild(
            "An original is missing from the store. Nothing was packed. Tell an administrator."
        ) from error


def _write(folder: Path, sent: OutgoingPhotograph) -> OutgoingPhotograph:
    number = sent.one.photograph.number
    if sent.form is ReleasedAs.COPY:
        return _write_copy(folder, sent)
    stored = (
        sent.redaction.file if sent.is_redacted and sent.redaction else sent.one.photograph.file
    )
    extension = EXTENSIONS.get(stored.media_type, "bin")
    name = photograph_name(number, stored.sha256, extension, sent.form)
    size = store.lend(stored, folder / name)
    if size is None:
        raise OriginalChanged(number)
    return replace(sent, name=name, sha256=stored.sha256, size_bytes=size)


def _write_copy(folder: Path, sent: OutgoingPhotograph) -> OutgoingPhotograph:
    photograph = sent.one.photograph
    content, made = _copy_without_metadata(photograph.file, photograph.number)
    sha256 = hashlib.sha256(content).hexdigest()
    name = photograph_name(photograph.number, sha256, "jpg", ReleasedAs.COPY)
    (folder / name).write_bytes(content)
    return replace(sent, name=name, sha256=sha256, size_bytes=len(content), made=made)


def _copy_without_metadata(stored: StoredFile, number: int) -> tuple[bytes, str]:
    """The whole picture without a word of the camera, from an original that is still whole."""
    if not store.is_whole(stored):
        raise OriginalChanged(number)
    try:
        with store.open_stored(stored) as original:
            return bare.copy_without_metadata(original)
    except (Image.DecompressionBombError, MemoryError, *pictures.BROKEN) as error:
        raise NoCopy(number) from error
