"""A case whose exhibit shows a contusion: examined, photographed with a scale, in a set."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from cases.exhibits.models import Exhibit, ExhibitSet
from cases.models import Case
from evidence.photographs.models import Photograph
from findings.models import Examination, Finding
from me_office.accounts.models import Staff
from tests.builders import make_case
from tests.evidence.pictures import link_to
from tests.exhibits.builders import make_exhibit, make_set
from tests.findings.builders import a_mark, make_examination, make_finding
from tests.measuring.pictures import photograph_with_scale

CONTUSION = {
    "mechanism": "Blunt force",
    "colour": "purple",
    "length_mm": Decimal(110),
    "width_mm": Decimal(65),
    "measured_by": "ruler",
    "timing": "antemortem",
    "timing_ground": "Hemorrhage in the muscle",
    "impacts_kind": "at least",
    "impacts": 1,
}


@dataclass
class Shown:
    """What most tests of the answers begin with."""

    by: Staff
    case: Case
    examination: Examination
    finding: Finding
    photograph: Photograph
    exhibit_set: ExhibitSet
    exhibit: Exhibit


def show_contusion(by: Staff, **fields: Any) -> Shown:
    """An exhibit of one photograph that shows a contusion of the right chest."""
    case = make_case(by=by)
    examination = make_examination(case=case, by=by)
    finding = make_finding(examination, marks=[a_mark()], **{**CONTUSION, **fields})
    photograph = photograph_with_scale(by, case, view="close-up", region="right chest")
    link_to(by, photograph, finding)
    trial = make_set(by, case)
    exhibit = make_exhibit(by, trial, photograph, number="14", caption="Right chest, contusion")
    return Shown(by, case, examination, finding, photograph, trial, exhibit)
