"""A signed case of many pages and photographs, with words and colors that must not leave it."""

from __future__ import annotations

import io
import os
from dataclasses import dataclass

import pikepdf
from django.utils import timezone
from pikepdf import Dictionary, Name, String
from PIL import Image, ImageDraw

from cases.models import Case
from cases.redaction.models import DocumentRedaction
from cases.statements.models import Statement
from evidence import store
from evidence.photographs.models import Photograph
from evidence.photographs.tasks import derive_images
from evidence.store.models import StoredFile
from me_office.accounts.models import Staff
from tests.answers.traces import Color
from tests.evidence.log_rows import fill_log
from tests.evidence.pictures import add, picture_bytes
from tests.packets.builders import examined_case, sign
from tests.redaction.builders import add_document
from tests.redaction.papers import line, paper, saved, with_picture

SIZE = (320, 240)
# What lies in this part of a picture, in shares of it, is to be hidden.
PART = (0.25, 0.25, 0.75, 0.75)
FACE: Color = (255, 0, 255)
ON_PAPER: Color = (0, 255, 255)
WITHHELD_COLOR: Color = (255, 128, 0)
NAME = "Marrowby Quillfeather"
IN_CAMERA = ("Wexlow by the quay", "Tarrowmaker seven")
WITHHELD = ("Osgyth heirloom ring", "Thornbury", "Vandermeersch", "ring-of-osgyth")
TOLD = "Ladder was found beside him"
# A whole one takes a while: LARGE=260,120 in the environment answers with it.
PAGES, PHOTOGRAPHS = map(int, os.environ.get("LARGE", "12,8").split(","))
ADDED_PAGES, NAMED_ON, DRAWN_ON = 12, 5, 10


@dataclass(frozen=True)
class Large:
    """The case, and what in it is kept back."""

    case: Case
    letter: DocumentRedaction
    hidden: list[Photograph]
    ring: Photograph
    ladder: Statement
    quay: Statement


def large_case(vasko: Staff, thorne: Staff, clerk: Staff) -> Large:
    """Three photographs with a face, one of a ring, two statements, a document; more of no harm."""
    case = examined_case(vasko, pictures=[taken(FACE, shade) for shade in (60, 80, 100)])
    hidden = list(case.photograph_set.order_by("number"))
    ring = add(vasko, case, whole_of(WITHHELD_COLOR), name=f"{WITHHELD[3]}.jpg", shows=WITHHELD[0])
    first = [*hidden, ring]
    for one in first:
        derive_images(photograph_id=str(one.pk))
    finding = case.finding_set.get(number=1)
    content = picture_bytes(40)
    files = [
        kept(content + number.to_bytes(4, "big"), "image/jpeg")
        for number in range(PHOTOGRAPHS - len(first))
    ]
    fill_log(vasko, case, len(files), finding, files=files, after=len(first))
    sign(case, vasko, thorne)
    told = light_pages(PAGES, {3: TOLD})
    ladder = statement(case, clerk, "P. Sedge", told, "ladder.pdf")
    quay = statement(
        case, clerk, f"I. {WITHHELD[1]}", light_pages(2, {1: f"{WITHHELD[2]} stood there"}),
        f"{WITHHELD[1].lower()}.pdf",
    )  # fmt: skip
    letter = add_document(clerk, case, telling_document(), name="Records of the clinic")
    return Large(case, letter, hidden, ring, ladder, quay)


def taken(color: Color, shade: int) -> bytes:
    """A photograph with a block of a color, told by its camera as well, and a small one within."""
    picture = Image.new("RGB", SIZE, (shade, 120, 90))
    box = [round(share * SIZE[at % 2]) for at, share in enumerate(PART)]
    ImageDraw.Draw(picture).rectangle(box, fill=color)
    exif = Image.Exif()
    told = exif.get_ifd(0x8769)
    told[0x9286] = b"ASCII\0\0\0" + IN_CAMERA[0].encode()
    told[0x927C] = b"Maker\0" + IN_CAMERA[1].encode()
    small = io.BytesIO()
    picture.resize((80, 60)).save(small, "JPEG", quality=90)
    made = io.BytesIO()
    picture.save(made, "JPEG", quality=90, exif=with_small_picture(exif, small.getvalue()))
    return made.getvalue()


