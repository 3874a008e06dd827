"""What is answered about a finding: class, size, when, beneath, meaning, count, report, thread."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from uuid import UUID

from django.urls import reverse

from cases.checking import places
from cases.checking.told import gives, measurements_about, regions_of
from cases.exhibits.models import Exhibit
from cases.witness.about_pictures import NOT_RECORDED
from cases.witness.about_report import amended_by, changed_since, passages_about
from cases.witness.addresses import answers_url, history_url
from cases.witness.answers import (
    Detail,
    FindingAnswer,
    LayerAnswer,
    MeaningAnswer,
    MeasuredAnswer,
    Ref,
    Said,
    ShownOn,
    SizeAnswer,
)
from cases.witness.reading import CaseRead, pictures_of
from evidence.measuring.models import Measurement
from evidence.measuring.rules import interval_words
from findings.body.regions import REGIONS
from findings.chart.page import chart_url
from findings.models import Finding
from findings.paths.queries import paths_words
from findings.queries import position_words, sentence_of, wound_in
from findings.rules import CountKind, FindingClass, MeasuredBy, Strength, Timing
from findings.words.counting import cause_of
from findings.words.layers import LAYER_WORDS, Layer, usual_layers
from findings.words.plain import plain_words
from findings.words.sentences import begin_small
from findings.words.vocabulary import LANGLOIS, is_bruise
from findings.words.wounds import wound_words
from me_office.statements import statement

COLOR = statement(
    "witness.color",
    "Its color gives no age. Only yellow says something: it is not seen before about 18 hours, and "
    "where it is missing that says nothing (Langlois and Gresham 1991).",
    where="Witness",
    source=LANGLOIS,
)
CLASS_WORDS = {
    FindingClass.INJURY: "Injury",
    FindingClass.POSTMORTEM_CHANGE: "Change after death",
    FindingClass.ARTIFACT: "Artifact",
    FindingClass.NATURAL_DISEASE: "Natural disease",
    FindingClass.MEDICAL_INTERVENTION: "Medical intervention",
    FindingClass.IDENTIFYING_FEATURE: "Identifying feature",
    FindingClass.OTHER: "Other finding",
}
_HOW = {
    MeasuredBy.RULER: "by ruler",
    MeasuredBy.PHOTOGRAPH: "on a photograph",
    MeasuredBy.ESTIMATE: "by estimate, not measured",
}
_MEANING = {
    Strength.CONSISTENT: "Consistent with {}",
    Strength.NOT_EXCLUDED: "Not excluded: {}",
    Strength.EXCLUDED: "Excluded: {}",
}


def about_finding(read: CaseRead, exhibit: Exhibit, finding: Finding) -> FindingAnswer:
    """Everything that is said of one finding that the exhibit shows."""
    here = {one.pk for one in pictures_of(exhibit)}
    regions = regions_of([finding])
    size = size_of(read, finding, here)
    url = chart_url(read.case.pk, finding.pk)
    injury = finding.klass == FindingClass.INJURY
    bruise = is_bruise(finding.klass, finding.term)
    return FindingAnswer(
        finding_id=finding.pk,
        number=finding.number,
        term=finding.term,
        plain=plain_words(finding),
        klass=finding.klass,
        klass_said=_class(finding),
        is_injury=injury,
        cause=cause_of(finding.mechanism, finding.term).value if injury else "",
        place=_place(finding),
        side=places.side_of(regions),
        regions=tuple(regions),
        position=tuple(position_words(finding)),
        size=size,
        seen=_seen(finding),
        seen_as=_seen_as(finding),
        wound=wound_words(wound_in(finding)),
        path=paths_words(finding),
        when=_when(finding),
        color_caution=COLOR.text if bruise else "",
        layers=layers_of(finding),
        meanings=_meanings(finding),
        count=_count(read, finding),
        sentence=sentence_of(finding),
        passages=passages_about(read, finding),
        amended_by=amended_by(read, finding),
        changed=changed_since(read, finding.pk, "finding"),
        shown_on=_shown_on(read, finding, here),
        thread=_thread(read, finding, size, url),
        url=url,
    )


def _class(finding: Finding) -> Said:
    words = CLASS_WORDS[FindingClass(finding.klass)]
    if finding.mechanism:
        words += f", {begin_small(finding.mechanism)}"
    grounds = [
        f"vital reaction: {begin_small(finding.vital_reaction.strip())}"
        if finding.vital_reaction.strip()
        else "",
        begin_small(finding.timing_ground.strip()),
    ]
    ground = "; ".join(part.rstrip(".") for part in grounds if part)
    return Said(words, ground or "its ground is not recorded")


def _place(finding: Finding) -> Said:
    if not finding.place.strip():
        return Said(NOT_RECORDED, recorded=False)
    derived = finding.place_source == "derived"
    return Said(finding.place, "from its mark on the chart" if derived else "as entered by hand")


def _seen(finding: Finding) -> tuple[Detail, ...]:
    named = (
        ("Color", finding.colour),
        ("Shape", finding.shape),
        ("Margins", finding.margins),
        ("Pattern", finding.pattern),
        ("Vital reaction", finding.vital_reaction),
        ("Seen as", finding.seen_as),
    )
    told = ((name, words.strip().rstrip(".")) for name, words in named)
    return tuple(Detail(name, words) for name, words in told if words)


def _seen_as(finding: Finding) -> Said:
    words = "; ".join(f"{one.name.lower()}: {begin_small(one.words)}" for one in _seen(finding))
    if not words:
        return Said("How it looked is not recorded.", recorded=False)
    return Said(f"{words[:1].upper()}{words[1:]}.")


def _when(finding: Finding) -> Said:
    if not finding.timing:
        return Said("Whether it arose before or after death is not recorded.", recorded=False)
    words = Timing(finding.timing).words
    ground = begin_small(finding.timing_ground.strip().rstrip("."))
    return Said(f"{words[:1].upper()}{words[1:]}.", ground or "its ground is not recorded")


def layers_of(finding: Finding) -> tuple[LayerAnswer, ...]:
    """The recorded layers, outermost first, then for an injury the usual ones without a record."""
    order = {layer: place for place, layer in enumerate(Layer)}
    rows = [one for one in finding.layers.all() if not one.is_voided]
    rows.sort(key=lambda row: order[Layer(row.layer)])
    answers = []
    for row in rows:
        name, found = LAYER_WORDS[Layer(row.layer)], row.found.strip().rstrip(".")
        if row.examined:
            words = f"{_begun(name)}: {begin_small(found)}."
        else:
            words = f"{_begun(name)}: not examined{f' ({begin_small(found)})' if found else ''}."
        answers.append(LayerAnswer(name, row.examined, True, row.found, words))
    if finding.klass == FindingClass.INJURY:
        recorded = {row.layer for row in rows}
        for layer in _usual(finding):
            if layer.value not in recorded:
                name = LAYER_WORDS[layer]
                words = f"{_begun(name)}: not recorded whether it was examined."
                answers.append(LayerAnswer(name, False, False, "", words))
    return tuple(answers)


def _usual(finding: Finding) -> Sequence[Layer]:
    """The layers usually looked at under an injury that is marked on the skin."""
    surface = next((key for key in regions_of([finding]) if key in REGIONS), "")
    return usual_layers(surface) if surface else ()


def _begun(words: str) -> str:
    return words[:1].upper() + words[1:]


def _meanings(finding: Finding) -> tuple[MeaningAnswer, ...]:
    answers = []
    for one in finding.interpretations.all():
        ground = begin_small(one.ground.strip().rstrip("."))
        said = _MEANING[Strength(one.standing)].format(begin_small(one.statement.rstrip(".")))
        said += f" ({one.confidence})" if one.confidence else ""
        said += f"; {ground}" if ground else ""
        answers.append(
            MeaningAnswer(one.statement, one.standing, one.ground, one.confidence, f"{said}.")
        )
    return tuple(answers)


def _count(read: CaseRead, finding: Finding) -> Said:
    """The number of impacts of this finding alone, as it was recorded."""
    if finding.klass != FindingClass.INJURY:
        return Said("Impacts are counted of injuries only.", recorded=False)
    if not finding.impacts_kind:
        return Said("A number of impacts is not recorded.", recorded=False)
    words = f"{_begun(finding.impacts_words)}"
    if finding.impacts_kind == CountKind.CANNOT_SAY:
        words = "The number cannot be determined"
    group = finding.impact_group
    others = [
        str(one.number)
        for one in read.findings
        if group and one.impact_group == group and one.number != finding.number
    ]
    if others:
        noun = "finding" if len(others) == 1 else "findings"
        listed = " and ".join([", ".join(others[:-1]), others[-1]] if others[1:] else others)
        words += f"; one impact may have left it and {noun} {listed} (group {group})"
    return Said(f"{words}.", begin_small(finding.impacts_reason.strip().rstrip(".")))


def measurements_unnamed(read: CaseRead, finding: Finding) -> list[Measurement]:
    """The measurements that name no finding, on photographs that show this one."""
    shown = {
        one.pk
        for one in read.photographs.values()
        if any(link.finding_id == finding.pk for link in one.active_links)
    }
    return [
        one
        for one in read.measurements
        if one.photograph_id in shown and one.finding_id is None and not one.active_uses
    ]


def size_of(read: CaseRead, finding: Finding, here: Collection[UUID]) -> SizeAnswer:
    """How large a finding is, how that was measured, and every measurement that is kept of it."""
    given = gives(read, finding)
    rows = measurements_about(read, finding)
    measured = tuple(_measured(read, one, given.get(one.pk, ""), here) for one in rows)
    unnamed = tuple(_measured(read, one, "", here) for one in measurements_unnamed(read, finding))
    size, how = finding.size_words, _how(finding, measured)
    if size:
        sentence = f"{size}, {how.words}"
    elif measured:
        sentence = "No size is recorded of the finding itself"
    elif unnamed:
        numbers = ", ".join(dict.fromkeys(str(one.photograph_number) for one in unnamed))
        sentence = (
            "No size is recorded, and no measurement names this finding; what was measured on "
            f"photograph {numbers} names none"
        )
    else:
        sentence = "Not measured: no size is recorded, and no measurement on a photograph"
    more = [
        f"on photograph {one.photograph_number} {_kind_words(one)}"
        for one in measured
        if not one.gives or not size
    ]
    if more:
        sentence += f"; {'; '.join(more)}"
    return SizeAnswer(size, how, measured, unnamed, f"{sentence}.", bool(size))


def _kind_words(one: MeasuredAnswer) -> str:
    """What was measured, with the size: length 5.8 cm (5.6 to 6.0), ..."""
    return one.words if one.words.startswith(one.kind) else f"{one.kind} {one.words}"


def _how(finding: Finding, measured: Iterable[MeasuredAnswer]) -> Said:
    if not finding.size_words:
        return Said("not recorded", recorded=False)
    if not finding.measured_by:
        return Said("how it was measured is not recorded", recorded=False)
    given = [one for one in measured if one.gives]
    if finding.measured_by == MeasuredBy.PHOTOGRAPH and given:
        parts = [f"{one.gives} on photograph {one.photograph_number}: {one.words}" for one in given]
        return Said("; ".join(parts), ", ".join(dict.fromkeys(one.interval for one in given)))
    return Said(_HOW[MeasuredBy(finding.measured_by)])


def _measured(
    read: CaseRead, one: Measurement, given: str, here: Collection[UUID]
) -> MeasuredAnswer:
    exhibit = read.exhibit_numbers.get(one.photograph_id)
    page = reverse(
        "measuring:measure",
        kwargs={"case_id": read.case.pk, "photograph_id": one.photograph_id},
    )
    return MeasuredAnswer(
        measurement_id=one.pk,
        number=one.number,
        photograph_id=one.photograph_id,
        photograph_number=one.photograph.number,
        exhibit_number=exhibit.number if exhibit else "",
        in_this_exhibit=one.photograph_id in here,
        kind=one.get_kind_display(),
        words=one.words,
        interval=interval_words(one.shown),
        gives=given,
        covers=one.covered,
        leaves_out=one.left_out,
        warnings=tuple(one.shown["warnings"]),
        by=str(one.created_by),
        at=one.created_at,
        url=f"{page}#measurement-{one.number}",
    )


def _shown_on(read: CaseRead, finding: Finding, here: Collection[UUID]) -> tuple[ShownOn, ...]:
    found = []
    for photograph in read.photographs.values():
        if not any(link.finding_id == finding.pk for link in photograph.active_links):
            continue
        if photograph.is_voided and photograph.pk not in here:
            continue
        exhibit = read.exhibit_numbers.get(photograph.pk)
        keys = {"case_id": read.case.pk, "photograph_id": photograph.pk}
        found.append(
            ShownOn(
                photograph.pk,
                photograph.number,
                exhibit.number if exhibit else "",
                photograph.pk in here,
                answers_url(exhibit) if exhibit else reverse("evidence:photograph", kwargs=keys),
            )
        )
    return tuple(found)


def _thread(read: CaseRead, finding: Finding, size: SizeAnswer, url: str) -> tuple[Ref, ...]:
    keys = {"case_id": read.case.pk, "finding_id": finding.pk}
    marked = any(not mark.is_voided for mark in finding.marks.all())
    mark = "Its mark on the body chart" if marked else "Finding (it has no mark on the chart)"
    refs = [Ref(mark, url)]
    refs += [
        Ref(f"Measurement {one.number} on photograph {one.photograph_number}", one.url)
        for one in size.on_photographs
    ]
    refs.append(Ref("All photographs of it", reverse("evidence:finding-thread", kwargs=keys)))
    refs.append(Ref("Its history", history_url(read.case.pk, "findings_finding", finding.pk)))
    return tuple(refs)
