"""Side by side: what the report says, what was said before, what the record holds now."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from cases.models import Case
from cases.review.queries import addenda_of, amended_passages, passages_of, signed_content
from cases.statements import queries
from cases.statements.queries import Said
from findings.models import Finding
from findings.queries import findings_of, position_words, sentence_of


@dataclass(frozen=True)
class Beside:
    """A finding or a topic: words of the report, what was said, and the record's own figures."""

    title: str
    said: list[Said]
    finding: Finding | None = None
    reported: str = ""
    amended: list[dict[str, Any]] = field(default_factory=list)
    sentence: str = ""
    figures: list[tuple[str, str]] = field(default_factory=list)

    @property
    def differing(self) -> int:
        """How many passages have a figure that differs from the record's, questions left aside."""
        return sum(1 for one in self.said if any(not d.in_question for d in one.differences))

    @property
    def asked(self) -> int:
        """In how many passages a figure differs only in what somebody asked."""
        return sum(1 for one in self.said if one.differences) - self.differing


@dataclass(frozen=True)
class SideBySide:
    """All findings and topics of which something was said; `sent` tells of a report."""

    findings: list[Beside]
    topics: list[Beside]
    sent: bool


def side_by_side(case: Case) -> SideBySide:
    """Return everything of which something was said before, in a fixed number of statements."""
    case = queries.case_to_compare(case.pk)
    findings = findings_of(case)
    said = queries.said_about(case, [one.pk for one in findings])
    content = signed_content(case.pk)
    reported = {
        one.get("finding"): one for one in passages_of(content) if one.get("finding")
    } if content else {}  # fmt: skip
    amended = amended_passages(addenda_of(case.pk)) if content else {}
    figures = queries.topics_in_record(case)
    return SideBySide(
        findings=[
            _of_finding(one, said[one.pk], reported.get(str(one.pk)), amended)
            for one in findings
            if one.pk in said
        ],
        topics=[
            Beside(
                topic,
                told,
                figures=[("Record", figures[topic.casefold()].words)]
                if topic.casefold() in figures
                else [],
            )
            for topic, told in queries.said_by_topic(case).items()
        ],
        sent=content is not None,
    )


def _of_finding(
    finding: Finding,
    said: list[Said],
    passage: dict[str, Any] | None,
    amended: dict[str, list[dict[str, Any]]],
) -> Beside:
    figures = [
        ("Size", finding.size_words or "not measured"),
        ("Position", "; ".join(position_words(finding)) or finding.place or "not recorded"),
        ("Impacts", finding.impacts_words or "no number recorded"),
    ]
    return Beside(
        title=f"{finding.number} {finding.term}",
        said=said,
        finding=finding,
        reported=passage["text"] if passage else "",
        amended=amended.get(passage["key"], []) if passage else [],
        sentence=sentence_of(finding),
        figures=figures,
    )
