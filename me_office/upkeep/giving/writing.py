"""Writes the folder: each case a folder, the office's tables, a guide, the digests as a bag."""

from __future__ import annotations

import hashlib
import json
import os
import shutil
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

from django.conf import settings
from django.core.files.storage import default_storage
from django.db import connection, transaction
from django.db.models import Max
from django.utils import timezone

from cases.models import Case
from cases.packets.bag import write_drawings
from cases.packets.custody_record import custody_rows, custody_values
from cases.packets.material import Material, material_of, signed_bytes
from cases.packets.models import Packet
from cases.packets.outgoing import EXTENSIONS
from cases.packets.printing import print_report
from evidence import store
from evidence.fixity.queries import links_to_files
from evidence.photographs.models import DerivedImage
from me_office.audit.models import AuditEvent
from me_office.csv_lines import csv_lines
from me_office.upkeep.giving import shapes
from me_office.upkeep.giving.guide import guide

PIECE = 1 << 20
ENDINGS = {**EXTENSIONS, "application/pdf": "pdf"}
LAST = "last-event.txt"
# Of pictures, and of what was said before.
ENDINGS = {**EXTENSIONS, "application/pdf": "pdf", "text/plain": "txt"}


@dataclass
class Given:
    """What was given out, and what could not be."""

    cases: int = 0
    restricted: int = 0
    written: int = 0
    not_whole: list[str] = field(default_factory=list)


def give_out(folder: Path, *, say: Callable[[str], object]) -> Given:
    """Write everything; a case that is there already and did not change since is left as it is."""
    data, given = folder / "data", Given()
    (data / "cases").mkdir(parents=True, exist_ok=True)
    for left in (data / "cases").glob("part-*"):
        shutil.rmtree(left)
    for case in Case.objects.select_related("decedent").order_by("pk").iterator(chunk_size=200):
        given.cases += 1
        given.restricted += case.restricted
        given.written += _give_case(data / "cases", case, given)
        if given.cases % 100 == 0:
            say(f"{given.cases} cases ...")
    _give_office(data, given)
    say("Digests ...")
    _make_bag(folder)
    return given


def folder_of(case: Case) -> str:
    """Return the name of a case's folder: its number, or the end of its key before it has one."""
    plain = "".join(sign if sign.isalnum() else "-" for sign in case.label)
    return f"{plain}-{case.pk.hex[-8:]}"


def _give_case(cases: Path, case: Case, given: Given) -> bool:
    last = AuditEvent.objects.filter(case_id=case.pk).aggregate(last=Max("id"))["last"] or 0
    there, part = cases / folder_of(case), cases / f"part-{case.pk}"
    before = there / LAST
    if before.is_file() and before.read_text().strip() == str(last):
        if missing := (there / "not-whole.txt"):
            given.not_whole += missing.read_text().splitlines() if missing.is_file() else []
        return False
    part.mkdir()
    with transaction.atomic():
        with connection.cursor() as cursor:
            cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ")
            # A large file, or a store that is waited for, takes as long as it takes.
            cursor.execute("SET LOCAL idle_in_transaction_session_timeout = 0")
        _write_rows(part, case)
        _write_report(part, material_of(case.pk))
        not_whole = list(_write_files(part, case))
    if not_whole:
        (part / "not-whole.txt").write_text("\n".join(not_whole) + "\n")
        given.not_whole += not_whole
    (part / LAST).write_text(f"{last}\n")
    shutil.rmtree(there, ignore_errors=True)
    part.rename(there)
    return True


def _write_rows(folder: Path, case: Case) -> None:
    _write(folder / "case.jsonl", shapes.lines(Case.objects.filter(pk=case.pk)))
    for model in shapes.of_a_case():
        rows = model._base_manager.filter(case_id=case.pk)
        if rows.exists():
            _write(folder / "records" / f"{model._meta.label_lower}.jsonl", shapes.lines(rows))


def _write_report(folder: Path, material: Material) -> None:
    (folder / "report.json").write_bytes(signed_bytes(material.content))
    values = json.dumps(custody_values(material.custody), default=str, ensure_ascii=False, indent=1)
    (folder / "custody.json").write_text(values, encoding="utf-8")
    _write(folder / "custody.csv", csv_lines(custody_rows(material.custody)))
    write_drawings(folder, material)
    if material.draft is not None:
        (folder / "report.pdf").write_bytes(print_report(material, with_photographs=False).pdf)


def _write_files(folder: Path, case: Case) -> Iterator[str]:
    """Write every file of a case but the smaller copies, which are made again; yield what fails."""
    rows = [["file", "SHA-256", "bytes", "record", "key"]]
    for path, there, sha256, size, label, key in _files_of(case):
        rows.append([there, sha256, str(size), label, key])
        if problem := _copy(path, folder / there, sha256):
            yield f"{folder_of(case)}/{there}: {problem}"
    _write(folder / "files.csv", csv_lines(rows))


