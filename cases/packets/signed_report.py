"""Makes the PDF of what was signed, once; every packet sends that same file."""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from uuid import UUID

from cases.packets.material import as_signed, material_of
from cases.packets.printing import print_report
from cases.review.lines import lines_of
from cases.review.models import SignedPdf
from cases.review.signed_pdf import signed_pdf_of
from cases.signatures.keeping import keep_signed_report, plan_of_report, put_signatures
from evidence import store
from me_office.audit.errors import NotKnown

LINES, MARKS = "<line>", "<mark>"


def signed_report(
    case_id: UUID,
    *,
    place: Path | None = None,
    reached: Callable[[str], None] = lambda stage: None,
) -> SignedPdf:
    """Return the kept PDF of the signed report, made now where it is not kept yet.

    It is printed in a folder of its own in `place`, else in the machine's temporary folder, and
    signed in memory: what is published is whole. Two who make it at once keep one of their files.
    `reached` is told each stage as it begins. Raises NotKnown where the report is not signed, and
    what `put_signatures` raises.
    """
    there = signed_pdf_of(case_id)
    if there is not None:
        return there
    material = material_of(case_id)
    if material.decision is None or material.draft is None:
        raise NotKnown("The report of this case is not signed.")
    plan = plan_of_report(material.draft, material.decision)
    reached("print")
    printed = print_report(
        as_signed(replace(material, plan=plan)),
        with_photographs=False,
        sent=(),
        place=place,
        asked=(LINES, MARKS),
    )
    reached("sign")
    made = put_signatures(printed.pdf, plan)
    reached("receive")
    with store.receive(io.BytesIO(made.pdf), name="report.pdf") as incoming:
        reached("keep")
        return keep_signed_report(
            material.decision.decided_by,
            draft_id=material.draft.pk,
            incoming=incoming.recognized(media_type="application/pdf"),
            pages=printed.pages,
            lines=lines_of(printed.told[LINES], printed.told[MARKS]),
            made=made,
        )