def with_small_picture(exif: Image.Exif, small: bytes) -> bytes:
    """Exif with a small picture in its second directory (Exif 2.3, 4.5.1): offset and length."""
    plain = exif.tobytes()
    head, body = plain[:6], bytearray(plain[6:])
    order = "little" if body[:2] == b"II" else "big"
    first = int.from_bytes(body[4:8], order)
    count = int.from_bytes(body[first : first + 2], order)
    after = first + 2 + 12 * count
    at = len(body)
    body[after : after + 4] = at.to_bytes(4, order)
    rows = ((0x0103, 3, 6), (0x0201, 4, at + 2 + 36 + 4), (0x0202, 4, len(small)))
    body += len(rows).to_bytes(2, order)
    for tag, kind, value in rows:
        body += tag.to_bytes(2, order) + kind.to_bytes(2, order) + (1).to_bytes(4, order)
        body += value.to_bytes(2, order) + b"\0\0" if kind == 3 else value.to_bytes(4, order)
    return bytes(head + body + b"\0\0\0\0" + small)


def whole_of(color: Color) -> bytes:
    """A photograph of nothing but a color."""
    made = io.BytesIO()
    Image.new("RGB", SIZE, color).save(made, "JPEG", quality=90)
    return made.getvalue()


def light_pages(count: int, told: dict[int, str]) -> bytes:
    """A PDF of so many short pages, with a line more on some."""
    return saved(
        paper(
            *(
                line(f"Page {number} of a deposition")
                + (line(told[number], y=80) if number in told else "")
                for number in range(1, count + 1)
            )
        )
    )


def telling_document() -> bytes:
    """A PDF that tells a name on one page and beside its pages, and shows a color on another."""
    pdf = paper(
        *(
            line(f"Clinic, sheet {number}")
            + (line(f"Seen by {NAME}", y=90) if number == NAMED_ON else "")
            for number in range(1, ADDED_PAGES + 1)
        )
    )
    block = io.BytesIO()
    Image.new("RGB", (60, 40), ON_PAPER).save(block, "JPEG", quality=90)
    with_picture(pdf, DRAWN_ON, block.getvalue(), (60, 40))
    pdf.docinfo["/Author"] = String(NAME)
    with pdf.open_metadata() as told:
        told["dc:title"] = NAME
    pdf.attachments[f"{NAME}.txt"] = NAME.encode()
    with pdf.open_outline() as outline:
        outline.root.append(pikepdf.OutlineItem(NAME, NAMED_ON - 1))
    page = pdf.pages[NAMED_ON - 1].obj
    root = pdf.make_indirect(Dictionary(Type=Name.StructTreeRoot))
    root.K = pdf.make_indirect(
        Dictionary(Type=Name.StructElem, S=Name.P, P=root, ActualText=String(NAME), Pg=page, K=0)
    )
    pdf.Root.StructTreeRoot, pdf.Root.MarkInfo = root, Dictionary(Marked=True)
    drawn = pdf.pages[DRAWN_ON - 1].obj
    drawn.Thumb = drawn.Resources.XObject.I
    return saved(pdf)


def kept(content: bytes, media_type: str) -> StoredFile:
    """A file of the store."""
    with store.receive(io.BytesIO(content), name="file") as incoming:
        return store.publish(incoming.recognized(media_type=media_type))


def statement(case: Case, by: Staff, speaker: str, content: bytes, name: str) -> Statement:
    """An earlier statement whose pages were read."""
    made: Statement = Statement.objects.create(
        case=case, kind="deposition", given_on=timezone.localdate(), speaker=speaker,
        taken_down="certified", file=kept(content, "application/pdf"), file_name=name,
        state="made", pages_read=1, lines_printed=False, created_by=by, changed_by=by,
    )  # fmt: skip
    return made