def _files_of(case: Case) -> Iterator[tuple[str, str, str, int, str, str]]:
    for link in links_to_files():
        if link.model is DerivedImage:
            continue
        label, kind = link.model._meta.label_lower, link.model._meta.model_name
        rows = link.model._base_manager.filter(case_id=case.pk, **{f"{link.name}__isnull": False})
        for row in rows.select_related(link.name).order_by("pk"):
            stored = getattr(row, link.name)
            ending = ENDINGS.get(stored.media_type, "bin")
            number = f"{row.number:04}" if hasattr(row, "number") else str(row.pk)
            name = f"files/{kind}/{number}-{link.name}-{stored.sha256[:16]}.{ending}"
            yield stored.path, name, stored.sha256, stored.size_bytes, label, str(row.pk)
    for packet in Packet.objects.filter(case=case).exclude(path="").order_by("number"):
        name = f"files/packet/{packet.number:04}-{packet.sha256[:16]}.zip"
        size = packet.size_bytes or 0
        yield packet.path, name, packet.sha256, size, "packets.packet", str(packet.pk)


def _copy(path: str, there: Path, sha256: str) -> str:
    """Copy one file; say what is wrong with it, in which case nothing of it is kept."""
    there.parent.mkdir(parents=True, exist_ok=True)
    digest = hashlib.sha256()
    try:
        with default_storage.open(path) as source, there.open("wb") as file:
            while piece := source.read(PIECE):
                digest.update(piece)
                file.write(piece)
    except FileNotFoundError:
        there.unlink(missing_ok=True)
        return "missing in the store"
    except store.StoreFault:
        there.unlink(missing_ok=True)
        return "altered while it was read"
    except OSError:
        if store.can_be_read(path):
            raise  # the folder is full or away
        there.unlink(missing_ok=True)
        return "cannot be read in the store"
    if digest.hexdigest() != sha256:
        there.unlink()
        return "altered in the store"
    return ""


def _give_office(data: Path, given: Given) -> None:
    for model in shapes.of_the_office():
        rows = model._base_manager.all()
        _write(data / "office" / f"{model._meta.label_lower}.jsonl", shapes.lines(rows))
    for model in shapes.of_a_case():
        rows = model._base_manager.filter(case_id=None)
        if rows.exists():
            name = f"{model._meta.label_lower}-of-no-case.jsonl"
            _write(data / "office" / name, shapes.lines(rows))
    _write(data / "cases.csv", csv_lines(_list_of_cases()))
    (data / "README.txt").write_text(guide(given.cases, given.restricted), encoding="utf-8")


def _list_of_cases() -> Iterator[list[str]]:
    yield ["folder", "case", "state", "decedent", "reported", "restricted"]
    for case in Case.objects.select_related("decedent").order_by("pk").iterator(chunk_size=500):
        yield [
            f"cases/{folder_of(case)}", case.label, str(case.state), case.decedent.full_name,
            case.created_at.isoformat(timespec="seconds"), "yes" if case.restricted else "no",
        ]  # fmt: skip


def _write(there: Path, text: Iterable[str]) -> None:
    there.parent.mkdir(parents=True, exist_ok=True)
    with there.open("w", encoding="utf-8", newline="") as file:
        file.writelines(text)


def _make_bag(folder: Path) -> None:
    """Write the tag files of RFC 8493, sections 2.1 and 2.2; large files are read in pieces."""
    tags = {
        "bagit.txt": "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n",
        "bag-info.txt": f"Source-Organization: {settings.OFFICE_NAME}\n"
        f"Bagging-Date: {timezone.localdate():%Y-%m-%d}\n"
        "External-Description: All records of the office\n",
    }
    for name, text in tags.items():
        (folder / name).write_text(text, encoding="utf-8")
    with (folder / "part-manifest").open("w", encoding="utf-8") as manifest:
        for path in sorted((folder / "data").rglob("*")):
            if path.is_file():
                manifest.write(f"{_digest(path)}  {path.relative_to(folder).as_posix()}\n")
        manifest.flush()
        os.fsync(manifest.fileno())
    (folder / "part-manifest").rename(folder / "manifest-sha256.txt")
    names = ("bag-info.txt", "bagit.txt", "manifest-sha256.txt")
    lines = [f"{_digest(folder / name)}  {name}\n" for name in names]
    (folder / "tagmanifest-sha256.txt").write_text("".join(lines), encoding="utf-8")


def _digest(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
