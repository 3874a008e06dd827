"""What the office keeps of an invented case: photographs, specimens, property, their custody."""

from __future__ import annotations

import hashlib
from uuid import UUID

from cases.rules.case import CaseState
from evidence.custody.models import Seal, Transfer
from evidence.custody.rules import FILE_STORE
from evidence.items.models import Item
from evidence.photographs.models import DerivedImage, Photograph, PhotographFinding
from evidence.property.models import PropertyItem
from evidence.specimens.models import Specimen
from evidence.store.models import StoredFile
from me_office.audit.ids import new_id
from tests.bench.invented import Words
from tests.bench.plan import PlannedCase
from tests.bench.rows import Book
from tests.bench.seen import Examined

SPECIMENS = [
    ("Blood", "femoral vein", "10", "mL", "toxicology"),
    ("Vitreous", "both eyes", "4", "mL", "chemistry"),
    ("Urine", "bladder", "20", "mL", "toxicology"),
    ("Liver", "right lobe", "15", "g", "toxicology"),
]


def _item(
    book: Book, case: PlannedCase, kind: str, title: str, hours: float, done: Examined
) -> UUID:
    by = case.pathologist or case.technician
    done.items += 1
    return book.record(
        Item,
        case.after(hours=hours),
        by,
        case_id=case.key,
        number=done.items,
        kind=kind,
        title=title,
        collected_at=case.after(hours=hours),
        collected_by_id=by.pk,
    )


def write_photographs(
    book: Book, words: Words, case: PlannedCase, copies: list[tuple[UUID, UUID]], done: Examined
) -> None:
    """Write the photographs, each with its copies, its seal and its way into the store."""
    by = case.pathologist
    assert by is not None
    for number in range(1, words.chance.randint(4, 9) + 1):
        at = case.after(hours=28, minutes=5 * number)
        file_key, photograph = new_id(), new_id()
        sha256 = hashlib.sha256(file_key.bytes).hexdigest()
        book.row(
            StoredFile,
            id=file_key,
            sha256=sha256,
            size_bytes=4_200_000,
            media_type="image/jpeg",
            path=f"originals/{sha256[:2]}/{sha256}",
            stored_at=at,
        )
        item = _item(book, case, "photograph", f"Photograph {number}", 28, done)
        book.next_act()
        book.record(
            Photograph,
            at,
            by,
            act="add_photograph",
            id=photograph,
            case_id=case.key,
            item_id=item,
            number=number,
            file_id=file_key,
            original_name=f"DSC_{number:04d}.JPG",
            taken_at=at,
            photographer=by.display_name,
            place="examination",
            view=["overview", "mid-range", "close-up"][number % 3],
            with_scale=number % 2 == 0,
            region="chest",
            shows=words.text(1),
            width_px=4000,
            height_px=3000,
            exif={"make": "Invented", "model": "One"},
            preview="made",
        )
        for kind, copy in zip(("thumb", "screen"), words.chance.choice(copies), strict=True):
            book.row(
                DerivedImage,
                id=new_id(),
                photograph_id=photograph,
                kind=kind,
                file_id=copy,
                method="invented",
                made_at=at,
            )
        if number <= len(done.findings):
            link = {"photograph_id": photograph, "finding_id": done.findings[number - 1]}
            book.record(PhotographFinding, at, by, case_id=case.key, **link)
        seal = {"item_id": item, "kind": "digest", "number": sha256, "applied_by": FILE_STORE}
        book.record(Seal, at, by, case_id=case.key, applied_at=at, **seal)
        _transfer(book, case, item, by.display_name, FILE_STORE, 28.9, seal="intact")


def write_items(book: Book, case: PlannedCase, done: Examined) -> None:
    """Write specimens and property, sealed and handed on."""
    by = case.pathologist
    assert by is not None
    for number, (material, site, amount, unit, purpose) in enumerate(SPECIMENS):
        item = _item(book, case, "specimen", f"{material}, {site}", 29, done)
        book.next_act()
        book.record(
            Specimen,
            case.after(hours=29),
            by,
            act="take_specimen",
            case_id=case.key,
            item_id=item,
            material=material,
            site=site,
            amount=amount,
            unit=unit,
            container="Gray-top tube",
            preservative="Sodium fluoride",
            purpose=purpose,
        )
        done.taken.append(item)
        done.specimens.append([str(done.items), material, site, f"{amount} {unit}", purpose])
        _seal_and_keep(book, case, item, seal=f"S{case.index:06d}-{number}")
        if number == 0:
            _send(book, case, item)
    item = _item(book, case, "property", "Wrist watch", 8, done)
    book.next_act()
    book.record(
        PropertyItem,
        case.after(hours=8),
        case.technician,
        act="record_property",
        case_id=case.key,
        item_id=item,
        description="A steel wrist watch with a brown strap.",
        category="valuables",
        kept_as="property",
        found="on the body",
        found_at="left wrist",
        witnessed_by=case.investigator.display_name,
    )
    _seal_and_keep(book, case, item, seal=f"P{case.index:06d}")


def _seal_and_keep(book: Book, case: PlannedCase, item: UUID, *, seal: str) -> None:
    at, by = case.after(hours=29.5), case.technician
    applied = {"applied_at": at, "applied_by": by.display_name}
    book.record(
        Seal,
        at,
        by,
        act="apply_seal",
        case_id=case.key,
        item_id=item,
        kind="numbered",
        number=seal,
        **applied,
    )
    taker = (case.technician.display_name, "Specimen refrigerator 2")
    giver = (case.pathologist or case.investigator).display_name
    _transfer(book, case, item, giver, taker[0], 30, seal="intact", staff=case.technician.pk)
    # What is under work may still be in somebody's hands.
    if case.state is not CaseState.OPEN or case.index % 4:
        _transfer(book, case, item, taker[0], taker[1], 32, seal="intact", act="record_transfer")


def _send(book: Book, case: PlannedCase, item: UUID) -> None:
    if case.state is CaseState.SIGNED:
        taker = "Larch toxicology laboratory"
        _transfer(book, case, item, "Specimen refrigerator 2", taker, 60, seal="intact")


def _transfer(
    book: Book,
    case: PlannedCase,
    item: UUID,
    giver: str,
    taker: str,
    hours: float,
    *,
    seal: str,
    staff: UUID | None = None,
    act: str = "",
) -> None:
    at = case.after(hours=hours)
    book.record(
        Transfer,
        at,
        case.technician,
        act=act,
        case_id=case.key,
        item_id=item,
        from_party=giver,
        to_party=taker,
        to_staff_id=staff,
        at=at,
        place="Examination suite",
        purpose="storage",
        seal_state=seal,
    )
