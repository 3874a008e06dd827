"""What of a case can be found: each thing with its words, its numbers and its page."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from django.db import models
from django.db.models import Prefetch
from django.urls import reverse

from cases.case_search.rules import Kind, Named, numbered_as
from cases.case_search.seen import SeenFinding, seen_findings
from cases.exhibits.models import Exhibit, ExhibitPart
from cases.models import (
    BodyReceipt,
    Case,
    Identification,
    JurisdictionDecision,
    Medication,
    Person,
    Place,
    ReportOfDeath,
    Scene,
)
from cases.review.models import Addendum
from cases.review.passages import report_passages
from cases.statements.models import StatementPage
from evidence.custody.models import Seal, Transfer
from evidence.items.models import Item
from evidence.photographs.models import Photograph, active_links
from evidence.results.queries import current_results

Address = tuple[str, dict[str, Any], str]


@dataclass(frozen=True)
class Findable:
    """One thing that a case holds: what it says, by which numbers it is named, where it lies."""

    title: str
    text: str
    address: Address
    named: frozenset[Named] = frozenset()
    regions: frozenset[str] = frozenset()

    @property
    def url(self) -> str:
        """Its page."""
        name, kwargs, suffix = self.address
        return f"{reverse(name, kwargs=kwargs)}{suffix}"


@dataclass
class InCase:
    """A case whose parts are read once."""

    case: Case
    numbers_of: dict[Any, int] = field(default_factory=dict)

    @cached_property
    def findings(self) -> list[SeenFinding]:
        """Its active findings."""
        return seen_findings(self.case)

    @cached_property
    def photographs(self) -> list[Photograph]:
        """Its active photographs by number, with what is said of them and which findings they show.

        Without their files and what the camera noted, which nobody looks for here.
        """
        rows = Photograph.objects.active().filter(case=self.case).order_by("number")
        said = rows.only("number", "region", "shows", "view", "photographer")
        return list(said.prefetch_related(_links()))

    @cached_property
    def regions(self) -> dict[Any, frozenset[str]]:
        """The regions of the body on which each finding lies, by its key."""
        return {one.key: one.regions for one in self.findings}

    def at(self, name: str, suffix: str = "", **more: Any) -> Address:
        """Return the address of a page of the case."""
        return name, {"case_id": self.case.pk, **more}, suffix


def _links() -> Prefetch[str, Any, str]:
    said = active_links().only("photograph_id", "finding__number", "finding__term")
    return Prefetch("finding_links", said, to_attr="active_links")


def _passages(within: InCase) -> Iterator[Findable]:
    # What an unsigned report says of a finding is said by the finding itself: it is found once.
    report = report_passages(within.case, [])
    shown = {
        passage["key"]: passage
        for section in report.content["sections"]
        for passage in section["passages"]
    }
    for one in report.passages:
        passage = shown.get(one.key, {})
        named = {numbered_as(Kind.PHOTOGRAPH, number) for number in passage.get("photographs", ())}
        if passage.get("number"):
            named.add(numbered_as(Kind.FINDING, passage["number"]))
        where = f", {one.lines.words}" if one.lines else ""
        title = " · ".join(part for part in (one.section, one.lead) if part)
        anchor = "" if one.key.startswith("fact-") or "-row-" in one.key else f"#passage-{one.key}"
        yield Findable(
            title=f"{title}{where}",
            text=f"{one.lead} {one.words}".strip(),
            address=within.at("review:report", anchor),
            named=frozenset(named),
        )
    for added in Addendum.objects.active().filter(case=within.case).order_by("number"):
        yield Findable(
            title=f"{added.kind.capitalize()} {added.number}",
            text=" ".join(part for part in (added.text, added.amends, added.why) if part),
            address=within.at("review:addenda", f"#addendum-{added.number}"),
            named=frozenset({numbered_as(Kind.ADDENDUM, added.number)}),
        )


def _findings(within: InCase) -> Iterator[Findable]:
    shown: dict[Any, set[Named]] = {}
    for photograph in within.photographs:
        for link in photograph.active_links:
            number = numbered_as(Kind.PHOTOGRAPH, photograph.number)
            shown.setdefault(link.finding_id, set()).add(number)
    for one in within.findings:
        yield Findable(
            title=one.title,
            text=one.words,
            address=within.at("findings:chart", f"?finding={one.key}"),
            named=frozenset({numbered_as(Kind.FINDING, one.number), *shown.get(one.key, ())}),
            regions=one.regions,
        )


def _photographs(within: InCase) -> Iterator[Findable]:
    for one in within.photographs:
        links = one.active_links
        regions = (within.regions.get(link.finding_id, frozenset()) for link in links)
        seen = "; ".join(f"finding {link.finding.number} {link.finding.term}" for link in links)
        yield Findable(
            title=f"P {one.number}" + (f", {one.region}" if one.region else ""),
            text=". ".join(
                part for part in (one.shows, seen, one.get_view_display(), one.photographer) if part
            ),
            address=within.at("evidence:photograph", photograph_id=one.pk),
            named=frozenset({numbered_as(Kind.PHOTOGRAPH, one.number)}),
            regions=frozenset().union(*regions),
        )


def _exhibits(within: InCase) -> Iterator[Findable]:
    rows = Exhibit.objects.active().filter(case=within.case, exhibit_set__voided_at=None)
    parts = Prefetch("parts", ExhibitPart.objects.active().select_related("photograph"))
    for one in rows.select_related("exhibit_set", "photograph").prefetch_related(parts):
        yield Findable(
            title=f"Exhibit {one.number}, {one.exhibit_set.title}",
            text=f"{one.caption} {one.plain_words}".strip(),
            address=within.at("exhibits:exhibit", set_id=one.exhibit_set_id, exhibit_id=one.pk),
            named=frozenset(
                {
                    numbered_as(Kind.EXHIBIT, one.number),
                    *(numbered_as(Kind.PHOTOGRAPH, shown.number) for shown in one.photographs),
                }
            ),
        )


def _items(within: InCase) -> Iterator[Findable]:
    rows = Item.objects.active().filter(case=within.case).exclude(kind="photograph")
    items = list(
        rows.select_related("specimen", "property", "kit", "collected_by").order_by("number")
    )
    said: dict[Any, list[str]] = {}
    for seal in Seal.objects.active().filter(item__in=items):
        said.setdefault(seal.item_id, []).append(f"Seal {seal.number}, {seal.applied_by}.")
    for moved in Transfer.objects.active().filter(item__in=items).order_by("at", "id"):
        words = f"{moved.from_party} to {moved.to_party}, {moved.purpose}. {moved.note}"
        said.setdefault(moved.item_id, []).append(words)
    for one in items:
        whats = [getattr(one, name, None) for name in ("specimen", "property", "kit")]
        yield Findable(
            title=f"Item {one.number}, {one.title}",
            text=" ".join(
                [
                    *(words_of(what) for what in whats if what is not None),
                    f"Collected by {one.collected_by}." if one.collected_by else "",
                    *said.get(one.pk, ()),
                ]
            ),
            address=within.at("custody:item", item_id=one.pk),
            named=frozenset({numbered_as(Kind.ITEM, one.number)}),
        )


def _results(within: InCase) -> Iterator[Findable]:
    for one in current_results(within.case.pk):
        lines = (f"{line.analyte} {line.words} {line.matrix}." for line in one.reported_lines)
        items = [numbered_as(Kind.ITEM, item.number) for item in one.named_items]
        yield Findable(
            title=f"{one}, {one.organization}",
            text=" ".join([one.statement, one.reported_by, one.reference, *lines]),
            address=within.at("results:one", result_id=one.pk),
            named=frozenset({numbered_as(Kind.RESULT, one.number), *items}),
        )


# Where each kind of record of the case file is read.
CASE_FILE: tuple[tuple[type[models.Model], str, str], ...] = (
    (ReportOfDeath, "Report of death", "cases:report"),
    (JurisdictionDecision, "Jurisdiction", "cases:report"),
    (Scene, "Scene", "cases:scene"),
    (Place, "Place", "cases:scene"),
    (Medication, "Medication", "cases:scene"),
    (Person, "Person", "cases:scene"),
    (BodyReceipt, "Receipt of the body", "cases:body"),
    (Identification, "Identification", "cases:body"),
)


def _case_file(within: InCase) -> Iterator[Findable]:
    for model, title, page in CASE_FILE:
        for row in model._default_manager.filter(case=within.case, voided_at=None):
            name = str(getattr(row, "name", "") or getattr(row, "address", ""))
            yield Findable(
                title=f"{title}, {name}" if name else title,
                text=words_of(row),
                address=within.at(page),
            )


def words_of(row: models.Model) -> str:
    """Return what stands in the text fields of a record, choices in their words."""
    said = []
    for one in row._meta.concrete_fields:
        if one.name in {"void_reason"} or not isinstance(one, models.CharField | models.TextField):
            continue
        value = getattr(row, one.attname)
        shown = getattr(row, f"get_{one.name}_display")() if one.choices and value else value
        if shown:
            said.append(f"{str(shown).rstrip('.')}.")
    return " ".join(said)


def _statements(within: InCase) -> Iterator[Findable]:
    pages = StatementPage.objects.filter(case=within.case, statement__voided_at=None)
    rows = pages.select_related("statement").order_by("statement__given_on", "statement", "number")
    for one in rows:
        yield Findable(
            title=f"{one.statement}, page {one.number}",
            text=" ".join(words for _, words in one.lines),
            address=within.at("statements:page", statement_id=one.statement_id, number=one.number),
        )


Source = Callable[[InCase], Iterator[Findable]]
# In the order in which a page shows them: its key, its heading, what reads it.
SOURCES: tuple[tuple[str, str, Source], ...] = (
    ("report", "Report", _passages),
    ("findings", "Findings", _findings),
    ("photographs", "Photographs", _photographs),
    ("exhibits", "Exhibits", _exhibits),
    ("items", "Specimens and items", _items),
    ("results", "Results", _results),
    ("statements", "Earlier statements", _statements),
    ("case-file", "Case file", _case_file),
)
