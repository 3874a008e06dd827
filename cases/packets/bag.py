"""The packet's files, as a bag (RFC 8493) in one ZIP that can be checked without this service."""

from __future__ import annotations

import hashlib
import json
import logging
import zipfile
from collections.abc import Iterable, Sequence
from datetime import datetime
from pathlib import Path
from uuid import UUID

import bagit
from django.conf import settings

from cases.packets.custody_record import custody_rows, custody_values
from cases.packets.material import Material, signed_bytes
from cases.packets.measured import measurement_rows, measurement_values
from cases.packets.models import Packet
from cases.packets.outgoing import EXTENSIONS, OutgoingPhotograph
from cases.packets.photograph_log import log_rows, log_values, redaction_rows, redaction_values
from cases.packets.readme import readme_text
from cases.signatures.actions import office_list
from cases.signatures.keeping import roots_by_name
from evidence.store import CHUNK
from me_office.csv_lines import csv_lines
from me_office.shell.templatetags.office import moment

# These are compressed already; packing them again takes time and saves nothing.
STORED = frozenset(EXTENSIONS.values()) | {"pdf"}

# The library reports every file; a packet's names belong in no log.
logging.getLogger("bagit").setLevel(logging.WARNING)


def write_records(
    folder: Path, material: Material, packet: Packet, sent: Sequence[OutgoingPhotograph]
) -> None:
    """Write everything but the pictures and the PDF."""
    (folder / "report.json").write_bytes(signed_bytes(material.content))
    write_json(folder / "photograph-log.json", log_values(material, sent))
    write_csv(folder / "photograph-log.csv", log_rows(sent))
    write_json(folder / "custody.json", custody_values(material.custody))
    write_csv(folder / "custody.csv", custody_rows(material.custody))
    if material.measurements:
        write_json(folder / "measurements.json", measurement_values(material.measurements))
        write_csv(folder / "measurements.csv", measurement_rows(material.measurements))
    if any(each.is_redacted for each in sent):
        write_json(folder / "redactions.json", redaction_values(sent))
        write_csv(folder / "redactions.csv", redaction_rows(sent))
    write_drawings(folder, material)
    _write_signatures(folder / "signatures", material)
    if material.addenda:
        _write_addenda(folder / "addenda", material)
    words = readme_text(material, packet, sent)
    (folder / "README.txt").write_text(words, encoding="utf-8")


def write_drawings(folder: Path, material: Material) -> None:
    """The body chart, and what is drawn over photographs, each view and picture a file."""
    charts = folder / "body-chart"
    charts.mkdir()
    for chart in material.charts:
        (charts / f"{chart.view}.svg").write_text(chart.svg, encoding="utf-8")
    for one in material.photographs:
        overlay = material.overlay_of(one)
        if overlay:
            there = folder / "outlines" / f"P-{one.photograph.number:03d}.svg"
            there.parent.mkdir(exist_ok=True)
            there.write_text(overlay, encoding="utf-8")


def write_history(path: Path, events: list[dict[str, object]]) -> None:
    """Write every change of the case file, oldest first."""
    write_json(path, events)


def write_json(path: Path, value: object) -> None:
    """Write a value so that people can read it too."""
    text = json.dumps(value, ensure_ascii=False, indent=1, default=str)
    path.write_text(text + "\n", encoding="utf-8")


def write_csv(path: Path, rows: Iterable[list[str]]) -> None:
    """Write rows as the office writes every list."""
    with path.open("w", encoding="utf-8", newline="") as file:
        file.writelines(csv_lines(rows))


def _write_signatures(folder: Path, material: Material) -> None:
    """Write what a reader needs beside the signed report: roots, and which ones were revoked."""
    if material.plan is None or not material.plan.is_digital:
        return
    folder.mkdir()
    for name, pem in roots_by_name(material.plan):
        (folder / name).write_text(pem, encoding="ascii")
    revoked = office_list(material.read_at)
    if revoked is not None:
        (folder / "revoked.crl").write_bytes(revoked)


