"""Reads of results: those of a case, which are current, and what is not available."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from typing import Any
from uuid import UUID

from django.contrib.postgres.expressions import ArraySubquery
from django.db.models import OuterRef, Prefetch, Q, QuerySet
from django.db.models.functions import JSONObject

from cases.models import Case
from evidence.custody.models import Transfer
from evidence.items.models import Item
from evidence.results.models import Result, ResultItem, ResultLine
from evidence.results.rules import LINE_FIELDS, NotAvailable, Party, Reported, Taken, not_available
from findings.systems.models import MicroscopicSlide
from findings.words.sentences import begin_small
from me_office.audit.errors import known
from me_office.prepared import PreparedRows


def results_of(case_id: UUID) -> list[Result]:
    """Return the results of a case, newest first, withdrawn ones too; three statements."""
    rows = Result.objects.filter(case=case_id).select_related("created_by", "replaces")
    return list(_whole(rows).order_by("-number"))


def current_results(case_id: UUID) -> list[Result]:
    """Return what was not withdrawn and not replaced, oldest first; one statement.

    Lines and items come with it: read `reported_lines` and `named_items`.
    """
    return _current().objects(Result, case_id)


@cache
def _current() -> PreparedRows:
    return PreparedRows(_current_of)


def _current_of(case_id: UUID) -> QuerySet[Any]:
    replaced = Result.objects.active().filter(case=case_id, replaces__isnull=False)
    rows = Result.objects.active().filter(case=case_id).select_related("created_by", "replaces")
    lines = ResultLine.objects.filter(result=OuterRef("pk")).order_by("place")
    links = ResultItem.objects.filter(result=OuterRef("pk")).order_by("item__number")
    read = rows.annotate(
        read_lines=ArraySubquery(lines.values(read=JSONObject(**{n: n for n in LINE_FIELDS}))),
        read_items=ArraySubquery(
            links.values(read=JSONObject(id="item_id", number="item__number", title="item__title"))
        ),
    )
    return read.exclude(pk__in=replaced.values("replaces")).order_by("number")


def late_numbers(case_id: UUID, *, until: datetime | None = None) -> list[int]:
    """Return the numbers of the current results that came after the signature; one statement.

    `until` leaves out what was recorded later, as if it were that moment.
    """
    rows = Result.objects.active().filter(case=case_id)
    if until is not None:
        rows = rows.filter(created_at__lte=until)
    replaced = rows.filter(replaces__isnull=False).values("replaces")
    late = rows.filter(after_signing=True).exclude(pk__in=replaced)
    return list(late.order_by("number").values_list("number", flat=True))


def _whole(rows: Any) -> Any:
    items = ResultItem.objects.select_related("item__specimen").order_by("item__number")
    return rows.prefetch_related(
        Prefetch("item_links", items), Prefetch("lines", ResultLine.objects.order_by("place"))
    )


def result_of(case: Case, result_id: UUID) -> Result:
    """Return a result of the case with its lines and items. Raises NotKnown."""
    rows = Result.objects.filter(case=case, pk=result_id).select_related("created_by", "replaces")
    found: Result | None = _whole(rows).first()
    return known(found, "result")


def replacement_of(result: Result) -> Result | None:
    """Return the result that took the place of another, or None."""
    found: Result | None = Result.objects.active().filter(replaces=result).first()
    return found


def items_to_name(case: Case) -> list[Item]:
    """Return the items that a result may be about: all but photographs and withdrawn ones."""
    rows = Item.objects.active().filter(case=case).exclude(kind="photograph")
    return list(rows.select_related("specimen").order_by("number"))


@dataclass(frozen=True)
class Kept:
    """Specimens and other things of a case, by item number.

    `handed_to` holds, by the specimen's key, the parties to whom it or its kit was handed, in their
    order: name, staff, purpose, receipt, said.
    """

    specimens: list[Any]
    things: list[Any]
    handed_to: dict[UUID, list[dict[str, Any]]]
    # Of which tissues slides were read in this office.
    tissues: list[str]


def kept_in_office(case_id: UUID) -> Kept:
    """Return what the office keeps of a case, in one statement."""
    kept = Kept([], [], {}, [])
    items: list[Any] = _items_kept().objects(Item, case_id)
    for item in items:
        kept.tissues[:] = item.tissues
        if (specimen := getattr(item, "specimen", None)) is not None:
            kept.handed_to[specimen.pk] = item.handed_to
            kept.specimens.append(specimen)
        elif (thing := getattr(item, "property", None)) is not None:
            kept.things.append(thing)
    return kept


@cache
def _items_kept() -> PreparedRows:
    return PreparedRows(_kept_of)


def _kept_of(case_id: UUID) -> QuerySet[Any]:
    moved = (
        Transfer.objects.active()
        .filter(Q(item=OuterRef("pk")) | Q(item=OuterRef("container")))
        .order_by("at", "id")
    )
    party = JSONObject(
        name="to_party",
        staff="to_staff_id",
        purpose="purpose",
        receipt="receipt_id",
        said="to_where",
    )
    slides = MicroscopicSlide.objects.active().filter(case=OuterRef("case")).order_by("number")
    return (
        Item.objects.filter(case=case_id)
        .filter(
            Q(specimen__isnull=False, specimen__voided_at=None)
            | Q(property__isnull=False, property__voided_at=None)
        )
        .select_related("container", "specimen", "property__finding")
        .annotate(
            handed_to=ArraySubquery(moved.values(party=party)),
            tissues=ArraySubquery(slides.values("tissue")),
        )
        .order_by("number")
    )


def taken_words(material: str, site: str) -> str:
    """Return what a specimen is named by where its examinations are asked for."""
    return f"{begin_small(material)}, {begin_small(site)}"


def not_available_in(case_id: UUID, results: Iterable[Result] | None = None) -> list[NotAvailable]:
    """Return what is not on file or never left the office; one statement beside the results."""
    current = current_results(case_id) if results is None else results
    return not_available_of(kept_in_office(case_id), current)


def not_available_of(kept: Kept, results: Iterable[Result]) -> list[NotAvailable]:
    """Return the same from what `kept_in_office` and `current_results` have read."""
    taken = [
        Taken(
            one.item.number,
            taken_words(one.material, one.site),
            one.purpose,
            [
                Party(
                    to["name"],
                    to["staff"] is not None,
                    to["purpose"],
                    to["receipt"] is not None,
                    to["said"],
                )
                for to in kept.handed_to[one.pk]
            ],
        )
        for one in kept.specimens
    ]
    reported = [
        Reported(one.kind, one.status, frozenset(item.number for item in one.named_items))
        for one in results
    ]
    return not_available(taken, reported, kept.tissues)
