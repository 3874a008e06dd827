"""A set as PDF for the courtroom: an exhibit a page, and nothing that the court did not ask for."""

from __future__ import annotations

import io
import tempfile
from collections.abc import Sequence
from pathlib import Path

from django.conf import settings
from PIL import Image

from cases.exhibits import actions, queries
from cases.exhibits.actions import Bound
from cases.exhibits.models import Exhibit, ExhibitPdf, ExhibitPicture
from cases.exhibits.printing import alternative
from cases.exhibits.sheets import lies_wide
from evidence import store
from evidence.imaging import pictures
from me_office.audit.errors import Refused
from me_office.jobs.actions import note_progress
from me_office.jobs.running import Stage
from me_office.typesetting import Typeset, typeset

TEMPLATE = Path(__file__).parent / "typst" / "exhibits.typ"
MEDIA_TYPE = "application/pdf"
# The longer side of a letter page at 240 points an inch.
PRINTED_PX = 2400


def make(asked: ExhibitPdf, *, reached: Stage = lambda stage: None) -> ExhibitPdf:
    """Make the PDF that was asked for and keep it, by one action as the last step.

    `reached` is told each stage as it begins. Raises OfficeError.
    """
    reached("read")
    exhibits = queries.exhibits_to_present(asked.exhibit_set)
    actions.check_printable(asked.case, exhibits)
    contents = queries.contents_of(asked, exhibits)
    reached("draw")
    made = bind(asked, exhibits)
    note_progress(asked.pk, percent=90, step="puts the PDF into the store")
    with store.receive(io.BytesIO(made.pdf), name="exhibits") as file:
        reached("publish")
        return actions.finish_exhibit_pdf(
            asked.created_by,
            request_id=asked.pk,
            attempt=asked.attempts,
            bound=Bound(file.recognized(media_type=MEDIA_TYPE), made.pages, contents),
        )


def bind(asked: ExhibitPdf, exhibits: Sequence[Exhibit]) -> Typeset:
    """Compile the pages of these exhibits; a request gives the same bytes again.

    Raises Refused.
    """
    with tempfile.TemporaryDirectory(prefix="exhibits-") as name:
        folder = Path(name)
        pages = []
        for done, exhibit in enumerate(exhibits, start=1):
            pages.append(_page(asked, exhibit, folder))
            percent = 5 + 70 * done // len(exhibits)
            note_progress(asked.pk, percent=percent, step=f"exhibit {done} of {len(exhibits)}")
        note_progress(asked.pk, percent=80, step="sets the pages")
        # The moment of the request: made again, the file has the same bytes.
        return typeset(TEMPLATE, folder, {"exhibits": pages}, at=asked.created_at)


def _page(asked: ExhibitPdf, exhibit: Exhibit, folder: Path) -> dict[str, object]:
    shown, sizes = [], []
    for picture in exhibit.pictures:
        copy = _copy(picture)
        with Image.open(io.BytesIO(copy)) as read:
            sizes.append(read.size)
        file = f"{exhibit.pk}-{picture.place}.jpg"
        (folder / file).write_bytes(copy)
        caption = alternative(exhibit, picture.label)
        number = f"Exhibit {exhibit.number}{', ' if picture.label else ''}{picture.label}"
        shown.append({"file": file, "alternative": caption if asked.with_captions else number})
    numbers = ", ".join(str(one.number) for one in exhibit.photographs)
    several = "s" if len(shown) > 1 else ""
    return {
        "number": exhibit.number,
        "caption": exhibit.caption if asked.with_captions else "",
        "photographs": f"photograph{several} {numbers}" if asked.with_photograph_numbers else "",
        "pictures": shown,
        "columns": exhibit.columns,
        "wide": lies_wide(sizes, columns=exhibit.columns, paper=settings.OFFICE_PAPER),
    }


def _copy(picture: ExhibitPicture) -> bytes:
    """The picture as it is shown, without any metadata, from a file that is still whole."""
    redaction = picture.redaction
    stored = redaction.file if redaction else picture.photograph.file
    number = picture.photograph.number
    if not store.is_whole(stored):
        raise Refused(
            f"The stored file of photograph {number} no longer has its digest. Nothing was made "
            "from it. Tell an administrator."
        )
    try:
        with store.open_stored(stored) as file:
            return pictures.smaller_copy(file, longest_px=PRINTED_PX)
    except (Image.DecompressionBombError, MemoryError, *pictures.BROKEN) as error:
        raise Refused(f"No copy of photograph {number} can be made here.") from error
