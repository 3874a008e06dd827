"""What in an examination does not go together: statements, findings, sides. It only asks."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.contrib.postgres.expressions import ArraySubquery
from django.db.models import Exists, OuterRef

from cases.models import Case, SceneReading
from findings.body.regions import REGIONS
from findings.body.views import SCHEMATICS
from findings.models import Examination, Finding
from findings.organs.models import OrganWeight
from findings.queries import findings_of, place_of
from findings.questions.contradicting import Contradiction, Seen, contradictions
from findings.questions.negatives import BY_SYSTEM, stated_in
from findings.questions.probes import ASKED, SKIN_NOT_SEEN, records_probe_hole
from findings.questions.sides import side_question
from findings.questions.unopened import Asked, unopened
from findings.systems.queries import systems_words, with_systems
from me_office.audit.fields import said_of
from me_office.shell.templatetags.office import moment

# The sections that statements are written into.
SECTIONS = ("external", "treatment", "cavities", "internal", "deep_dissection")


@dataclass(frozen=True)
class Question:
    """One thing that does not go together, in a sentence, with the finding to open, if one."""

    words: str
    finding_id: UUID | None = None
    section: str = ""
    offers: str = ""  # which finding it offers to record (`findings.chart.views.OFFERS`)
    left: Any = None  # the record of who left it as it is, when and why


def seen_of(finding: Finding) -> Seen:
    """A finding as negative statements are compared with it; needs what `findings_of` fetches."""
    marks = [mark for mark in finding.marks.all() if not mark.is_voided]
    surface = [mark.region for mark in marks if mark.region in REGIONS]
    return Seen(
        number=finding.number,
        klass=finding.klass,
        term=finding.term,
        place=finding.place,
        regions=[_base(finding, key) for key in surface],
        parts=[(mark.view, mark.region) for mark in marks if mark.view in SCHEMATICS],
        layers=[
            (layer.layer, layer.found)
            for layer in finding.layers.all()
            if layer.examined and not layer.is_voided
        ],
        structures=[
            structure
            for path in finding.paths.all()
            if not path.is_voided
            for structure in path.structures_in_order
        ],
    )


def _base(finding: Finding, key: str) -> str:
    # The region of the external genitals takes in the perianal skin, which is named apart.
    if key == "genital" and "perianal" in finding.place.lower():
        return "perianal"
    return REGIONS[key].base


def written_of(examination: Examination) -> dict[str, str]:
    """The sections in which statements stand, by name, with what is said by system."""
    written = said_of(examination, SECTIONS)
    return {**written, BY_SYSTEM: systems_words(examination)}


def contradictions_of(examination: Examination, findings: Iterable[Finding]) -> list[Contradiction]:
    """Confirmed statements that these findings, or a measured narrowing, may contradict."""
    return contradictions(
        written_of(examination),
        [seen_of(one) for one in findings if not one.is_voided],
        examination.coronary_percents,
        examination.blood_ml,
    )


def side_question_of(finding: Finding) -> str:
    """What to ask about the side that is said of a finding; empty when it holds together."""
    mark = next((one for one in finding.marks.all() if not one.is_voided), None)
    offset = None if finding.from_midline_cm is None else float(finding.from_midline_cm)
    return side_question(finding.place, offset, place_of(mark) if mark is not None else "")


def questions_about(finding: Finding) -> list[str]:
    """What to ask beside one finding, in sentences."""
    examination = finding.examination
    if examination.systems_said is None:
        examination.systems_said = finding.said_by_systems
    asked = [
        f"It may speak against a statement that is confirmed: “{one.statement.words}”"
        for one in contradictions_of(examination, [finding])
        if one.numbers
    ]
    side = side_question_of(finding)
    return [*asked, f"Check the side: {side}."] if side else asked


def probe_hole_question(
    examination: Examination,
    findings: Iterable[Finding],
    liver_read_at: Sequence[datetime] | None = None,
) -> str:
    """Ask for the hole of a liver probe that no finding records; empty otherwise.

    `liver_read_at` are the moments of the active liver readings where they were read already;
    without them it takes one statement.
    """
    if examination.kind in SKIN_NOT_SEEN or any(
        records_probe_hole(one.klass, one.term, one.seen_as, one.sentence)
        for one in findings
        if not one.is_voided
    ):
        return ""
    if liver_read_at is None:
        rows = SceneReading.objects.active().filter(case=examination.case_id, kind="liver")
        liver_read_at = [*rows.order_by("read_at").values_list("read_at", flat=True)[:1]]
    first = min(liver_read_at, default=None)
    return ASKED.say(when=moment(first)) if first else ""


def unopened_of(examination: Examination, weighed: bool | None = None) -> list[Asked]:
    """What is recorded of an opened body where this kind of examination opens none.

    `weighed` tells whether organ weights stand, where that was read already; without it, it takes
    one statement.
    """
    if weighed is None:
        weighed = OrganWeight.objects.active().filter(case=examination.case_id).exists()
    return unopened(
        examination.kind,
        examination.get_kind_display(),
        written_of(examination),
        blood=any(amount is not None for amount in examination.blood_ml.values()),
        narrowings=any(share is not None for share in examination.coronary_percents.values()),
        weights=weighed,
    )


def examination_to_question(case: Case) -> Any:
    """The examination with `liver_read_at` (see `probe_hole_question`) and `weighed`, or None.

    One statement.
    """
    liver = SceneReading.objects.active().filter(case=OuterRef("case"), kind="liver")
    weights = OrganWeight.objects.active().filter(case=OuterRef("case"))
    return (
        with_systems(Examination.objects.filter(case=case))
        .annotate(
            liver_read_at=ArraySubquery(liver.values("read_at")),
            weighed=Exists(weights),
        )
        .first()
    )


def questions_of(case: Case) -> list[Question]:
    """Everything in a case's examination that does not go together; six statements."""
    examination = examination_to_question(case)
    if examination is None:
        return []
    return questions_in(
        examination, findings_of(case), examination.liver_read_at, weighed=examination.weighed
    )


def questions_in(
    examination: Examination,
    findings: list[Finding],
    liver_read_at: Sequence[datetime] | None = None,
    *,
    weighed: bool | None = None,
) -> list[Question]:
    """The same from what was read already (see `probe_hole_question`, `unopened_of`)."""
    by_number = {one.number: one.pk for one in findings}
    asked = [
        Question(
            one.words,
            by_number[one.numbers[0]] if one.numbers else None,
            one.statement.section,
        )
        for one in contradictions_of(examination, findings)
    ]
    unseen = unopened_of(examination, weighed)
    asked += [Question(one.words, section=one.section) for one in unseen]
    for finding in findings:
        side = side_question_of(finding)
        if side:
            words = f"Finding {finding.number}, {finding.term.lower()}: {side}."
            asked.append(Question(words, finding.pk))
    if probe := probe_hole_question(examination, findings, liver_read_at):
        asked.append(Question(probe, offers="probe-hole"))
    return asked


def stated_keys(examination: Examination) -> set[str]:
    """The keys of the statements that stand in the examination."""
    return {one.key for one in stated_in(written_of(examination))}
