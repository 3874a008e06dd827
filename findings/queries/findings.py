"""Findings with everything that hangs on them, in a fixed number of statements."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Sequence
from datetime import datetime
from functools import cache
from typing import Any
from uuid import UUID

from django.db.models import Prefetch, QuerySet
from django.utils.functional import SimpleLazyObject

from cases.models import Case
from findings.body.midline import place_words
from findings.body.regions import region_term
from findings.body.schematics import parts
from findings.body.views import SCHEMATICS
from findings.chart.reading import Lies
from findings.models import Finding, Interpretation, LayerFinding, Mark
from findings.paths.models import WoundPath
from findings.prose.beneath import LayerSeen, layers_sentences
from findings.prose.meaning import Meant, meaning_paragraph
from findings.prose.observed import Facts, standard_sentence
from findings.prose.together import alike_key, told_together
from findings.rules import (
    FAR_ENDS,
    FindingClass,
    MarkKind,
    PathEnd,
    Terminus,
    count_range_words,
)
from findings.systems.queries import with_systems
from findings.words import sentences
from findings.words.counting import CountedInjury, InjuryCounts, counts_of
from findings.words.layers import LAYER_WORDS, Layer
from findings.words.models import OfficeWording
from findings.words.wounds import WOUND_FIELDS, Wound, wound_of, wound_words
from me_office.audit.errors import known
from me_office.audit.fields import said_of
from me_office.differing import Piece, word_pieces
from me_office.prepared import PreparedBeside, PreparedRows


def _whole(findings: QuerySet[Finding]) -> QuerySet[Finding]:
    """Findings with their standing marks, paths, layers and interpretations: five statements."""
    beside = [Prefetch(name, rows) for name, rows in _hanging().items()]
    return _alone(findings).prefetch_related(*beside)


def _alone(findings: QuerySet[Finding]) -> QuerySet[Finding]:
    return with_systems(findings, "said_by_systems").select_related("examination", "changed_by")


def _hanging() -> dict[str, QuerySet[Any]]:
    """Return what hangs on findings, by the name under which they have it."""
    paths = WoundPath.objects.active().select_related("exit_finding")
    notes = Interpretation.objects.active().select_related("created_by", "changed_by")
    return {
        "marks": Mark.objects.active().order_by("created_at", "pk"),
        "paths": paths.order_by("created_at", "pk"),
        "layers": LayerFinding.objects.active().order_by("created_at", "pk"),
        "interpretations": notes.order_by("created_at", "pk"),
    }


def findings_of(case: Case) -> list[Finding]:
    """The active findings of a case by number, with marks, layers and interpretations."""
    found = _active().objects(Finding, case.pk)
    for each in _beside():
        each.put_onto(found, case.pk)
    return worded(found)


@cache
def _active() -> PreparedRows:
    def rows_of(case_id: UUID) -> QuerySet[Finding]:
        return _alone(Finding.objects.active().filter(case=case_id).order_by("number", "pk"))

    return PreparedRows(rows_of)


@cache
def _beside() -> list[PreparedBeside]:
    return [PreparedBeside(name, rows) for name, rows in _hanging().items()]


def worded(findings: Iterable[Finding], at: datetime | None = None) -> list[Finding]:
    """Let all of them be told in the office's words, of now or of a moment.

    One statement, when the first of them is told.
    """
    rows = list(findings)
    phrasing: Any = SimpleLazyObject(lambda: OfficeWording.phrasing(at))
    for one in rows:
        one.phrasing = phrasing
    return rows


def voided_findings_of(case: Case) -> list[Finding]:
    """The voided findings of a case by number: their numbers stay out of use."""
    rows = Finding.objects.filter(case=case, voided_at__isnull=False).select_related("voided_by")
    return list(rows.order_by("number", "pk"))


def finding_for_page(case: Case, finding_id: UUID) -> Finding:
    """One finding of the case, voided or not, with what hangs on it. Raises NotKnown."""
    found = _whole(Finding.objects.filter(case=case, pk=finding_id).order_by("pk")).first()
    return known(found, "finding")


def injury_counts_of(findings: Iterable[Finding]) -> InjuryCounts:
    """How many wounds and impacts the active injuries show, by what made them."""
    return counts_of(counted_injuries(findings).values())


def counted_injuries(findings: Iterable[Finding]) -> dict[int, CountedInjury]:
    """The active injuries as they are counted, by number; needs what `findings_of` fetches."""
    return {
        one.number: _counted(one)
        for one in findings
        if one.klass == FindingClass.INJURY and not one.is_voided
    }


def _counted(finding: Finding) -> CountedInjury:
    paths = list(finding.paths.all())
    ends = {mark.end for mark in finding.marks.all() if mark.end}
    if any(path.exit_finding_id for path in paths):
        ends.discard(PathEnd.EXIT)
    recovered = sum(path.ends_as == Terminus.RECOVERED for path in paths)
    if not paths and PathEnd.RECOVERED in ends:
        recovered = 1
    return CountedInjury(
        finding.impacts_kind,
        finding.impacts,
        finding.impact_group,
        finding.term,
        finding.mechanism,
        frozenset(ends),
        projectile_paths=max(len(paths), recovered),
        projectiles=recovered,
    )


def lies_of(finding: Finding) -> Lies:
    """Where a finding lies by its highest mark, for a list from head to foot.

    A mark on a drawing of a part has no height: it counts where there is no other.
    """
    marks = _marks(finding)
    if not marks:
        return Lies(finding.number, "", "", None)
    first = max(marks, key=lambda one: (_height(one) or -1.0, one.region, one.view))
    return Lies(finding.number, first.region, first.view, _height(first))


def _height(mark: Mark) -> float | None:
    return float(mark.surface_point[2]) if mark.surface_point else None


def wound_in(finding: Finding) -> Wound:
    """The wound fields of a finding."""
    return wound_of(said_of(finding, WOUND_FIELDS))


def standard_sentence_of(finding: Finding, drawn: Sequence[Mark] | None = None) -> str:
    """The standard sentences from a finding's data: what and where, then the wound's own fields.

    `drawn` are its marks where they are not saved yet.
    """
    said = standard_sentence(_facts_of(finding, drawn), finding.phrasing)
    wound = wound_words(wound_in(finding))
    return f"{said} {wound}".strip() if said else ""


def _facts_of(finding: Finding, drawn: Sequence[Mark] | None = None) -> Facts:
    marks = _marks(finding) if drawn is None else drawn
    return Facts(
        term=finding.phrasing.term(finding.term),
        place=finding.place,
        above_heel_cm=_number(finding.above_heel_cm),
        from_midline_cm=_number(finding.from_midline_cm),
        midline=finding.midline,
        length_mm=_number(finding.length_mm),
        width_mm=_number(finding.width_mm),
        depth_mm=_number(finding.depth_mm),
        seen_as=finding.seen_as,
        shape=finding.shape,
        margins=finding.margins,
        colour=finding.colour,
        pattern=finding.pattern,
        vital_reaction=finding.vital_reaction,
        separate_marks=_separate_marks(marks),
        far_end=_far_end_words(finding, marks),
        places=_places(finding, marks),
        tapped_cm=tapped_cm(finding),
    )


def changed_since_worded(finding: Finding) -> tuple[Piece, ...]:
    """What the data say now and said when a finding's own text was written; empty where the same.

    Also empty of a text that is older than this comparison (`Finding.sentence_is_older` tells).
    """
    if not finding.sentence or not finding.sentence_from:
        return ()
    now = standard_sentence_of(finding)
    return () if now == finding.sentence_from else word_pieces(finding.sentence_from, now)


def position_words(finding: Finding) -> list[str]:
    """Height and distance from the midline, each as it is said; empty when not known."""
    said, tapped = [], tapped_cm(finding)
    if finding.above_heel_cm is not None:
        said.append(sentences.height_words(float(finding.above_heel_cm), tapped))
    if finding.from_midline_cm is not None and finding.midline:
        offset = float(finding.from_midline_cm)
        said.append(sentences.midline_words(offset, finding.midline, tapped))
    return said


def _marks(finding: Finding) -> list[Mark]:
    return [mark for mark in finding.marks.all() if not mark.is_voided]


def _places(finding: Finding, marks: Sequence[Mark]) -> int:
    """How many marks share one position, the first one's, unless it was measured by hand."""
    if finding.position_source != "derived":
        return 1
    return max(1, sum(mark.kind != MarkKind.PAIRED for mark in marks))


