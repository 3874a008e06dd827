"""A set of exhibits of which the record says much: three findings in one picture, one, none."""

from __future__ import annotations

import itertools
from typing import Any
from uuid import UUID

from cases.exhibits.models import Exhibit, ExhibitSet
from cases.models import Case
from evidence.photographs import actions as photographs
from evidence.photographs.models import Photograph
from evidence.photographs.tasks import derive_images
from findings import actions
from findings.models import Examination, Finding
from me_office.accounts.models import Staff
from me_office.audit.ids import new_id
from tests.builders import make_case
from tests.evidence.pictures import link_to
from tests.exhibits.builders import make_exhibit, make_set
from tests.findings.builders import ON_RIGHT_CHEST, a_mark, make_examination, make_finding
from tests.measuring.pictures import measured, photograph_with_scale

_shades = itertools.count(20)
BRUISE = {
    "term": "Contusion",
    "mechanism": "Blunt force",
    "place": "Right lateral chest wall",
    "length_mm": 110,
    "width_mm": 65,
    "measured_by": "ruler",
    "colour": "Purple-red",
    "margins": "Ill-defined",
    "pattern": "Four darker bands across it",
    "timing": "antemortem",
    "timing_ground": "Hemorrhage in the muscle beneath",
    "impacts_kind": "at least",
    "impacts": 1,
}
SCRAPE = {
    "term": "Abrasion",
    "mechanism": "Blunt force",
    "place": "Right lateral chest wall",
    "length_mm": 32,
    "width_mm": 8,
    "measured_by": "ruler",
    "colour": "Yellow-brown, dry",
    "timing": "undetermined",
    "timing_ground": "No layer beneath it was opened",
    "impacts_kind": "cannot be determined",
    "impacts_reason": "Its edge merges with the contusion",
}
LIVIDITY = {
    "klass": "postmortem change",
    "term": "Lividity",
    "place": "Right side of the back and flank",
    "colour": "Violet",
    "seen_as": "Fixed; spared over the shoulder blade",
}
LAYERS = (
    ("skin", True, "Not broken"),
    ("subcutis", True, "Hemorrhage, 9 by 6 cm"),
    ("muscle", True, "Hemorrhage, intercostals 5 to 7"),
    ("pleura", False, ""),
)
MEANINGS = (
    ("A fall against the rungs of a ladder", "consistent with", "Spacing of the bands", "probable"),
    ("A blow with a rod", "not excluded", "", ""),
    ("Lividity", "excluded", "It does not blanch and the tissue beneath is bloody", "confident"),
)
OUTLINE = [[0.2, 0.2], [0.6, 0.15], [0.65, 0.6], [0.25, 0.65]]


def tell(finding: Finding, layers: Any = LAYERS, meanings: Any = MEANINGS) -> Finding:
    """Record layers and meanings of a finding."""
    by, keys = finding.examination.pathologist, {"finding_id": finding.pk}
    for layer, examined, found in layers:
        entry = {"layer": layer, "examined": examined, "found": found}
        actions.record_layer(by, case_id=finding.case_id, record_id=new_id(), entry=entry, **keys)
    for statement, standing, ground, confidence in meanings:
        entry = {
            "statement": statement,
            "standing": standing,
            "ground": ground,
            "confidence": confidence,
        }
        actions.record_interpretation(
            by, case_id=finding.case_id, record_id=new_id(), entry=entry, **keys
        )
    return finding


def told_findings(examination: Examination) -> list[Finding]:
    """A bruise with everything, a scrape of which little is known, lividity beside them."""
    marks = [[-72.0, 290.0], [-70.0, 280.0], [-74.0, 300.0]]
    rows = zip((BRUISE, SCRAPE, LIVIDITY), marks, strict=True)
    made = [
        make_finding(examination, marks=[a_mark(points=[point])], **entry) for entry, point in rows
    ]
    tell(made[0])
    tell(made[1], LAYERS[:1], MEANINGS[1:2])
    return made


def shot(
    by: Staff, case: Case, *shown: Finding, outlined: bool = True, **fields: Any
) -> Photograph:
    """A photograph with its smaller copies that shows findings."""
    values = {"view": "close-up", "graphic": True, "region": "Right chest", **fields}
    made = photograph_with_scale(by, case, shade=next(_shades), **values)
    derive_images(photograph_id=str(made.pk))
    for place, finding in enumerate(shown):
        link = link_to(by, made, finding)
        if outlined:
            photographs.outline_finding(
                by,
                case_id=case.pk,
                link_id=link.pk,
                version=link.version,
                entry={"outline": [[x, min(1, y + place / 10)] for x, y in OUTLINE]},
            )
    return made


def told_set(by: Staff) -> tuple[ExhibitSet, list[Exhibit]]:
    """Three exhibits: of three findings, of one with a measurement, of none."""
    case = make_case(by=by)
    findings = told_findings(make_examination(case=case, by=by))
    pictures = [
        shot(by, case, *findings, shows="Right side of the chest"),
        shot(by, case, findings[0], shows="Contusion of the chest, close"),
        shot(by, case, shows="Soles of the feet", region="Feet", view="overview"),
    ]
    measured(by, pictures[1])
    into = make_set(by, case, title="Trial, exhibits of the State")
    return into, [make_exhibit(by, into, one) for one in pictures]


def address(exhibit: Exhibit) -> str:
    """The page of an exhibit's answers."""
    return f"/cases/{exhibit.case_id}/exhibits/{exhibit.exhibit_set_id}/{exhibit.pk}/witness/"


def record_more(exhibit: Exhibit, by: Staff, more: int) -> list[UUID]:
    """As many more findings, each in the exhibit's picture and in one of its own of the set."""
    keys = []
    for _ in range(more):
        finding = make_finding(
            exhibit.case.examination, marks=[a_mark(points=[ON_RIGHT_CHEST])], **BRUISE
        )
        link_to(by, exhibit.photograph, finding)
        other = photograph_with_scale(by, exhibit.case, shade=next(_shades))
        link_to(by, other, finding)
        make_exhibit(by, exhibit.exhibit_set, other)
        keys.append(finding.pk)
    return keys
