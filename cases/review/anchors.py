"""What a comment can be about in a draft: a passage, a finding, a mark, a photograph, or all."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from cases.review.comment_rules import Anchor
from cases.review.found import findings_in
from cases.review.queries import passage_text, passages_of
from evidence.photographs.models import Photograph
from findings.body.views import view_title
from findings.models import Mark

Content = Mapping[str, Any]
WHOLE = "The whole draft"


@dataclass(frozen=True)
class About:
    """What a comment is about: how it reads or is called, and of which finding it is."""

    quoted: str
    of_finding: str = ""


def about(case_id: UUID, content: dict[str, Any], anchor: Anchor, key: str) -> About | None:
    """Return what a key means in a draft, or None where there is no such thing in it."""
    if anchor is Anchor.DRAFT:
        return About(WHOLE) if not key else None
    if anchor is Anchor.PASSAGE:
        text = passage_text(content, key)
        return None if text is None else About(text)
    try:
        record_id = UUID(key)
    except ValueError:
        return None
    findings = findings_told(content)
    if anchor is Anchor.FINDING:
        words = findings.get(key)
        return None if words is None else About(words, key)
    if anchor is Anchor.MARK:
        return _marks_told(case_id, findings).get(record_id)
    shot = Photograph.objects.active().filter(pk=record_id, case=case_id).first()
    return None if shot is None else About(_photograph_words(shot.number))


def findings_told(content: Content) -> dict[str, str]:
    """Return what each finding of a draft is called, by its key, in the order of its number."""
    legend = {row["number"]: row for row in content["chart"]["legend"]}
    numbers: dict[str, int] = {}
    for passage in passages_of(dict(content)):
        for one in passage.get("told", []):
            numbers[one["finding"]] = one["number"]
        if "number" in passage:
            numbers.setdefault(passage["finding"], passage["number"])
    ordered = sorted(numbers.items(), key=lambda item: item[1])
    return {key: _finding_words(number, legend.get(number)) for key, number in ordered}


def offered(case_id: UUID, content: Content, photographs: Mapping[int, UUID]) -> list[Any]:
    """Return what a comment can be about as choices of a form, in one statement.

    Of the photographs those that the draft names; a passage has its own way to comment.
    """
    told = findings_told(content)
    named = sorted({n for passage in passages_of(dict(content)) for n in _shown_in(passage)})
    groups: list[Any] = [
        ("Findings", [(f"{Anchor.FINDING}:{key}", words) for key, words in told.items()]),
        (
            "Marks on the body chart",
            [
                (f"{Anchor.MARK}:{key}", one.quoted)
                for key, one in _marks_told(case_id, told).items()
            ],
        ),
        (
            "Photographs",
            [
                (f"{Anchor.PHOTOGRAPH}:{photographs[n]}", _photograph_words(n))
                for n in named
                if n in photographs
            ],
        ),
    ]
    whole = (f"{Anchor.DRAFT}:", WHOLE)
    return [whole, *((title, rows) for title, rows in groups if rows)]


def _marks_told(case_id: UUID, told: Mapping[str, str]) -> dict[UUID, About]:
    """Return what each mark of a draft's findings is called; those of one name are numbered."""
    rows = (
        Mark.objects.active().filter(case=case_id).order_by("finding__number", "created_at", "id")
    )
    marks = [
        (one.pk, finding, _mark_words(told[finding], one.view))
        for one in rows.only("finding_id", "view")
        if (finding := str(one.finding_id)) in told
    ]
    many, seen = Counter(words for _, _, words in marks), Counter[str]()
    found = {}
    for key, finding, words in marks:
        seen[words] += 1
        number = f", mark {seen[words]} of {many[words]}" if many[words] > 1 else ""
        found[key] = About(f"{words}{number}", finding)
    return found


def place_in(content: Content, anchor: str, key: str, of_finding: str) -> str:
    """Return the key of the passage or table beside which a comment stands; empty for none."""
    if anchor == Anchor.PASSAGE:
        return key if passage_text(dict(content), key) is not None else ""
    if of_finding:
        for passage in passages_of(dict(content)):
            if of_finding in findings_in(passage):
                return str(passage["key"])
    return ""


def _shown_in(passage: Mapping[str, Any]) -> Iterator[int]:
    yield from passage.get("photographs", [])


def _finding_words(number: int, row: Mapping[str, Any] | None) -> str:
    if row is None:
        return f"Finding {number}"
    where = f", {row['place']}" if row["place"] else ""
    return f"Finding {number}: {row['term'].lower()}{where}"


def _mark_words(finding: str, view: str) -> str:
    head, _, rest = finding.partition(":")
    return f"Mark of {head.lower()}, {view_title(view).lower()}{':' if rest else ''}{rest}"


def _photograph_words(number: int) -> str:
    return f"Photograph {number}"
