"""What follows the examination of an invented case: opinion, report, review, requests, packets."""

from __future__ import annotations

import hashlib
import json
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from cases.certification.models import Certification
from cases.court.models import RecordsRequest, Release
from cases.models import Case
from cases.packets.models import Packet
from cases.review.models import Report, ReportDraft, ReviewComment, ReviewDecision
from cases.rules.case import CaseState
from me_office.accounts.roles import Role
from tests.bench.examined import BODY, was_examined
from tests.bench.invented import Death, Words
from tests.bench.plan import PlannedCase, Team
from tests.bench.rows import Book
from tests.bench.seen import Examined

ANSWERED_AFTER = timedelta(days=60)


def write_report(book: Book, words: Words, case: PlannedCase, death: Death, seen: Examined) -> None:
    """Write cause and manner, the report, its drafts and their review."""
    if not was_examined(case) or (case.state is CaseState.OPEN and case.index % 2):
        return
    by, at = case.pathologist, case.after(days=12)
    assert by is not None
    pending = case.state is CaseState.OPEN
    book.next_act()
    book.record(
        Certification,
        at,
        by,
        act="state_cause_and_manner",
        case_id=case.key,
        cause_a="" if pending else death.cause,
        interval_a="" if pending else "minutes",
        contributing="Chronic lung disease",
        manner="pending" if pending else death.manner,
        basis=words.text(2),
        stated_at=at,
        stated_by_id=by.pk,
    )
    state = {CaseState.OPEN: "draft", CaseState.IN_REVIEW: "submitted"}.get(case.state, "signed")
    drafts = 0 if state == "draft" else 1 + case.index % 2
    book.next_act()
    report = book.record(
        Report,
        at,
        by,
        act="write_report",
        case_id=case.key,
        version=1 + drafts,
        state=state,
        author_id=by.pk,
        history=words.text(4),
        summary=words.text(4),
        opinion=words.text(5),
        drafts_sent=drafts,
        submitted_at=case.after(days=14) if drafts else None,
    )
    for number in range(1, drafts + 1):
        _draft(book, words, case, death, seen, report, number, last=number == drafts)


def _draft(
    book: Book,
    words: Words,
    case: PlannedCase,
    death: Death,
    seen: Examined,
    report: UUID,
    number: int,
    *,
    last: bool,
) -> None:
    by, at = case.pathologist, case.after(days=13 + number)
    assert by is not None
    content = _content(words, death, seen)
    sha256 = hashlib.sha256(json.dumps(content, sort_keys=True).encode()).hexdigest()
    book.next_act()
    draft = book.record(
        ReportDraft,
        at,
        by,
        case_id=case.key,
        report_id=report,
        number=number,
        content=content,
        sha256=sha256,
        submitted_at=at,
    )
    _moved(book, case, at, CaseState.OPEN, CaseState.IN_REVIEW, act="submit_report")
    decided = case.after(days=14 + number)
    for passage in content["sections"][0]["passages"][:2]:
        book.record(
            ReviewComment,
            decided,
            case.supervisor,
            act="comment_on_passage",
            case_id=case.key,
            draft_id=draft,
            passage=passage["key"],
            quoted=passage["text"],
            comment=words.text(1),
            answer="" if last and case.state is CaseState.IN_REVIEW else words.text(1),
        )
    if last and case.state is CaseState.IN_REVIEW:
        return
    outcome = "signed" if last else "returned"
    book.next_act()
    book.record(
        ReviewDecision,
        decided,
        case.supervisor,
        act="sign_off" if last else "return_report",
        case_id=case.key,
        draft_id=draft,
        outcome=outcome,
        words="" if last else words.text(2),
        decided_at=decided,
        decided_by_id=case.supervisor.pk,
        sha256=sha256,
    )
    to = CaseState.SIGNED if last else CaseState.OPEN
    act = "sign_off" if last else "return_report"
    _moved(book, case, decided, CaseState.IN_REVIEW, to, act=act)


