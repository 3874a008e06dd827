"""Reads of report and review."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any
from uuid import UUID

from django.db.models import Prefetch

from cases.certification.models import Certification
from cases.models import Case
from cases.review.models import Addendum, Report, ReportDraft, ReviewComment
from cases.review.rules import Readiness
from findings.models import Examination


def report_of(case_id: UUID) -> Report | None:
    """Return the report's own words and state, or None."""
    return Report.objects.filter(case_id=case_id).select_related("author").first()


def drafts_of(case_id: UUID) -> list[ReportDraft]:
    """Return all drafts, newest first, with their comments and decisions; three statements."""
    return list(
        ReportDraft.objects.filter(case_id=case_id)
        .select_related("decision__decided_by", "created_by", "report")
        .prefetch_related(
            Prefetch(
                "comments",
                ReviewComment.objects.filter(voided_at=None)
                .select_related("created_by", "answered_by")
                .order_by("created_at", "id"),
            )
        )
        .order_by("-number")
    )


def addenda_of(case_id: UUID) -> list[Addendum]:
    """Return addenda and amendments in their order."""
    return list(
        Addendum.objects.filter(case_id=case_id, voided_at=None)
        .select_related("made_by")
        .order_by("number")
    )


def readiness_of(case: Case) -> Readiness:
    """Return what the rules need to know before the report may go to review."""
    examination = Examination.objects.filter(case=case).first()
    certification = Certification.objects.filter(case=case).first()
    report = Report.objects.filter(case=case).first()
    unanswered = ReviewComment.objects.filter(case=case, voided_at=None, answer="").count()
    return Readiness(
        examination_opened=examination is not None,
        examination_ended=bool(examination and examination.ended_at),
        circumstances_reviewed=bool(examination and examination.circumstances_reviewed),
        cause_stated=certification is not None,
        opinion_written=bool(report and report.opinion.strip()),
        unanswered_comments=unanswered,
    )


def passages_of(content: dict[str, Any]) -> Iterator[dict[str, Any]]:
    """Yield every passage of a report's content, in reading order."""
    for section in content["sections"]:
        yield from section["passages"]


def passage_text(content: dict[str, Any], key: str) -> str | None:
    """Return the text of one passage, or of a section's title, or None when there is none."""
    for section in content["sections"]:
        if section["key"] == key:
            return str(section["title"])
    for passage in passages_of(content):
        if passage["key"] == key:
            lead = f"{passage['lead']}: " if passage.get("lead") else ""
            return f"{lead}{passage['text']}"
    return None
