"""The whole report as plain values, read from the case file in a fixed number of statements.

`report_content` returns what is frozen when a draft is sent, shown on the page, compared before
sign-off and printed: `{"facts": [...], "sections": [...], "chart": {...}}`. A section has `key`,
`title` and `passages`, and may have `columns` and `rows` (a table). A passage has a stable `key`
and `text`; it may have `lead` (printed bold), `group` (a sub-heading), `finding` and `number` (the
finding's), `told` (the same of each, where several are told together), `photographs` (their
numbers) and `measured` (photograph, its key and the measurement's number).
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.conf import settings

from cases.certification.facts import death_facts, injury_facts
from cases.models import Identification
from cases.review.found import Passage, Section, Seen
from cases.review.kept import kept_sections, numbered, received_section
from cases.review.models import Report
from cases.review.queries import case_to_report_on
from cases.review.reported import FromOutside, day_words, from_outside, sections_of
from cases.review.rules import ReportState
from cases.review.scene import scene_section
from findings.calculations.registry import find
from findings.computing.last_alive import cautions_about_last_alive, last_alive_of
from findings.computing.queries import calculations_of
from findings.computing.wording import report_text, sources_text
from findings.models import Examination, Finding
from findings.organs.models import OrganWeight
from findings.postmortem.queries import postmortem_rows_words
from findings.queries import findings_of, worded
from findings.systems.rules import slide_title, whole_sentences
from findings.systems.wording import system_passages, systems_taken
from findings.words.sentences import begin_small
from me_office.moments import written_out, written_span

METHOD_WORDS = dict(Identification.METHODS)
ORGAN_WORDS = dict(OrganWeight.ORGANS)
# What is measured with the examination, and beside which part of which system it is told.
TOLD_WITH_A_PART = (
    ("cavities", "peritoneal-cavity", "blood_words"),
    ("cardiovascular", "coronary-arteries", "coronary_words"),
)


def report_content(case_id: UUID, findings: list[Finding] | None = None) -> dict[str, Any]:
    """Return the report of one case as plain values (see the module)."""
    return content_of(case_to_report_on(case_id), findings)


def content_of(
    case: Any, findings: list[Finding] | None = None, outside: FromOutside | None = None
) -> dict[str, Any]:
    """Return the same from what `case_to_report_on` has read, in ten more statements at most.

    `findings` and `outside` are those of the case where they were read already.
    """
    examination = getattr(case, "examination", None)
    report = getattr(case, "report", None)
    findings = findings_of(case) if findings is None else findings
    if report is not None and report.state == ReportState.SUBMITTED:
        # Under review: as the office worded it when the draft was sent.
        worded(findings, report.submitted_at)
    outside = from_outside(case.pk) if outside is None else outside
    seen = Seen(findings, case.review_shown, case.review_measured)
    opinion = [
        _text("summary", "Summary of findings", report.summary if report else ""),
        _opinion(case, report),
    ]
    sections = [
        _history(case, report),
        scene_section(case),
        _paragraphs("external", "External examination", examination, "clothing", "external"),
        seen.injuries(),
        _postmortem(case, examination),
        seen.other_findings(),
        _paragraphs("treatment", "Evidence of treatment", examination, "treatment"),
        _internal(case, examination),
        _organs(case),
        _microscopic(case),
        *sections_of(outside),
        _calculations(case),
        _specimens([row for row in outside.specimens if not row.is_of_others]),
        received_section(outside.specimens),
        *kept_sections(outside.things),
    ]
    is_first = settings.REPORT_OPINION == "first"
    sections = [_identity(case), *(opinion * is_first), *sections, *(opinion * (not is_first))]
    return {
        "facts": _facts(case, examination),
        "sections": [section for section in sections if section["passages"] or section.get("rows")],
        "chart": _chart(examination, findings, seen.shown_on),
    }


def _facts(case: Any, examination: Examination | None) -> list[dict[str, str]]:
    decedent = case.decedent
    who = [decedent.full_name, decedent.age_words, decedent.sex]
    facts = [("Case", case.label), ("Decedent", ", ".join(part for part in who if part))]
    if examination is not None:
        began, ended = examination.began_at, examination.ended_at
        zone = settings.OFFICE_ZONE
        when = written_span(began, ended, zone) if ended else written_out(began, zone)
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
        ground = f": {case.decision_ground}" if case.decision_ground else ""
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
    return written_out(value, settings.OFFICE_ZONE)


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


def _internal(case: Any, examination: Examination | None) -> Section:
    """What was written of the whole, then each body system of which anything is decided."""
    fields = ["cavities", "blood_words", "internal", "coronary_words", "deep_dissection"]
    beside = {}
    taken = systems_taken(case.review_systems)
    for system, part, name in TOLD_WITH_A_PART:
        if examination is not None and system in taken:
            beside[part] = getattr(examination, name)
            fields.remove(name)
    section = _paragraphs("internal", "Internal examination", examination, *fields)
    section["passages"] += system_passages(case.review_systems, beside)
    return section


def _microscopic(case: Any) -> Section:
    """Each slide with what was seen, who read it and when, by its number."""
    rows = sorted(case.review_slides, key=lambda row: int(row["number"]))
    return {
        "key": "microscopic",
        "title": "Microscopic examination",
        "passages": [
            {
                "key": f"microscopic-{row['number']}",
                "lead": f"Slide {slide_title(row['label'], row['tissue'], row['stain'])}",
                "text": f"{whole_sentences(row['seen'])} Read by {row['read_by']}, "
                f"{day_words(date.fromisoformat(row['read_on']))}.",
            }
            for row in rows
        ],
    }


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


def _chart(
    examination: Examination | None, findings: list[Finding], shown_on: dict[str, list[int]]
) -> dict[str, Any]:
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
            "photographs": shown_on.get(str(finding.pk), []),
        }
        for finding in findings
    ]
    seen = examination is not None and (marks or examination.kind != "chart review")
    body = examination.chart_body if examination and seen else ""
    return {"body": body, "marks": marks, "legend": legend}