def _separate_marks(marks: Sequence[Mark]) -> str:
    """How many repeated marks a finding has; the areas of a pattern are counted together."""
    patterns = [mark for mark in marks if mark.count_low is not None]
    if not patterns:
        return ""
    highs = [mark.count_high for mark in patterns]
    high = None if None in highs else sum(one or 0 for one in highs)
    return count_range_words(sum(mark.count_low or 0 for mark in patterns), high)


def _far_end_words(finding: Finding, marks: Sequence[Mark]) -> str:
    """Where the second place of a paired mark lies."""
    far = next((mark for mark in marks if mark.end in FAR_ENDS), None)
    if far is None:
        return ""
    height, length = height_of(finding, far), finding.examination.crown_heel_cm
    return sentences.far_end_words(far.end, place_of(far), height, _number(length))


def tapped_cm(finding: Finding) -> float | None:
    """The crown-heel length where a finding's position follows from its mark, else None."""
    if finding.position_source != "derived":
        return None
    return _number(finding.examination.crown_heel_cm)


def place_of(mark: Mark) -> str:
    """Where a mark lies, in the trade's words."""
    if mark.view not in SCHEMATICS:
        if mark.region and mark.surface_point:
            x, y, z = mark.surface_point
            return place_words(mark.finding.examination.chart_body, mark.region, (x, y, z))
        return region_term(mark.region) if mark.region else ""
    known = {part.key: part.term for part in parts(mark.view)}
    return known.get(mark.region, "")


