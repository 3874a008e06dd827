"""Makes one packet, from the case file to a ZIP in a private folder.

Nothing of it can be seen before `store.publish`; a worker that is killed anywhere leaves at most
a folder and a file that no row names, which a later attempt removes.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from hashlib import sha256
from pathlib import Path
from uuid import UUID

from cases.packets import bag, queries, store
from cases.packets.actions import MadePacket, check_nothing_to_be_hidden
from cases.packets.currency import holds_now, kept
from cases.packets.curricula import of_packets, write_curricula
from cases.packets.material import Material, events_of, material_of
from cases.packets.models import Packet
from cases.packets.outgoing import (
    CannotBuild,
    OutgoingPhotograph,
    of_packet,
    write_or_say,
)
from cases.packets.printing import print_report
from cases.packets.readme import SIGNED_PDF, bag_name
from cases.packets.signed_addendum import signed_addendum
from cases.packets.signed_report import signed_report
from cases.review.rules import digest_of
from cases.signatures.keeping import plan_kept
from cases.signatures.queries import document_of_report, documents_of
from cases.signatures.second import to_keep
from evidence.store import original_chunks
from evidence.store.models import StoredFile
from me_office.audit.errors import Refused
from me_office.jobs.actions import note_progress
from me_office.jobs.running import Stage


@contextmanager
def build(
    packet_id: UUID, attempt: int, *, reached: Stage = lambda stage: None
) -> Iterator[MadePacket]:
    """Make the packet, publish its file and lend it; the block finishes it by an action.

    Where the block fails the file is removed. `reached` is told each stage as it begins. Raises
    CannotBuild.
    """
    packet = queries.packet_to_build(packet_id)
    try:
        check_nothing_to_be_hidden(packet)
    except Refused as error:
        raise CannotBuild(error.message) from error
    # Noted before it is read: what is kept in between makes the packet look older than it is.
    holds = kept(holds_now(packet.case))
    material = material_of(packet.case_id)
    _check(material)
    store.remove_left_folders()
    with store.work_folder(packet.pk, attempt) as work:
        signed = material.signed_pdf or signed_report(packet.case_id, place=work)
        material = replace(material, signed_pdf=signed)
        if material.plan is None:
            document = document_of_report(signed)
            material = replace(material, plan=plan_kept(document) if document else None)
        for one in to_keep(packet.case_id):
            signed_addendum(one.pk, place=work)
        folder = work / bag_name(material, packet)
        folder.mkdir()
        reached("photographs")
        sent = _write_photographs(folder, material, packet)
        reached("records")
        _say(packet, 50, "writes the records")
        bag.write_records(folder, material, packet, sent)
        write_curricula(folder, of_packets([packet])[packet.pk])
        if packet.with_history:
            events = events_of(packet.case_id, camera_notes=packet.camera_notes)
            bag.write_history(folder / "history.json", events)
        reached("report")
        _write_signed_report(folder, material)
        _write_signed_addenda(folder, packet.case_id)
        pages = _write_report(folder, material, packet, sent)
        reached("bag")
        _say(packet, 80, "computes the digests")
        bag.make_bag(folder, packet, material)
        reached("zip")
        _say(packet, 88, "packs the files")
        made = work / f"{folder.name}.zip"
        bag.write_zip(folder, made, name=folder.name, at=material.read_at)
        size = made.stat().st_size
        reached("publish")
        _say(packet, 95, "puts the packet into the store")
        path, digest = store.publish(made, packet_id=packet.pk, attempt=attempt)
    with store.until_finished(packet, path, attempt=attempt):
        reached("published")
        yield MadePacket(
            path=path,
            sha256=digest,
            size_bytes=size,
            pages=pages,
            photographs=sum(1 for each in sent if each.name),
            redacted=sum(1 for each in sent if each.is_redacted),
            holds=holds,
        )


def _say(packet: Packet, percent: int, step: str) -> None:
    note_progress(packet.pk, percent=percent, step=step)


def _check(material: Material) -> None:
    if not material.is_signed or material.draft is None:
        raise CannotBuild("The report of this case is not signed; only signed cases are packed.")
    if digest_of(material.content) != material.draft.sha256:
        raise CannotBuild(
            "The stored report no longer has the digest that was signed. Nothing was packed. "
            "Tell an administrator."
        )


def _write_photographs(
    folder: Path, material: Material, packet: Packet
) -> list[OutgoingPhotograph]:
    """Write what goes out; return every photograph with the form in which it does."""
    sent = of_packet(material, packet)
    if not packet.with_photographs:
        return sent

    def beat(done: int) -> None:
        _say(packet, 5 + 43 * done // len(sent), f"copies photographs, {done} of {len(sent)}")

    return write_or_say(
        folder, sent, beat,
        instead="Ask for a packet with the originals, or redact that photograph.",
    )  # fmt: skip


def _write_signed_report(folder: Path, material: Material) -> None:
    """Write the signed report's PDF as it is kept: never another one of the same text."""
    if material.signed_pdf is None:
        raise TypeError("The signed report has no PDF")
    _write_kept(material.signed_pdf.file, folder / SIGNED_PDF)


def _write_signed_addenda(folder: Path, case_id: UUID) -> None:
    """Write the signed PDF of each addendum and amendment beside its text."""
    for one in documents_of(case_id):
        if one.addendum is not None:
            name = f"{one.addendum.kind}-{one.addendum.number:02d}.pdf"
            _write_kept(one.file, folder / "addenda" / name)


def _write_kept(stored: StoredFile, there: Path) -> None:
    try:
        content = b"".join(original_chunks(stored))
    except FileNotFoundError:
        content = b""
    if sha256(content).hexdigest() != stored.sha256:
        raise CannotBuild(
            "A stored PDF of the signed report or an addendum is missing or no longer has its "
            "digest. "
            "Nothing was packed. Tell an administrator."
        )
    there.write_bytes(content)


def _write_report(
    folder: Path, material: Material, packet: Packet, sent: Sequence[OutgoingPhotograph]
) -> int:
    def beat(done: int, total: int) -> None:
        _say(packet, 52 + 20 * done // total, f"lays out photographs, {done} of {total}")

    _say(packet, 52, "prints the report")
    report = print_report(
        material,
        with_photographs=packet.with_photographs,
        sent=sent,
        beat=beat,
        place=folder.parent,
    )
    (folder / "report.pdf").write_bytes(report.pdf)
    return report.pages