def _write_addenda(folder: Path, material: Material) -> None:
    folder.mkdir()
    for one in material.addenda:
        amends = f"In place of: {one.amends}\n\n" if one.amends else ""
        text = (
            f"{one.kind.capitalize()} {one.number} to the report of case {material.case.label}\n"
            f"{one.made_by.printed_name}, {moment(one.made_at)}\n\n"
            f"{amends}{one.text}\n\nReason: {one.why}\n"
        )
        (folder / f"{one.kind}-{one.number:02d}.txt").write_text(text, encoding="utf-8")


def make_bag(folder: Path, packet: Packet, material: Material) -> None:
    """Turn a folder into a bag: its files move under data/, the tag files are written.

    RFC 8493, sections 2.1 and 2.2: payload manifest and tag manifest by SHA-256, bag-info.txt.
    """
    asked = packet.request
    make_bag_of(
        folder,
        contact=packet.created_by.printed_name,
        what=(
            f"Release packet {packet.number} of case {material.case.label} for "
            f"{asked.get_kind_display()}, {_one_line(asked.party)}"
        ),
        case_label=material.case.label,
        key=packet.pk,
        at=material.read_at,
    )


def make_bag_of(
    folder: Path, *, contact: str, what: str, case_label: str, key: UUID, at: datetime
) -> None:
    """Turn any folder into a bag of the office; `what` describes it in one line."""
    bagit.make_bag(
        str(folder),
        {
            "Source-Organization": settings.OFFICE_NAME,
            "Organization-Address": settings.OFFICE_ADDRESS,
            "Contact-Name": contact,
            **({"Contact-Phone": settings.OFFICE_PHONE} if settings.OFFICE_PHONE else {}),
            "External-Description": _one_line(what),
            "External-Identifier": case_label,
            "Internal-Sender-Identifier": str(key),
            "Bagging-Date": f"{at.astimezone(settings.OFFICE_ZONE):%Y-%m-%d}",
            "Bag-Software-Agent": "Medical examiner's office, with bagit for Python",
        },
        checksums=["sha256"],
        processes=1,
    )
    _raise_to_rfc(folder)


def _one_line(text: str) -> str:
    return " ".join(text.split())


def _raise_to_rfc(bag: Path) -> None:
    """Declare the version of the RFC, and write the tag manifest as `sha256sum -c` reads it.

    The library declares 0.97, the draft before the RFC, and puts one space between digest and
    name; both are valid, but the commands that the README names should just work.
    """
    (bag / "bagit.txt").write_text(
        "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n", encoding="utf-8"
    )
    tags = ("bag-info.txt", "bagit.txt", "manifest-sha256.txt")
    lines = [f"{hashlib.sha256((bag / name).read_bytes()).hexdigest()}  {name}\n" for name in tags]
    (bag / "tagmanifest-sha256.txt").write_text("".join(lines), encoding="utf-8")


def write_zip(bag: Path, there: Path, *, name: str, at: datetime) -> None:
    """Pack a bag: one folder inside, in the order of names, all with the same time."""
    when = at.astimezone(settings.OFFICE_ZONE).timetuple()[:6]
    with zipfile.ZipFile(there, "w", zipfile.ZIP_DEFLATED, allowZip64=True) as packed:
        for path in sorted(path for path in bag.rglob("*") if path.is_file()):
            entry = zipfile.ZipInfo(f"{name}/{path.relative_to(bag).as_posix()}", when)
            stored = path.suffix.lstrip(".") in STORED
            entry.compress_type = zipfile.ZIP_STORED if stored else zipfile.ZIP_DEFLATED
            entry.external_attr = 0o444 << 16
            entry.file_size = path.stat().st_size
            with path.open("rb") as source, packed.open(entry, "w") as target:
                while chunk := source.read(CHUNK):
                    target.write(chunk)
