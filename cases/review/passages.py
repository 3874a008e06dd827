"""Where the signed report speaks of a finding, a photograph or an organ, and what touched it since.

The page and the lines are those of the signed report's PDF, which is kept as it was made
(`SignedPdf`). While it is not kept yet, or the report is not signed, they are not known.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from cases.models import Case
from cases.review.content import report_content
from cases.review.found import findings_in
from cases.review.lines import Lines
from cases.review.models import Addendum
from cases.review.queries import addenda_of, signed_draft, written_before
from evidence.photographs.models import Photograph
from findings.models import Finding
from findings.organs.models import OrganWeight


@dataclass(frozen=True)
class Touch:
    """An amendment that concerns a passage; `now` is how the passage reads since.

    `now` is None where the amendment left the words as they are and changed the cause or the manner
    that they were written for, and empty where it took the passage out.
    """

    number: int
    kind: str
    made_at: datetime
    made_by: str
    why: str
    now: str | None


@dataclass(frozen=True)
class PassageAt:
    """One passage of the report: its words as signed, its place in the PDF, what came since."""

    key: str
    section: str
    lead: str
    words: str
    lines: Lines | None
    signed_at: datetime | None
    touched_by: tuple[Touch, ...] = ()

    @property
    def page(self) -> int | None:
        """Its page in the signed PDF, or None: not signed, or the PDF is not made yet."""
        return self.lines.page if self.lines else None

    @property
    def first_line(self) -> int | None:
        """Its first line on that page."""
        return self.lines.first if self.lines else None

    @property
    def last_line(self) -> int | None:
        """Its last line, on `lines.last_page`."""
        return self.lines.last if self.lines else None

    @property
    def where(self) -> str:
        """Its place as it is cited, or why there is none."""
        if self.lines:
            return self.lines.words
        return "page not known yet" if self.signed_at else "not signed"

    @property
    def changed_since(self) -> bool:
        """Tell whether an amendment says that it reads otherwise now."""
        return any(touch.now is not None for touch in self.touched_by)


@dataclass(frozen=True)
class ReportPassages:
    """Every passage of a case's report: as signed, or as it reads now while it is not signed."""

    signed_at: datetime | None
    passages: tuple[PassageAt, ...]
    content: dict[str, Any]


def passages_about(
    case: Case,
    *,
    finding_ids: Collection[UUID] = (),
    photograph_ids: Collection[UUID] = (),
    organs: Collection[str] = (),
) -> list[PassageAt]:
    """Return the passages that speak of any of these, in reading order.

    Four statements for a signed report and a dozen for one that is not, whatever is asked for.
    `organs` are keys of `OrganWeight.ORGANS`.
    """
    report = report_passages(case)
    wanted = {str(key) for key in finding_ids}
    numbers = set(
        Photograph.objects.filter(case=case, pk__in=photograph_ids).values_list("number", flat=True)
    )
    weighed = {dict(OrganWeight.ORGANS)[organ] for organ in organs}
    keys = set(_keys_about(report.content, wanted, numbers, weighed))
    return [passage for passage in report.passages if passage.key in keys]


def report_passages(case: Case, findings: list[Finding] | None = None) -> ReportPassages:
    """Return every fact, passage and row of the report with its place and what touched it.

    `findings` are those of the case where they were read already.
    """
    draft = signed_draft(case.pk)
    kept = getattr(draft, "signed_pdf", None)
    content = draft.content if draft else report_content(case.pk, findings)
    signed_at = draft.decision.decided_at if draft else None
    lines: dict[str, Lines] = kept.places if kept else {}
    touches = _touches(addenda_of(case.pk), content) if draft else {}
    passages = tuple(
        PassageAt(
            key=key,
            section=section,
            lead=lead,
            words=words,
            lines=lines.get(key),
            signed_at=signed_at,
            touched_by=tuple(touches.get(key, ())),
        )
        for key, section, lead, words in _parts(content)
    )
    return ReportPassages(signed_at, passages, content)


def _parts(content: dict[str, Any]) -> Iterator[tuple[str, str, str, str]]:
    """Yield (key, section, lead, words) of each fact, passage and row, in reading order."""
    for fact in content["facts"]:
        yield f"fact-{fact['label']}", "", fact["label"], fact["text"]
    for section in content["sections"]:
        for passage in section["passages"]:
            yield passage["key"], section["title"], passage.get("lead", ""), passage["text"]
        for key, cells in _rows(section):
            yield key, section["title"], cells[0], ", ".join(cell for cell in cells[1:] if cell)


def _rows(section: dict[str, Any]) -> Iterator[tuple[str, list[str]]]:
    for number, cells in enumerate(section.get("rows", []), start=1):
        yield f"{section['key']}-row-{number}", cells


def _keys_about(
    content: dict[str, Any], findings: set[str], photographs: set[int], organs: set[str]
) -> Iterator[str]:
    for section in content["sections"]:
        for passage in section["passages"]:
            shown = {
                *passage.get("photographs", ()),
                *(use["photograph"] for use in passage.get("measured", ())),
            }
            if findings & set(findings_in(passage)) or shown & photographs:
                yield passage["key"]
        if section["key"] == "organs":
            for key, cells in _rows(section):
                if cells[0] in organs:
                    yield key


def _touches(addenda: list[Addendum], content: dict[str, Any]) -> dict[str, list[Touch]]:
    found: dict[str, list[Touch]] = {}
    before = written_before(addenda, content)
    for addendum in addenda:
        for passage in addendum.passages.all():
            found.setdefault(passage.key, []).append(_touch(addendum, passage.now))
        for key, one in before.items():
            if one.pk == addendum.pk:
                found.setdefault(key, []).append(_touch(addendum, None))
    return found


def _touch(addendum: Addendum, now: str | None) -> Touch:
    return Touch(
        number=addendum.number,
        kind=addendum.kind,
        made_at=addendum.made_at,
        made_by=addendum.signed_as or addendum.made_by.printed_name,
        why=addendum.why,
        now=now,
    )
