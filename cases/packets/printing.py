"""The report as PDF: the values that its template prints, and the pictures beside them."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any
from uuid import UUID

from django.conf import settings
from django.core.files.storage import default_storage

from cases.packets.custody_record import custody_groups, when_words
from cases.packets.material import Material, signed_bytes
from cases.packets.measured import caution, printed_measurements
from cases.packets.outgoing import OutgoingPhotograph, outgoing_photographs
from cases.packets.photograph_log import scale_in_picture
from cases.packets.rules import ReleasedAs, number_ranges
from cases.review.models import Addendum
from cases.review.queries import leads_of, written_before
from cases.review.rules import ReportState
from evidence import store
from evidence.imaging import pictures
from evidence.photographs.queries import PacketPhotograph
from me_office.shell.templatetags.office import moment
from me_office.statements import COMMON_PRACTICE, statement
from me_office.typesetting import Typeset, typeset

TEMPLATE = Path(__file__).parent / "typst" / "report.typ"
PRINTED_PX = 1600
# The names of more don't fit beside the title.
NAMED_AT_TITLE = 4
BEFORE_AMENDMENT = "As signed, before this amendment changed the cause or the manner of death."
REVIEW_HEADINGS = {
    "signed": "Reviewed and signed by",
    "outside": "Reviewed outside the office by",
    "waived": "Not peer reviewed",
}
CAUTIONS = tuple(
    statement(f"report.foot-{number}", text, where="Report", source=COMMON_PRACTICE).text
    for number, text in enumerate(
        (
            "Cause and manner of death are decided by a licensed pathologist or the official whom "
            "the law names; this report is the pathologist’s opinion on what was known when it "
            "was signed.",
            "Measurements were taken on the body unless the text says otherwise. The body chart "
            "is a drawing: it shows where a finding is, not its true shape.",
            "A computed time of death or of injury is an estimate with the range that is stated. "
            "What may be released, and to whom, is governed by local law.",
        ),
        start=1,
    )
)


def print_report(
    material: Material,
    *,
    with_photographs: bool,
    sent: Sequence[OutgoingPhotograph] | None = None,
    beat: Callable[[int, int], None] = lambda done, total: None,
    place: Path | None = None,
    asked: Sequence[str] = (),
    large: bool = False,
) -> Typeset:
    """Compile the report. `beat` is told how many of the photographs are laid ready.

    They are laid into a folder of its own in `place`: thousands of pictures are too much for the
    machine's temporary folder, where a report without them is made.

    `sent` says in which form each photograph goes out; without it, as the office would send them.
    `asked` are labels of the document's metadata. `large` is a reading copy in large print.
    """
    if sent is None:
        sent = outgoing_photographs(material, with_photographs=with_photographs)
    with tempfile.TemporaryDirectory(prefix="report-", dir=place) as name:
        folder = Path(name)
        for chart in material.charts:
            (folder / f"{chart.view}.svg").write_text(chart.svg, encoding="utf-8")
        if with_photographs:
            for done, each in enumerate(sent, start=1):
                _lay_ready(each, folder / _picture_name(each.one))
                _lay_over(material.overlay_of(each.one), folder / _overlay_name(each.one))
                beat(done, len(sent))
        if material.is_signed:
            (folder / "signed-text.json").write_bytes(signed_bytes(material.content))
        at = material.decision.decided_at if material.decision else material.read_at
        values = report_values(material, with_photographs=with_photographs, sent=sent)
        return typeset(TEMPLATE, folder, values, at=at, asked=asked, large=large)


def _picture_name(one: PacketPhotograph) -> str:
    return f"photograph-{one.photograph.number}.jpg"


def _overlay_name(one: PacketPhotograph) -> str:
    return f"photograph-{one.photograph.number}.svg"


def _lay_ready(sent: OutgoingPhotograph, there: Path) -> None:
    """Put the screen-size copy where Typst finds it; make one where there is none yet.

    Of a redacted photograph it is the redacted copy's; the original is not touched.
    """
    if sent.is_redacted and sent.redaction:
        with store.open_stored(sent.redaction.screen_file) as source, there.open("wb") as copy:
            shutil.copyfileobj(source, copy)
        return
    if sent.one.screen_path:
        with default_storage.open(sent.one.screen_path) as source, there.open("wb") as copy:
            shutil.copyfileobj(source, copy)
        return
    with store.open_stored(sent.one.photograph.file) as original:
        there.write_bytes(pictures.smaller_copy(original, longest_px=PRINTED_PX))


def _lay_over(overlay: str, there: Path) -> None:
    if overlay:
        there.write_text(overlay, encoding="utf-8")


def report_values(
    material: Material, *, with_photographs: bool, sent: Sequence[OutgoingPhotograph] | None = None
) -> dict[str, Any]:
    """Return what the template prints, as plain values."""
    case, content = material.case, material.content
    before = _written_before(material)
    amended = _amended(material, before)
    if sent is None:
        sent = outgoing_photographs(material, with_photographs=with_photographs)
    return {
        "office": {
            "name": settings.OFFICE_NAME,
            "address": settings.OFFICE_ADDRESS,
            "phone": settings.OFFICE_PHONE,
        },
        "case": {"label": case.label, "name": material.name},
        "mark": draft_mark(material),
        "facts": [
            {**fact, "amended": amended.get(f"fact-{fact['label']}", [])}
            for fact in content["facts"]
        ],
        "sections": [_section(section, amended) for section in content["sections"]],
        "since": added_since(material.addenda),
        "addenda": [_addendum(material, one, before.get(one.pk, [])) for one in material.addenda],
        "late_results": [one.printed() for one in material.late_results],
        "sign_off": _sign_off(material),
        "signatures": material.plan.printed() if material.plan else None,
        "charts": [
            {
                "file": f"{chart.view}.svg",
                "title": chart.title,
                "alternative": chart.alternative,
                "whole_body": chart.whole_body,
            }
            for chart in material.charts
        ],
        "legend": _legend(content),
        "photographs": [_photograph(material, each) for each in sent] if with_photographs else [],
        "log": [_log_row(each) for each in sent],
        "redactions": [_redaction(each) for each in sent if each.is_redacted],
        "measurements": printed_measurements(material.measurements),
        "measured_caution": caution(material.measurements),
        "withdrawn": [
            f"P {one.number} was withdrawn: {one.void_reason}"
            for one in material.withdrawn_photographs
        ],
        "custody": custody_groups(material.custody),
        "cautions": list(CAUTIONS),
        "zone": settings.TIME_ZONE.replace("_", " "),
    }


def draft_mark(material: Material) -> str:
    """Say, on every page, that this is not the signed report; empty when it is."""
    if material.is_signed:
        return ""
    draft = material.draft
    if draft is not None:
        return f"DRAFT {draft.number} of {moment(draft.submitted_at)} · in review, not signed"
    report = material.report
    sent_back = report is not None and report.state == ReportState.RETURNED
    state = "sent back, not signed" if sent_back else "not signed"
    return f"DRAFT · {state} · as the case file reads on {moment(material.read_at)}"


def _section(section: dict[str, Any], amended: dict[str, list[int]]) -> dict[str, Any]:
    return {
        "key": section["key"],
        "title": section["title"],
        "passages": [
            {
                "key": passage["key"],
                "lead": passage.get("lead", ""),
                "text": passage["text"],
                "amended": amended.get(passage["key"], []),
                "group": passage.get("group", "").capitalize(),
                "numbers": _numbers(passage),
                "photographs": number_ranges(passage.get("photographs", [])),
                "measured": [
                    [use["photograph"], use["measurement"]] for use in passage.get("measured", [])
                ],
            }
            for passage in section["passages"]
        ],
        "columns": section.get("columns", []),
        "rows": section.get("rows", []),
    }


def _numbers(passage: dict[str, Any]) -> list[int]:
    """Return the numbers of the findings that a passage describes."""
    if told := passage.get("told"):
        return [one["number"] for one in told] if passage.get("number") else []
    return [passage["number"]] if passage.get("number") else []


def _written_before(material: Material) -> dict[UUID, list[str]]:
    """Return, by the amendment of cause or manner, the keys of the opinion written before it."""
    found: dict[UUID, list[str]] = {}
    for key, one in written_before(material.addenda, material.content).items():
        found.setdefault(one.pk, []).append(key)
    return found


def _amended(material: Material, before: dict[UUID, list[str]]) -> dict[str, list[int]]:
    """Return, by the passage's key, the numbers of the amendments that concern it."""
    found: dict[str, list[int]] = {}
    for one in material.addenda:
        for key in [*(passage.key for passage in one.passages.all()), *before.get(one.pk, [])]:
            found.setdefault(key, []).append(one.number)
    return found


