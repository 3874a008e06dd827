"""Makes the PDF of what was signed, once; every packet sends that same file."""

from __future__ import annotations

import io
from pathlib import Path
from uuid import UUID

from cases.packets.material import as_signed, material_of
from cases.packets.printing import print_report
from cases.review.lines import lines_of
from cases.review.models import SignedPdf
from cases.review.signed_pdf import keep_signed_pdf, signed_pdf_of
from evidence import store
from me_office.audit.errors import NotKnown

LINES, MARKS = "<line>", "<mark>"


def signed_report(case_id: UUID, *, place: Path | None = None) -> SignedPdf:
    """Return the kept PDF of the signed report, made now where it is not kept yet.

    It is printed in a folder of its own in `place`, else in the machine's temporary folder.
    The same content gives the same bytes, so two who make it at once make one file. Raises NotKnown
    where the report is not signed.
    """
    there = signed_pdf_of(case_id)
    if there is not None:
        return there
    material = material_of(case_id)
    if material.decision is None or material.draft is None:
        raise NotKnown("The report of this case is not signed.")
    printed = print_report(
        as_signed(material),
        with_photographs=False,
        sent=(),
        place=place,
        asked=(LINES, MARKS),
    )
    with store.receive(io.BytesIO(printed.pdf), name="report.pdf") as incoming:
        return keep_signed_pdf(
            material.decision.decided_by,
            draft_id=material.draft.pk,
            incoming=incoming.recognized(media_type="application/pdf"),
            pages=printed.pages,
            lines=lines_of(printed.told[LINES], printed.told[MARKS]),
        )
