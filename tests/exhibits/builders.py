"""Photographs with smaller copies, sets and redactions for these tests."""

from __future__ import annotations

import io
from functools import cache
from typing import Any

from PIL import Image

from cases.exhibits import actions, redacting, tasks
from cases.exhibits.models import Exhibit, ExhibitSet, Redaction
from cases.models import Case
from evidence.photographs.models import Photograph
from evidence.photographs.tasks import derive_images
from me_office.accounts.models import Staff
from me_office.audit.ids import new_id
from tests.evidence.pictures import add, link_to, make_finding

SIZE = (160, 120)
FACE = {"shape": "rectangle", "manner": "cover", "points": [[40, 30], [80, 70]]}


@cache
def noisy_picture(seed: int = 1, size: tuple[int, int] = SIZE, **saved: Any) -> bytes:
    """A picture in which no two neighboring points are alike, without loss."""
    picture = Image.new("RGB", size)
    picture.putdata(
        [
            ((x * 37 + y * 91 + seed * 13) % 256, (x * y + seed * 7) % 256, (x * 11 + seed) % 256)
            for y in range(size[1])
            for x in range(size[0])
        ]
    )
    buffer = io.BytesIO()
    picture.save(buffer, "PNG", **saved)
    return buffer.getvalue()


def make_photograph(by: Staff, case: Case, seed: int = 1, **fields: Any) -> Photograph:
    """A photograph of the case whose smaller copies are made."""
    values = {"shows": f"Right side of the back, {seed}", **fields}
    photograph = add(by, case, noisy_picture(seed), name="DSC_0001.png", **values)
    derive_images(photograph_id=str(photograph.pk))
    return photograph


def make_set(by: Staff, case: Case, **fields: Any) -> ExhibitSet:
    """An exhibit set."""
    entry = {"title": "Trial, county against Doe", "court": "Circuit Court", **fields}
    return actions.make_exhibit_set(by, case_id=case.pk, record_id=new_id(), entry=entry)


def make_exhibit(by: Staff, into: ExhibitSet, photograph: Photograph, **entry: Any) -> Exhibit:
    """A photograph in a set."""
    return actions.add_exhibit(
        by,
        case_id=into.case_id,
        set_id=into.pk,
        record_id=new_id(),
        photograph_id=photograph.pk,
        entry=entry,
    )


def make_redaction(by: Staff, photograph: Photograph, *regions: Any, **other: Any) -> Redaction:
    """A redacted copy of a photograph, asked for and made."""
    values = {
        "case_id": photograph.case_id,
        "photograph_id": photograph.pk,
        "record_id": new_id(),
        "version": 0,
        "entries": list(regions) or [FACE],
        "reason": "Face of a bystander",
        **other,
    }
    asked = redacting.ask(by, **values)
    tasks.make_redaction(request_id=str(asked.pk))
    return Redaction.objects.get(pk=asked.pk)


def link_contusion(by: Staff, case: Case, photograph: Photograph, number: int = 4) -> None:
    """Say that a photograph shows a contusion."""
    link_to(by, photograph, make_finding(case, by, number=number))