def _moved(
    book: Book, case: PlannedCase, at: datetime, was: CaseState, to: CaseState, *, act: str
) -> None:
    book.event(
        Case,
        case.key,
        at,
        case.supervisor,
        case_id=case.key,
        act=act,
        operation="update",
        changes={"state": [was.value, to.value], "version": [2, 3]},
    )


def _content(words: Words, death: Death, seen: Examined) -> dict[str, Any]:
    """A draft in the shape of `cases.review.content`."""
    injuries = [one for one in seen.passages if not one["group"]]
    others = [one for one in seen.passages if one["group"]]
    opinion = [
        {"key": "cause", "lead": "Cause of death", "text": death.cause},
        {"key": "manner", "lead": "Manner of death", "text": death.manner},
        {"key": "opinion-1", "text": words.text(4)},
    ]
    sections = [
        {"key": "opinion", "title": "Opinion", "passages": opinion},
        _section("history", "History and circumstances", [words.text(4)]),
        _section("external", "External examination", [words.text(4)]),
        {"key": "injury", "title": "Evidence of injury", "passages": injuries},
        {"key": "other", "title": "Other findings", "passages": others},
        _section("internal", "Internal examination", [words.text(2), words.text(8)]),
        {
            **_section("organs", "Organ weights", []),
            "columns": ["Organ", "Weight", "Seen as"],
            "rows": seen.organs,
        },
        {
            **_section("specimens", "Specimens", []),
            "columns": ["Item", "Material", "Site", "Amount", "For"],
            "rows": seen.specimens,
        },
        _section("summary", "Summary of findings", [words.text(4)]),
    ]
    return {
        "facts": [{"label": "Place", "text": "Room 2"}],
        "sections": sections,
        "chart": {"body": BODY, "marks": seen.marks, "legend": seen.legend},
    }


def _section(key: str, title: str, texts: list[str]) -> dict[str, Any]:
    passages = [{"key": f"{key}-{n}", "text": text} for n, text in enumerate(texts, start=1)]
    return {"key": key, "title": title, "passages": passages}


def write_requests(book: Book, words: Words, case: PlannedCase, team: Team, now: datetime) -> None:
    """Write the requests for a signed case's records; what was asked long ago is answered."""
    if case.state is not CaseState.SIGNED or words.chance.random() > 0.35:
        return
    clerk = team.one(Role.RECORDS_CLERK, case.index)
    served = min(case.after(days=26 + words.chance.randint(0, 60)), now)
    answered = now - served > ANSWERED_AFTER or case.index % 3 == 0
    book.next_act()
    request = book.record(
        RecordsRequest,
        served,
        clerk,
        act="log_request",
        case_id=case.key,
        kind="subpoena",
        court="Circuit Court of Tarn County",
        cause_number=f"{served:%y}-CF-{case.index:05d}",
        party=words.person(),
        contact=words.address(),
        served_on=served.date(),
        due_on=(served + timedelta(days=21)).date(),
        asks_for="The whole case file with photographs.",
        state="answered" if answered else "open",
    )
    if not answered and case.index % 2:
        return
    at = served + timedelta(days=4)
    sha256 = hashlib.sha256(request.bytes).hexdigest()
    book.next_act()
    packet = book.record(
        Packet,
        at,
        clerk,
        act="build_packet",
        case_id=case.key,
        request_id=request,
        number=1,
        state="made",
        attempts=1,
        built_at=at,
        path=f"packets/{sha256}.zip",
        sha256=sha256,
        size_bytes=31_000_000,
        pages=17,
        photographs=6,
    )
    if answered:
        book.next_act()
        book.record(
            Release,
            at + timedelta(days=1),
            clerk,
            act="release_packet",
            case_id=case.key,
            request_id=request,
            packet_id=packet,
            packet_sha256=sha256,
            released_to=words.person(),
            method="courier",
            released_at=at + timedelta(days=1),
            released_by_id=clerk.pk,
        )