def added_since(addenda: Sequence[Addendum]) -> str:
    """Name what was added to a signed report, in as many words as fit beside its title."""
    named = [f"{one.kind} {one.number}" for one in addenda]
    if len(named) <= NAMED_AT_TITLE:
        return f"{', '.join(named)}."
    return f"{len(named)} addenda and amendments, the last {named[-1]}."


def _legend(content: dict[str, Any]) -> list[dict[str, Any]]:
    shown = {
        passage["number"]: passage.get("photographs", [])
        for section in content["sections"]
        for passage in section["passages"]
        if passage.get("number")
    }
    drawn = {mark["number"] for mark in content["chart"]["marks"]}
    return [
        {
            **{name: entry[name] for name in ("number", "term", "place", "size", "klass")},
            "photographs": number_ranges(entry.get("photographs", shown.get(entry["number"], []))),
            "drawn": entry["number"] in drawn,
        }
        for entry in content["chart"]["legend"]
    ]


def printed_addendum(material: Material, one: Addendum) -> dict[str, Any]:
    """Return what a document of its own prints of an addendum or amendment."""
    return _addendum(material, one, _written_before(material).get(one.pk, []))


def _addendum(material: Material, one: Addendum, before: Sequence[str]) -> dict[str, Any]:
    lines, leads = material.lines, leads_of(material.content)
    passages = [
        *((passage.key, passage.lead, passage.now_words) for passage in one.passages.all()),
        *((key, leads[key], BEFORE_AMENDMENT) for key in before),
    ]
    return {
        "number": one.number,
        "title": f"{one.kind.capitalize()} {one.number}",
        "who": one.signed_as or one.made_by.printed_name,
        "when": moment(one.made_at),
        "amends": one.amends,
        "text": one.text,
        "why": one.why,
        "rests_on": str(one.rests_on) if one.rests_on else "",
        "passages": [
            {"lead": lead, "words": words, "lines": lines[key].words if key in lines else ""}
            for key, lead, words in passages
        ],
    }


