"""What the report says of a finding, what amended it, and what changed since it was signed."""

from __future__ import annotations

import re
from typing import Any
from uuid import UUID

from django.urls import reverse

from cases.review.found import speaks_of
from cases.review.lines import Lines
from cases.review.models import Addendum
from cases.review.queries import passages_of
from cases.review.rules import MEANING
from cases.witness.addresses import history_url
from cases.witness.answers import PassageAnswer, Ref, ReportAnswer, Said, Since
from cases.witness.reading import CaseRead
from findings.models import Finding
from me_office.audit.models import AuditEvent
from me_office.shell.templatetags.office import day, moment


def about_report(read: CaseRead) -> ReportAnswer:
    """How the report of the case stands."""
    url = reverse("review:report", kwargs={"case_id": read.case.pk})
    history = reverse("history:case-history", kwargs={"case_id": read.case.pk})
    events = [one.event for one in read.changes]
    changed = _since(read, events, "the findings and photographs of the case", history)
    if read.signed is None:
        return ReportAnswer(
            None, Said("The report is not signed.", recorded=False), (), changed, url
        )
    state = Said(f"Signed {moment(read.case.signed_at)}.")
    addenda = tuple(ref_to(read, one) for one in read.addenda)
    return ReportAnswer(read.case.signed_at, state, addenda, changed, url)


def passages_about(read: CaseRead, finding: Finding) -> tuple[PassageAnswer, ...]:
    """The passages about a finding: as signed where there is a signed text, else as they stand."""
    content = read.signed or read.record
    record = {one["key"]: one["text"] for one in passages_of(read.record)}
    found = []
    for section in content["sections"]:
        for passage in section["passages"]:
            if speaks_of(passage, finding.pk):
                title = passage.get("group") or section["title"]
                found.append(_passage(read, passage, title, record.get(passage["key"], "")))
    return tuple(found)


def _passage(read: CaseRead, passage: dict[str, Any], title: str, record: str) -> PassageAnswer:
    key, words = passage["key"], passage["text"]
    now = words
    touched = []
    for addendum in read.addenda:
        for amended in addendum.passages.all():
            if amended.key == key:
                now = amended.now
                touched.append(ref_to(read, addendum))
    url = reverse("review:report", kwargs={"case_id": read.case.pk})
    lines = read.lines.get(key)
    return PassageAnswer(
        key=key,
        title=title,
        words=words,
        page=lines.page if lines else None,
        first_line=lines.first if lines else None,
        last_line=lines.last if lines else None,
        signed_at=read.case.signed_at if read.signed else None,
        now="" if now == words else now,
        record="" if record == now else record,
        touched_by=tuple(touched),
        url=f"{url}#passage-{key}",
        where=_where(read, lines),
        pdf_url=_pdf(read, lines),
        is_meaning=key.endswith(MEANING),
        taken_out=bool(touched) and not now,
    )


def _where(read: CaseRead, lines: Lines | None) -> str:
    """As it is cited: "page 3, lines 12 to 14", or why it can't be."""
    if lines:
        return lines.words
    return "not signed" if read.signed is None else "page not known yet"


def _pdf(read: CaseRead, lines: Lines | None) -> str:
    """The page of the signed PDF on which a passage begins."""
    if read.signed is None:
        return ""
    pdf = reverse("packets:signed-report-pdf", kwargs={"case_id": read.case.pk})
    return f"{pdf}#page={lines.page}" if lines else pdf


def ref_to(read: CaseRead, addendum: Addendum) -> Ref:
    """Where an addendum or amendment is read, with its day and reason."""
    page = reverse("review:addenda", kwargs={"case_id": read.case.pk})
    kind = addendum.get_kind_display()
    words = f"{kind[:1].upper()}{kind[1:]} {addendum.number}, {day(addendum.made_at)}"
    return Ref(f"{words}: {addendum.why}", f"{page}#addendum-{addendum.number}")


def amended_by(read: CaseRead, finding: Finding) -> tuple[Ref, ...]:
    """Every addendum and amendment that touches a finding: its passage, its data, or by number."""
    content = read.signed or read.record
    keys = {one["key"] for one in passages_of(content) if speaks_of(one, finding.pk)}
    named = re.compile(rf"\bfindings? (?:\d+(?:,| and|, and) )*{finding.number}\b", re.IGNORECASE)
    return tuple(
        ref_to(read, one)
        for one in read.addenda
        if any(passage.key in keys for passage in one.passages.all())
        or any(str(change.get("record", "")) == str(finding.pk) for change in one.changes)
        or named.search(f"{one.amends} {one.text}")
    )


def changed_since(read: CaseRead, record_id: UUID, what: str) -> Since:
    """What was changed of a finding or photograph since the signature."""
    table = {"finding": "findings_finding", "photograph": "evidence_photograph"}[what]
    events = [one.event for one in read.changes if str(record_id) in one.of]
    return _since(read, events, f"this {what}", history_url(read.case.pk, table, record_id))


def _since(read: CaseRead, events: list[AuditEvent], what: str, url: str) -> Since:
    if read.signed is None:
        return Since("The report is not signed yet.", False, url)
    signed = "since the report was signed"
    acts = {one.transaction: one for one in events}
    if not acts:
        return Since(f"Nothing was changed in {what} {signed}.", False, url)
    last = acts[max(acts)]
    times = "once" if len(acts) == 1 else f"{len(acts)} times"
    who = f" by {last.actor_name}" if last.actor_name else ""
    words = f"{what[:1].upper()}{what[1:]} changed {times} {signed}, last {moment(last.at)}{who}."
    return Since(words, True, url)
