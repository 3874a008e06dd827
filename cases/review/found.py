"""The report's sections on what was found: by class, and head to foot within it.

A finding has a passage of what was seen, and one of what it means. Several of a kind in one place
are told together.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable, Iterable, Iterator, Sequence
from typing import Any
from uuid import UUID

from django.conf import settings

from cases.review.measured import measured_words, sizes_on_photographs
from cases.review.rules import MEANING, PATH
from findings.body.views import SCHEMATICS
from findings.chart.reading import NOT_ON_CHART, ON_SCHEMATIC, head_to_foot
from findings.models import Finding
from findings.paths.queries import paths_words
from findings.prose.phrases import sentence
from findings.queries import (
    alike_key_of,
    injury_counts_of,
    layers_words,
    lies_of,
    meaning_of,
    sentence_of,
    told_together_of,
)
from findings.rules import FindingClass
from findings.words.terms import MECHANISMS

Passage = dict[str, Any]
Section = dict[str, Any]
WITHOUT_A_MECHANISM = "Without a recorded mechanism"
WITHOUT_A_PLACE = "Without a place on the chart"


class Seen:
    """The findings of a case with the photographs and measurements that show them.

    `shown` are rows of finding (its key) and photograph (its number), `uses` those of measurements.
    """

    def __init__(
        self,
        findings: Sequence[Finding],
        shown: Iterable[dict[str, Any]],
        uses: Iterable[dict[str, Any]],
    ) -> None:
        self.findings = findings
        self.shown_on: dict[str, list[int]] = defaultdict(list)
        for row in shown:
            self.shown_on[row["finding"]].append(row["photograph"])
        self.sizes = sizes_on_photographs(findings, uses)

    def injuries(self) -> Section:
        """Return the section of injuries: how many, then in the groups that the office wants."""
        injuries = [one for one in self.findings if one.klass == FindingClass.INJURY]
        passages: list[Passage] = []
        if injuries:
            note = sentence(injuries[0].phrasing.say("numbers"))
            counted = " ".join([*injury_counts_of(injuries).sentences, note])
            passages.append({"key": "injury-count", "text": counted})
        for heading, found in _grouped(injuries):
            passages += self._passages(found, heading)
        return {"key": "injury", "title": "Evidence of injury", "passages": passages}

    def other_findings(self) -> Section:
        """Return the section of everything else, by class."""
        passages: list[Passage] = []
        for klass in FindingClass:
            if klass == FindingClass.INJURY:
                continue
            of_class = [one for one in self.findings if one.klass == klass]
            # "Other" below "Other findings" says nothing, unless something stands before it.
            heading = klass.value if passages or klass != FindingClass.OTHER else ""
            for _, found in _by_part(of_class):
                passages += self._passages(found, heading)
        return {"key": "other", "title": "Other findings", "passages": passages}

    def _passages(self, findings: Sequence[Finding], group: str) -> Iterator[Passage]:
        for together in self._told_together(findings):
            yield self._described(together, group)
            if path := paths_words(together[0]):
                yield {
                    **_of(together),
                    "key": f"finding-{together[0].number}{PATH}",
                    "lead": "Path",
                    "group": group,
                    "text": path,
                }
            if meaning := meaning_of(together[0], several=len(together) > 1):
                yield {
                    **_of(together),
                    "key": f"finding-{together[0].number}{MEANING}",
                    "group": group,
                    "text": meaning,
                }

    def _told_together(self, findings: Sequence[Finding]) -> list[list[Finding]]:
        """Put those together that one sentence can tell; each group stands at its first one."""
        groups: dict[Hashable, list[Finding]] = {}
        for one in findings:
            measured = str(one.pk) in self.sizes
            key = None if measured else alike_key_of(one)
            groups.setdefault(one.pk if key is None else key, []).append(one)
        return [sorted(group, key=lambda one: one.number) for group in groups.values()]

    def _described(self, findings: Sequence[Finding], group: str) -> Passage:
        first = findings[0]
        said = sentence_of(first) if len(findings) == 1 else told_together_of(findings)
        measured = self.sizes.get(str(first.pk), [])
        parts = [
            said,
            measured_words(measured),
            layers_words(first, several=len(findings) > 1),
        ]
        shown = {number for one in findings for number in self.shown_on.get(str(one.pk), [])}
        passage = {
            **_of(findings),
            "key": f"finding-{first.number}",
            "number": first.number,
            "photographs": sorted(shown),
            "group": group,
            "text": " ".join(part for part in parts if part),
        }
        if measured:
            names = ("photograph", "photograph_id", "measurement")
            passage["measured"] = [{name: use[name] for name in names} for use in measured]
        return passage


def _of(findings: Sequence[Finding]) -> Passage:
    """Name whose passage it is; of several the first is named by itself, too."""
    named: Passage = {"finding": str(findings[0].pk)}
    if len(findings) > 1:
        named["told"] = [{"finding": str(one.pk), "number": one.number} for one in findings]
    return named


def speaks_of(passage: Passage, finding: UUID | str) -> bool:
    """Tell whether a passage is a finding's, alone or told together with others."""
    return str(finding) in findings_in(passage)


def findings_in(passage: Passage) -> list[str]:
    """Return the keys of the findings that a passage is of, as text; none for any other passage."""
    told = [one["finding"] for one in passage.get("told", [])]
    alone = passage.get("finding")
    return told or ([alone] if alone else [])


def _grouped(injuries: Sequence[Finding]) -> Iterator[tuple[str, list[Finding]]]:
    if settings.REPORT_INJURIES == "region":
        yield from _by_part(injuries)
        return
    by_mechanism: dict[str, list[Finding]] = defaultdict(list)
    for _, found in _by_part(injuries):
        for one in found:
            by_mechanism[one.mechanism.strip() or WITHOUT_A_MECHANISM].append(one)
    known = {words: place for place, words in enumerate(MECHANISMS)}
    for words in sorted(by_mechanism, key=lambda one: (known.get(one, len(known)), one)):
        yield words, by_mechanism[words]


def _by_part(findings: Sequence[Finding]) -> Iterator[tuple[str, list[Finding]]]:
    """Yield each part of the body with its findings; of drawings of a part, by drawing."""
    by_number = {one.number: one for one in findings}
    for heading, numbers in head_to_foot(lies_of(one) for one in findings):
        found = [by_number[number] for number in numbers]
        if heading == ON_SCHEMATIC:
            yield from _by_drawing(found)
        else:
            yield (WITHOUT_A_PLACE if heading == NOT_ON_CHART else heading), found


def _by_drawing(findings: Sequence[Finding]) -> Iterator[tuple[str, list[Finding]]]:
    for key, drawing in SCHEMATICS.items():
        if found := [one for one in findings if lies_of(one).view == key]:
            yield drawing.title, found
