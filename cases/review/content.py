"""The whole report as plain values, read from the case file in a fixed number of statements.

`report_content` returns what is frozen when a draft is sent, shown on the page, compared before
sign-off and printed: `{"facts": [...], "sections": [...], "chart": {...}}`. A section has `key`,
`title` and `passages`, and may have `columns` and `rows` (a table). A passage has a stable `key`
and `text`; it may have `lead` (printed bold), `group` (a sub-heading), `number` (of the finding),
`photographs` (their numbers) and `measured` (photograph, its key and the measurement's number).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.conf import settings

from cases.certification.facts import death_facts, injury_facts
from cases.models import Identification
from cases.review.kept import kept_sections, numbered, received_section
from cases.review.measured import measured_words, sizes_on_photographs
from cases.review.models import Report
from cases.review.queries import case_to_report_on
from cases.review.reported import FromOutside, from_outside, sections_of
from cases.review.scene import scene_section
from findings.calculations.registry import find
from findings.computing.last_alive import cautions_about_last_alive, last_alive_of
from findings.computing.queries import calculations_of
from findings.computing.wording import report_text, sources_text
from findings.models import Examination, Finding
from findings.organs.models import OrganWeight
from findings.paths.queries import paths_words
from findings.postmortem.queries import postmortem_rows_words
from findings.queries import findings_of, injury_counts_of, layers_words, sentence_of
from findings.rules import FindingClass, Strength, timing_sentence
from findings.words.sentences import begin_small

_MEANING = {
    Strength.CONSISTENT: "This is consistent with {}",
    Strength.NOT_EXCLUDED: "Not excluded: {}",
    Strength.EXCLUDED: "Excluded: {}",
}
METHOD_WORDS = dict(Identification.METHODS)
ORGAN_WORDS = dict(OrganWeight.ORGANS)
Passage = dict[str, Any]
Section = dict[str, Any]
Sizes = dict[str, list[dict[str, Any]]]


def report_content(case_id: UUID) -> dict[str, Any]:
    """Return the report of one case as plain values (see the module)."""
    return content_of(case_to_report_on(case_id))


def content_of(
    case: Any, findings: list[Finding] | None = None, outside: FromOutside | None = None
) -> dict[str, Any]:
    """Return the same from what `case_to_report_on` has read, in eight more statements.

    `findings` and `outside` are those of the case where they were read already.
    """
    examination = getattr(case, "examination", None)
    report = getattr(case, "report", None)
    findings = findings_of(case) if findings is None else findings
    outside = from_outside(case.pk) if outside is None else outside
    shown_on = _photographs_of(case)
    sizes = sizes_on_photographs(findings, case.review_measured)
    sections = [
        _opinion(case, report),
        _history(case, report),
        scene_section(case),
        _identity(case),
        _paragraphs("external", "External examination", examination, "clothing", "external"),
        _postmortem(case, examination),
        _injuries(findings, shown_on, sizes),
        _not_injuries(findings, shown_on, sizes),
        _paragraphs("treatment", "Evidence of treatment", examination, "treatment"),
        _paragraphs(
            "internal",
            "Internal examination",
            examination,
            "cavities",
            "blood_words",
            "internal",
            "coronary_words",
            "deep_dissection",
        ),
        _organs(case),
        _calculations(case),
        _specimens([row for row in outside.specimens if not row.is_of_others]),
        received_section(outside.specimens),
        *kept_sections(outside.things),
        *sections_of(outside),
        _text("summary", "Summary of findings", report.summary if report else ""),
    ]
    return {
        "facts": _facts(case, examination),
        "sections": [section for section in sections if section["passages"] or section.get("rows")],
        "chart": _chart(examination, findings),
    }


def _facts(case: Any, examination: Examination | None) -> list[dict[str, str]]:
    decedent = case.decedent
    who = [decedent.full_name, decedent.age_words, decedent.sex]
    facts = [("Case", case.label), ("Decedent", ", ".join(part for part in who if part))]
    if examination is not None:
        when = _moment(examination.began_at)
        if examination.ended_at:
            when += f" to {_moment(examination.ended_at)}"
        facts += [
            (
                "Records reviewed" if examination.kind == "chart review" else "Examined",
                f"{when}, {examination.get_kind_display()}",
            ),
            ("Place", examination.place),
            ("By", examination.pathologist.printed_name),
            ("Present", examination.present),
            ("Body", _measures(examination)),
        ]
        if examination.kind_reason:
            facts.append(("Why this examination", examination.kind_reason))
    certification = getattr(case, "certification", None)
    if certification is not None:
        facts += death_facts(certification)
    receipt = getattr(case, "body_receipt", None)
    if receipt is not None:
        facts.append(("Body received", f"{_moment(receipt.received_at)}, tag {receipt.tag_number}"))
    elif case.not_here_why:
        facts.append(("Body", f"not received here: {case.not_here_why}"))
    if case.no_visit_why:
        facts.append(("Scene", f"no scene visit: {case.no_visit_why}"))
    if case.decision_outcome is not None:
        ground = f", {case.decision_ground}" if case.decision_ground else ""
        facts.append(
            (
                "Authority",
                f"{settings.OFFICE_AUTHORITY}; jurisdiction {case.decision_outcome} "
                f"{_moment(case.decision_decided_at)}{ground}",
            )
        )
    return [{"label": label, "text": text} for label, text in facts if text]


def _measures(examination: Examination) -> str:
    parts = []
    if examination.crown_heel_cm is not None:
        read = examination.crown_heel_cm_read
        as_read = f" (measured as {read})" if read else ""
        parts.append(f"{examination.crown_heel_cm:.1f} cm crown to heel{as_read}")
    if examination.body_weight_kg is not None:
        read = examination.body_weight_kg_read
        as_read = f" (weighed as {read})" if read else ""
        parts.append(f"{examination.body_weight_kg.normalize():f} kg{as_read}")
    return ", ".join(parts)


def _moment(value: Any) -> str:
    return str(value.astimezone(settings.OFFICE_ZONE).strftime("%d %B %Y, %H:%M %Z")).lstrip("0")


def _text(key: str, title: str, words: str) -> Section:
    paragraphs = [part.strip() for part in words.split("\n") if part.strip()]
    return {
        "key": key,
        "title": title,
        "passages": [
            {"key": f"{key}-{n}", "text": text} for n, text in enumerate(paragraphs, start=1)
        ],
    }


def _paragraphs(key: str, title: str, examination: Examination | None, *fields: str) -> Section:
    words = "\n".join(getattr(examination, name) for name in fields) if examination else ""
    return _text(key, title, words)


def _postmortem(case: Any, examination: Examination | None) -> Section:
    """Lividity and rigor by region, then what was written."""
    by_region = postmortem_rows_words(case.review_lividity, case.review_rigor)
    written = examination.postmortem_changes if examination else ""
    return _text("postmortem", "Postmortem changes", f"{by_region}\n{written}")


def _opinion(case: Any, report: Report | None) -> Section:
    passages: list[Passage] = []
    certification = getattr(case, "certification", None)
    if certification is not None:
        causes = [
            f"{cause} ({interval})" if interval else cause
            for _, cause, interval in certification.lines
        ]
        passages.append(
            {
                "key": "cause",
                "lead": "Cause of death",
                "text": ", due to ".join(causes) if causes else "not stated",
            }
        )
        if certification.contributing:
            passages.append(
                {
                    "key": "contributing",
                    "lead": "Other significant conditions",
                    "text": certification.contributing,
                }
            )
        manner = certification.manner_words
        passages.append({"key": "manner", "lead": "Manner of death", "text": manner})
        passages += [
            {"key": "-".join(label.lower().split()), "lead": label, "text": text}
            for label, text in injury_facts(certification)
        ]
        if certification.basis:
            passages.append({"key": "basis", "lead": "Basis", "text": certification.basis})
    if report is not None:
        passages += _text("opinion", "Opinion", report.opinion)["passages"]
    return {"key": "opinion", "title": "Opinion", "passages": passages}


def _history(case: Any, report: Report | None) -> Section:
    words = report.history if report else ""
    if not words.strip():
        first_call = getattr(case, "report_of_death", None)
        words = first_call.circumstances if first_call else ""
    return _text("history", "History and circumstances", words)


def _identity(case: Any) -> Section:
    if case.identity_identity is None:
        words = "The decedent is not identified."
    else:
        words = (
            f"Identity is {case.identity_identity}: {METHOD_WORDS[case.identity_method]}, "
            f"{case.identity_made_by}, {_moment(case.identity_made_at)}. {case.identity_basis}"
        ).strip()
    return _text("identity", "Identification", words)


def _photographs_of(case: Any) -> dict[str, list[int]]:
    numbers: dict[str, list[int]] = defaultdict(list)
    for shown in case.review_shown:
        numbers[shown["finding"]].append(shown["photograph"])
    return numbers


def _passage(finding: Finding, shown_on: dict[str, list[int]], sizes: Sizes) -> Passage:
    measured = sizes.get(str(finding.pk), [])
    passage = {
        "key": f"finding-{finding.number}",
        "finding": str(finding.pk),
        "number": finding.number,
        "photographs": shown_on.get(str(finding.pk), []),
        "group": finding.klass,
        "text": _whole_text(finding, measured_words(measured)),
    }
    if measured:
        names = ("photograph", "photograph_id", "measurement")
        passage["measured"] = [{name: use[name] for name in names} for use in measured]
    return passage


def _whole_text(finding: Finding, measured: str) -> str:
    """What was seen, how it was measured, layer by layer, then apart from it what it may mean."""
    when = timing_sentence(finding.klass, finding.timing, begin_small(finding.timing_ground))
    parts = [sentence_of(finding), measured, paths_words(finding), layers_words(finding), when]
    for one in finding.interpretations.all():
        ground = f"; {begin_small(one.ground.rstrip('.'))}" if one.ground else ""
        sure = f" ({one.confidence})" if one.confidence else ""
        parts.append(
            f"{_MEANING[Strength(one.standing)].format(begin_small(one.statement.rstrip('.')))}{ground}{sure}."
        )
    return " ".join(part for part in parts if part)


def _injuries(findings: list[Finding], shown_on: dict[str, list[int]], sizes: Sizes) -> Section:
    injuries = [f for f in findings if f.klass == FindingClass.INJURY]
    passages: list[Passage] = []
    if injuries:
        note = "Numbers in brackets are those of the body chart; P marks a photograph."
        counted = " ".join([*injury_counts_of(injuries).sentences, note])
        passages.append({"key": "injury-count", "text": counted})
    for finding in injuries:
        passage = _passage(finding, shown_on, sizes)
        passage["group"] = ""
        passages.append(passage)
    return {"key": "injury", "title": "Evidence of injury", "passages": passages}


def _not_injuries(findings: list[Finding], shown_on: dict[str, list[int]], sizes: Sizes) -> Section:
    others = [f for f in findings if f.klass != FindingClass.INJURY]
    order = {klass.value: n for n, klass in enumerate(FindingClass)}
    others.sort(key=lambda finding: (order[finding.klass], finding.number))
    return {
        "key": "other",
        "title": "Other findings",
        "passages": [_passage(finding, shown_on, sizes) for finding in others],
    }


def _organs(case: Any) -> Section:
    return {
        "key": "organs",
        "title": "Organ weights",
        "passages": [],
        "columns": ["Organ", "Weight", "Seen as"],
        "rows": [
            [
                ORGAN_WORDS[row["organ"]],
                f"{Decimal(row['weight_g']).normalize():f} g",
                row["seen_as"],
            ]
            for row in case.review_organs
        ],
    }


def _calculations(case: Any) -> Section:
    """What published methods gave, oldest first, each with its limits; then their sources once."""
    rows = list(reversed(calculations_of(case)))
    last_alive = last_alive_of(case)
    zone = settings.OFFICE_ZONE
    passages = [
        {
            "key": f"calculation-{row.pk}",
            "lead": find(row.method).title,
            "text": " ".join(
                [
                    report_text(row.method, row.inputs, row.result, row.measured_at, zone),
                    *cautions_about_last_alive(row.result, row.measured_at, last_alive, zone),
                ]
            ),
        }
        for row in rows
    ]
    for method in dict.fromkeys(row.method for row in rows):
        passages.append(
            {
                "key": f"method-{method}",
                "lead": f"Sources of the method: {begin_small(find(method).title)}",
                "text": sources_text(method),
            }
        )
    return {"key": "calculations", "title": "Calculations", "passages": passages}


def _specimens(rows: Iterable[Any]) -> Section:
    return {
        "key": "specimens",
        "title": "Specimens",
        "passages": [],
        "columns": ["Item", "Material", "Site", "Amount", "Container", "For"],
        "rows": [
            [
                numbered(row.item),
                row.labeled_material,
                row.site,
                row.amount_words,
                ", ".join(part for part in (row.container, row.preservative) if part),
                row.purpose,
            ]
            for row in rows
        ],
    }


def _chart(examination: Examination | None, findings: list[Finding]) -> dict[str, Any]:
    marks = [
        {
            "number": finding.number,
            "klass": finding.klass,
            "kind": mark.kind,
            "view": mark.view,
            "points": mark.points,
            "letter": mark.letter,
        }
        for finding in findings
        for mark in finding.marks.all()
    ]
    legend = [
        {
            "number": finding.number,
            "term": finding.term,
            "place": finding.place,
            "size": finding.size_words,
            "klass": finding.klass,
        }
        for finding in findings
    ]
    seen = examination is not None and (marks or examination.kind != "chart review")
    body = examination.chart_body if examination and seen else ""
    return {"body": body, "marks": marks, "legend": legend}