def _sign_off(material: Material) -> dict[str, Any] | None:
    decision, draft, report = material.decision, material.draft, material.report
    if decision is None or draft is None or report is None:
        return None
    outside, waived = decision.outcome == "outside", decision.outcome == "waived"
    peer = decision.signed_as or decision.decided_by.printed_name
    # Titles of those who signed before titles were kept are today's.
    author_title, peer_title = draft.signed_title, decision.signed_title
    if author_title is None:
        author_title = report.author.job_title
    if peer_title is None:
        peer_title = decision.decided_by.job_title
    return {
        "author": draft.signed_as or report.author.printed_name,
        "author_title": author_title,
        "author_did": "Signed as author" if draft.signed_as else "Examined and reported by",
        "statement": draft.statement,
        "sent": moment(draft.submitted_at),
        "review_heading": REVIEW_HEADINGS[decision.outcome],
        "reviewer": decision.outside_name if outside else "" if waived else peer,
        "reviewer_title": "" if outside or waived else peer_title,
        "review": decision.sentence if outside or waived else "",
        "when": moment(decision.decided_at),
        "words": "" if waived else decision.words,
        "sha256": decision.sha256,
    }


def _photograph(material: Material, sent: OutgoingPhotograph) -> dict[str, Any]:
    one, photograph = sent.one, sent.one.photograph
    shows = photograph.shows.strip() or "Not described."
    shows = shows if shows.endswith((".", "!", "?")) else f"{shows}."
    taken = f"{moment(photograph.taken_at)}, " if photograph.taken_at else ""
    kinds = (photograph.get_view_display(), scale_in_picture(one), photograph.region)
    drawn = material.overlay_words_of(one)
    return {
        "file": _picture_name(one),
        "overlay": _overlay_name(one) if drawn else "",
        "drawn": drawn,
        "number": photograph.number,
        "shows": shows,
        "alternative": f"Photograph {photograph.number}: {shows}",
        "kind": ", ".join(kind for kind in kinds if kind),
        "taken": f"{taken}{photograph.photographer}",
        "findings": [{"number": f.number, "term": f.term.lower()} for f in one.findings],
        "measured": [measured.number for measured in material.measured_on(photograph)],
        "sent": _sent_words(sent),
        "sha256": one.sha256,
    }


def _sent_words(sent: OutgoingPhotograph) -> str:
    """Say in which form a photograph goes out, where it is not the plain original."""
    if sent.is_redacted:
        return f"Redacted copy; the original stays with the office. Reason: {sent.why}"
    if sent.form is ReleasedAs.COPY:
        return f"Sent as a copy without metadata: {sent.made}."
    return sent.why


def _log_row(sent: OutgoingPhotograph) -> dict[str, Any]:
    one, photograph = sent.one, sent.one.photograph
    redacted = " (redacted copy)" if sent.is_redacted else ""
    return {
        "number": photograph.number,
        "cells": [
            when_words(photograph.taken_at),
            photograph.photographer,
            f"{photograph.get_view_display()}, {scale_in_picture(one)}",
            f"{photograph.shows}{redacted}",
        ],
        "findings": [finding.number for finding in one.findings],
        "sha256": one.sha256[:12],
    }


def _redaction(sent: OutgoingPhotograph) -> dict[str, Any]:
    redaction = sent.redaction
    if redaction is None:
        raise TypeError("Nothing is hidden in this photograph")
    return {
        "number": sent.one.photograph.number,
        "why": redaction.why,
        "by": f"{redaction.created_by.printed_name}, {when_words(redaction.created_at)}",
        "how": f"{len(redaction.regions)} covered or blurred",
        "sha256": redaction.file.sha256[:12],
    }