def height_of(finding: Finding, mark: Mark) -> float | None:
    """The height of a mark above the heel in cm; None without a surface or a measured length."""
    length = finding.examination.crown_heel_cm
    if length is None or not mark.surface_point:
        return None
    return float(mark.surface_point[2]) * float(length) / 1000


def sentence_of(finding: Finding) -> str:
    """The report's words for a finding: its own when it has them, else the standard sentence."""
    return finding.sentence or standard_sentence_of(finding)


def layers_words(finding: Finding, *, several: bool = False) -> str:
    """The layers of a finding in sentences, from the surface down, and what was not examined.

    `several` tells that they are those of each of several findings that are told together.
    """
    order = list(Layer)
    rows = sorted(
        (layer for layer in finding.layers.all() if not layer.is_voided),
        key=lambda layer: order.index(Layer(layer.layer)),
    )
    seen = [LayerSeen(LAYER_WORDS[Layer(row.layer)], row.examined, row.found) for row in rows]
    many = several or sentences.is_plural(finding.phrasing.term(finding.term))
    return layers_sentences(seen, many=many, phrasing=finding.phrasing)


def meaning_of(finding: Finding, *, several: bool = False) -> str:
    """When a finding came about and what it may mean; empty where nothing was stated.

    `several` tells that it is said of several findings that are told together.
    """
    meant = [
        Meant(one.statement, one.standing, one.ground, one.confidence)
        for one in finding.interpretations.all()
        if not one.is_voided
    ]
    term, called = finding.term, finding.phrasing.term(finding.term)
    if several:
        term, called = sentences.several(term), sentences.several(called)
    return meaning_paragraph(
        finding.klass,
        term,
        finding.timing,
        finding.timing_ground,
        meant,
        called=called,
        phrasing=finding.phrasing,
    )


def alike_key_of(finding: Finding) -> Hashable:
    """Return what a finding shares with those that one sentence can tell with it.

    None for a finding that is told alone: with words of its own, or a path.
    """
    if finding.sentence or list(finding.paths.all()):
        return None
    key = alike_key(_facts_of(finding))
    if key is None:
        return None
    wound = wound_words(wound_in(finding))
    return key, finding.klass, layers_words(finding), meaning_of(finding), wound


def told_together_of(findings: Sequence[Finding]) -> str:
    """Say in one sentence what several findings with one `alike_key_of` are."""
    wound = wound_words(wound_in(findings[0]))
    said = told_together([_facts_of(one) for one in findings])
    return f"{said} {wound}".strip()


def _number(value: object) -> float | None:
    return None if value is None else float(str(value))
