"""What the office needs of the machine: folders, room, programs, settings."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Iterator
from datetime import UTC, datetime
from io import BytesIO
from pathlib import Path

from django.conf import settings

from me_office.environment.together import MAY_BE_FIXED, why_no_folder
from me_office.typesetting import typeset
from me_office.upkeep.conditions import DEAR_SECONDS, Said, condition, dangerous, right, wrong

# Below this many free entries a disk with room refuses new files all the same.
FEW_ENTRIES = 10_000
# A worker unpacks a packet's pictures there.
TEMPORARY_BYTES = 10**9
PLAIN = """
#import "office.typ": office-document
#show: office-document.with(title: "Plain")
= Plain
#context [#metadata(counter(page).final().first()) <pages>]
"""


def folders() -> dict[str, Path]:
    """Return the folders that the office writes to, each by what names it."""
    found = {"ME_DATA_DIR": settings.DATA_DIR, "ME_SPOOL_DIR": settings.SPOOL_DIR}
    if settings.STORE_IS_FOLDER:
        found["ME_FILE_STORE"] = settings.FILE_STORE
    return found


@condition("folders")
def writable() -> Iterator[Said]:
    """Can the office's account write where it has to, and can nobody else read there?"""
    found = []
    if os.geteuid() == 0:
        found.append(
            dangerous(
                "This runs as root, who may write everywhere: it says nothing of the office's "
                "account, and a web process of root's is the machine's owner.",
                "Run everything as the office's account: runuser -u office -- ...",
            )
        )
    for name, path in folders().items():
        # The web process makes the spool folder itself.
        fault = why_no_folder(
            path if path.exists() or name != "ME_SPOOL_DIR" else path.parent,
            may_be_fixed=name == MAY_BE_FIXED,
        )
        if fault:
            found.append(wrong(f"{name} {fault}.", f"install -d -m 700 -o office {path}"))
        elif name != "ME_DATA_DIR" and path.exists() and path.stat().st_mode & 0o007:
            found.append(
                dangerous(
                    f"Every account of the machine can look into {path} ({name}).",
                    f"chmod o-rwx {path}",
                )
            )
    yield from found or [right("They are there, writable, and closed to others.")]


@condition("disk room")
def room() -> Iterator[Said]:
    """Is there room on every disk that is written to?"""
    found = []
    for names, path, wanted in _disks():
        free, entries = room_at(path)
        if free < wanted:
            found.append(
                dangerous(
                    f"{free / 10**9:.1f} GB are left on the disk of {names}, less than "
                    f"{wanted / 10**9:.1f} GB: uploads and packets fail when it is full.",
                    "Make room, or move a folder to a larger disk. Delete nothing in the file "
                    "store.",
                )
            )
        if entries is not None and entries < FEW_ENTRIES:
            found.append(
                dangerous(
                    f"The disk of {names} can take {entries} more files, whatever their size.",
                    "Take files away on that disk (df -i), or make its file system anew.",
                )
            )
    yield from found or [right("There is room on every disk that is written to.")]


def _disks() -> list[tuple[str, Path, int]]:
    """Return each disk once: what lies on it, a folder of it, and the bytes to be left."""
    little = settings.STORE_LITTLE_ROOM_BYTES
    places = [(name, path, little) for name, path in folders().items()]
    temporary = Path(tempfile.gettempdir())
    places.append((str(temporary), temporary, min(TEMPORARY_BYTES, little)))
    found: dict[int, tuple[str, Path, int]] = {}
    for name, path, wanted in places:
        there = next((one for one in (path, *path.parents) if one.exists()), Path("/"))
        disk = there.stat().st_dev
        names, first, most = found.get(disk, ("", there, 0))
        found[disk] = (f"{names}, {name}".lstrip(", "), first, max(most, wanted))
    return list(found.values())


def room_at(path: Path) -> tuple[int, int | None]:
    """Return the bytes and the entries left on a disk; None where entries are not counted."""
    counted = os.statvfs(path)
    return shutil.disk_usage(path).free, counted.f_favail if counted.f_files else None


@condition("documents", patience=20, good_for=DEAR_SECONDS)
def documents() -> Iterator[Said]:
    """Can reports and packets be typeset?"""
    try:
        with tempfile.TemporaryDirectory(prefix="ready-") as name:
            template, folder = Path(name) / "plain.typ", Path(name) / "made"
            folder.mkdir()
            template.write_text(PLAIN)
            made = typeset(template, folder, {}, at=datetime.now(UTC))
    except Exception as error:  # whatever it is, no report can be printed
        yield wrong(
            f"No PDF can be made ({type(error).__name__}): reports and packets wait.",
            "Install requirements.txt again, and look for room in TMPDIR.",
        )
        return
    if not made.pdf.startswith(b"%PDF-"):
        yield wrong("What is made is no PDF.", "Install requirements.txt again.")
        return
    yield right("PDFs can be made.")


@condition("pictures", patience=20, good_for=DEAR_SECONDS)
def pictures() -> Iterator[Said]:
    """Can photographs of every kind be read, and previews be made?"""
    try:
        import pillow_heif
        import rawpy
        from PIL import Image

        kept = BytesIO()
        Image.new("RGB", (8, 8), "gray").save(kept, "JPEG")
        Image.open(BytesIO(kept.getvalue())).load()
        pillow_heif.from_pillow(Image.new("RGB", (64, 64), "gray")).save(BytesIO())
        missing = [name for name, there in (("raw", rawpy.flags),) if not there]
    except Exception as error:
        yield wrong(
            f"Photographs can't be read ({type(error).__name__}): they are kept without previews.",
            "Install requirements.txt again.",
        )
        return
    if missing:
        yield wrong("Camera raw can't be read.", "Install requirements.txt again.")
        return
    yield right("JPEG, HEIC and camera raw can be read.")


@condition("settings")
def as_set() -> Iterator[Said]:
    """Is nothing set that is meant for a try-out?"""
    found = list(_not_for_production())
    yield from found or [right("Nothing is set that is meant for a try-out.")]


def _not_for_production() -> Iterator[Said]:
    if settings.DEBUG:
        yield dangerous("ME_DEBUG shows code and settings to everybody.", "Take ME_DEBUG away.")
    if settings.EMBEDDED:
        return
    if settings.TESTING:
        yield dangerous("ME_TESTING takes checks away.", "Take ME_TESTING away.")
    if not settings.HTTPS:
        yield dangerous(
            "ME_HTTPS is 0: passwords and cookies can be read on the way.",
            "Put a proxy with TLS in front and take ME_HTTPS away.",
        )
    elif not settings.TRUSTED_PROXIES:
        yield wrong(
            "ME_TRUSTED_PROXIES names no proxy: every request is sent to https for ever.",
            "Name the proxy that speaks TLS, such as 127.0.0.1.",
        )
    if not settings.REQUIRE_SECOND_FACTOR:
        yield dangerous(
            "ME_REQUIRE_SECOND_FACTOR is 0: a password that is given away is enough.",
            "Take ME_REQUIRE_SECOND_FACTOR away.",
        )
