"""Side by side: what the report says, what was said before, what the record holds now."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from cases.models import Case
from cases.review.found import findings_in
from cases.review.passages import Touch, report_passages
from cases.review.queries import passages_of, signed_content, signed_draft
from cases.statements import queries
from cases.statements.queries import Said
from findings.models import Finding
from findings.queries import findings_of, position_words, sentence_of


@dataclass(frozen=True)
class Reported:
    """What the report says, where in its PDF, and what amendments made of it since."""

    words: str
    where: str
    touched_by: tuple[Touch, ...] = ()


@dataclass(frozen=True)
class Beside:
    """A finding or a topic: words of the report, what was said, and the record's own figures."""

    title: str
    said: list[Said]
    finding: Finding | None = None
    reported: Reported | None = None
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
    reported = _reported(case)
    figures = queries.topics_in_record(case)
    return SideBySide(
        findings=[
            _of_finding(one, said[one.pk], (reported or {}).get(str(one.pk)))
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
        sent=reported is not None,
    )


def _reported(case: Case) -> Mapping[str, Reported] | None:
    """Return what the report says of findings, by their keys; None where none was sent.

    As it was signed; before that as the draft says it that is under review.
    """
    if signed_draft(case.pk) is None:
        content = signed_content(case.pk)
        if content is None:
            return None
        return {
            key: Reported(" ".join(one["text"] for one in of), "draft under review, not signed")
            for key, of in _by_finding(content).items()
        }
    report = report_passages(case)
    by_key = {one.key: one for one in report.passages}
    return {
        key: Reported(
            " ".join(one["text"] for one in of),
            "; ".join(dict.fromkeys(by_key[one["key"]].where for one in of)),
            tuple(touch for one in of for touch in by_key[one["key"]].touched_by),
        )
        for key, of in _by_finding(report.content).items()
    }


def _by_finding(content: dict[str, Any]) -> dict[str, list[dict[str, Any]]]:
    """Return the passages of each finding, by its key: what was seen, and what it means."""
    found: dict[str, list[dict[str, Any]]] = {}
    for passage in passages_of(content):
        for key in findings_in(passage):
            found.setdefault(key, []).append(passage)
    return found


def _of_finding(finding: Finding, said: list[Said], reported: Reported | None) -> Beside:
    figures = [
        ("Size", finding.size_words or "not measured"),
        ("Position", "; ".join(position_words(finding)) or finding.place or "not recorded"),
        ("Impacts", finding.impacts_words or "no number recorded"),
    ]
    return Beside(
        title=f"{finding.number} {finding.term}",
        said=said,
        finding=finding,
        reported=reported,
        sentence=sentence_of(finding),
        figures=figures,
    )
