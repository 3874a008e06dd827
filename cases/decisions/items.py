"""Which records a demand may reach: a reader for each kind, each in a fixed number of statements.

A room above registers a reader for a kind that it keeps (`register`). `register_copies` adds
redacted copies that this room does not know, `register_sent` what went out before.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from decimal import Decimal
from functools import cache
from uuid import UUID

from django.db.models import OuterRef, QuerySet, Subquery
from django.utils import timezone

from cases.court.models import RecordsRequest
from cases.decisions.models import Stop
from cases.decisions.proposal_rules import Earlier, words_that
from cases.decisions.rules import (
    Item,
    ItemKind,
    Mark,
    Redacted,
    StopKind,
    digest_of,
    is_minor,
    still_stops,
)
from cases.exhibits.models import Redaction, RedactionRequest
from cases.models import Case
from cases.review.models import Addendum, Report, SignedPdf
from cases.review.rules import ReportState
from cases.statements.models import Statement
from evidence.items.models import Item as KeptItem
from evidence.photographs.models import Photograph, SeriesPhotograph
from evidence.results.models import Result
from me_office.jobs.rules import JobState
from me_office.prepared import PreparedLists
from me_office.shell.templatetags.office import day

Reader = Callable[[Sequence[Case]], list[Item]]
# By the item's kind and key: how its redaction stands.
CopyReader = Callable[[Sequence[Case], RecordsRequest | None], Mapping[tuple[str, str], Redacted]]
SentReader = Callable[[Sequence[Case]], list[Earlier]]

_READERS: dict[ItemKind, list[Reader]] = {}
_COPIES: dict[str, CopyReader] = {}
_SENT: dict[str, SentReader] = {}


def register(kind: ItemKind, reader: Reader) -> None:
    """Add a reader of a kind; several may tell items of one kind."""
    if reader not in _READERS.setdefault(kind, []):
        _READERS[kind].append(reader)


def register_copies(key: str, reader: CopyReader) -> None:
    """Add a reader of redacted copies; the same key again replaces it."""
    _COPIES[key] = reader


def register_sent(key: str, reader: SentReader) -> None:
    """Add a reader of what was released before; the same key again replaces it."""
    _SENT[key] = reader


def items_of(
    kinds: Sequence[ItemKind], cases: Sequence[Case], asked: RecordsRequest | None = None
) -> list[Item]:
    """Return the records of these kinds in these cases, in their order, with what marks them.

    A redacted copy may hold for one request alone: `asked`.
    """
    if not cases or not kinds:
        return []
    marks = _marks_of_cases(cases)
    copies = {
        name: one for read in _COPIES.values() for name, one in read(cases, asked).items()
    }  # fmt: skip
    found = []
    for kind in dict.fromkeys(kinds):
        for read in _READERS.get(kind, []):
            for item in read(cases):
                found.append(_marked(item, marks[item.case_id], copies.get(item.name)))
    return found


def _marked(item: Item, of_case: frozenset[Mark], redacted: Redacted | None) -> Item:
    """Return an item with the marks of its case, and how its redaction stands."""
    own, told = item.marks | of_case, dict(item.told or {})
    copy = item.copy_digest
    if redacted is None:
        marks = own | {Mark.COPY_STANDS} if copy else own
        return replace(item, marks=marks)
    copy = copy or redacted.digest
    if copy:
        own |= {Mark.COPY_STANDS}
        told.setdefault(Mark.COPY_STANDS, redacted.words)
    elif redacted.marked:
        own |= {Mark.MARKED}
        told[Mark.MARKED] = redacted.why_not
    return replace(
        item, marks=own, told=told, copy_digest=copy, copy_key=item.copy_key or redacted.key,
        marked=redacted.marked,
        copy_lacks="" if copy else redacted.why_not,
    )  # fmt: skip


def sent_earlier(cases: Sequence[Case]) -> list[Earlier]:
    """Return what was released of these cases before, the earliest first."""
    return [one for read in _SENT.values() for one in read(cases)] if cases else []


def stops_in(cases: Sequence[Case]) -> list[Stop]:
    """Return what keeps these cases back, for one request or for all; one statement."""
    return _stops().objects(Stop, [case.pk for case in cases])


@cache
def _stops() -> PreparedLists:
    return PreparedLists(lambda cases: Stop.objects.active().filter(case__in=cases))


def _marks_of_cases(cases: Sequence[Case]) -> dict[UUID, frozenset[Mark]]:
    """Return what the files themselves say; one statement."""
    sealed = {
        stop.case_id
        for stop in stops_in(cases)
        if stop.kind == StopKind.SEALED and still_stops(stop.until, timezone.localdate())
    }
    found = {}
    for case in cases:
        marks = set()
        if case.restricted:
            marks.add(Mark.RESTRICTED)
        if of_a_minor(case):
            marks.add(Mark.JUVENILE)
        if case.pk in sealed:
            marks.add(Mark.SEALED)
        found[case.pk] = frozenset(marks)
    return found


@dataclass(frozen=True)
class CaseTold:
    """What of a case file keeps answers back by itself, as CASE_TOLD reads it."""

    key: UUID
    restricted: bool
    reported_at: datetime
    age_years: Decimal | None
    born_on: date | None

    @property
    def of_a_minor(self) -> bool | None:
        """Tell whether the decedent was younger than 18; None where the record does not say."""
        years = None if self.age_years is None else float(self.age_years)
        return is_minor(years, self.born_on, timezone.localdate(self.reported_at))


CASE_TOLD = ("id", "restricted", "reported_at", "decedent__age_years", "decedent__born_on")
"""The columns of a case by which it is told, in the order of its fields."""


def case_told(case: Case) -> CaseTold:
    """Return the same of a case that was read with its decedent."""
    decedent = case.decedent
    return CaseTold(
        case.pk, case.restricted, case.reported_at, decedent.age_years, decedent.born_on
    )


def of_a_minor(case: Case) -> bool | None:
    """Tell whether the decedent was younger than 18; None where the record does not say."""
    return case_told(case).of_a_minor


def stops_of(case: Case) -> list[tuple[str, StopKind]]:
    """Return what keeps answers back by the case file itself: by which name it is settled, what."""
    return stops_told(case_told(case))


def stops_told(case: CaseTold) -> list[tuple[str, StopKind]]:
    """Return the same of what was read of a case."""
    minor = case.of_a_minor
    found = [StopKind.RESTRICTED] if case.restricted else []
    found += [StopKind.JUVENILE] if minor else [StopKind.AGE] if minor is None else []
    return [(f"{kind.value}:{case.key}", kind) for kind in found]


def _report(cases: Sequence[Case]) -> list[Item]:
    kept = {
        pdf.case_id: pdf
        for pdf in SignedPdf.objects.active().filter(case__in=cases).select_related("file")
    }
    found = []
    for report in Report.objects.active().filter(case__in=cases).order_by("case", "id"):
        signed = report.state == ReportState.SIGNED
        pdf = kept.get(report.case_id)
        found.append(
            Item(
                ItemKind.REPORT, report.case_id, str(report.pk), "Report of examination",
                details="signed" if signed else f"not signed: {report.state}",
                digest=digest_of(report.pk, report.state, "" if signed else report.version),
                pages=pdf.pages if pdf else 0,
                files=1,
                size_bytes=pdf.file.size_bytes if pdf else 0,
                marks=frozenset() if signed else frozenset({Mark.NOT_SIGNED}),
            )
        )  # fmt: skip
    return found


def _addenda(cases: Sequence[Case]) -> list[Item]:
    rows = Addendum.objects.active().filter(case__in=cases).order_by("case", "number")
    return [
        Item(
            ItemKind.ADDENDUM, one.case_id, str(one.pk), one.kind.capitalize(),
            number=f"{one.kind.capitalize()} {one.number}", details=f"made {day(one.made_at)}",
            digest=digest_of(one.pk, one.version), place=one.number, pages=1, files=1,
        )
        for one in rows
    ]  # fmt: skip


def _photographs(cases: Sequence[Case]) -> list[Item]:
    """Read the log with series, redacted copies and those that are being made; one statement."""
    keys = [case.pk for case in cases]
    return [_photograph(one) for one in _log().objects(Photograph, keys)]


@cache
def _log() -> PreparedLists:
    return PreparedLists(_photographs_of)


def _photographs_of(cases: Sequence[UUID]) -> QuerySet[Photograph]:
    member = SeriesPhotograph.objects.active().filter(
        photograph=OuterRef("pk"), series__voided_at=None
    )
    copy = Redaction.objects.active().filter(photograph=OuterRef("pk"))
    asked = (
        RedactionRequest.objects.active()
        .filter(photograph=OuterRef("pk"))
        .exclude(state=JobState.MADE.value)
    )
    return (
        Photograph.objects.active()
        .filter(case__in=cases)
        .annotate(
            series_title=Subquery(member.order_by("created_at", "id").values("series__title")[:1]),
            copy_sha256=Subquery(copy.values("file__sha256")[:1]),
            copy_pk=Subquery(copy.values("pk")[:1]),
            copy_why=Subquery(copy.values("why")[:1]),
            asked_why=Subquery(asked.order_by("-created_at", "-id").values("why")[:1]),
        )
        .select_related("file")
        .defer("exif")
        .order_by("case", "number")
    )


def _photograph(one: Photograph) -> Item:
    read: dict[str, str | None] = one.__dict__
    told = words_that(f"{one.shows} {one.region}")
    if one.view == "identification":
        told[Mark.FACE] = "a photograph for identification"
    if read["copy_sha256"]:
        told[Mark.COPY_STANDS] = read["copy_why"] or ""
    elif read["asked_why"] is not None:
        told[Mark.COPY_ASKED] = read["asked_why"]
    marks = set(told)
    if not one.shows.strip():
        marks.add(Mark.NOT_DESCRIBED)
    place = one.get_place_display()
    scale = ", with scale" if one.with_scale else ""
    return Item(
        ItemKind.PHOTOGRAPH, one.case_id, str(one.pk), one.shows.strip() or "Not described",
        number=f"P {one.number}",
        details=f"{place}, {one.get_view_display()}{scale}",
        digest=digest_of(one.file.sha256, one.shows, one.region, one.place, one.view),
        place=one.number,
        series=read["series_title"] or place,
        files=1,
        size_bytes=one.file.size_bytes,
        marks=frozenset(marks),
        told=told,
        copy_digest=read["copy_sha256"] or "",
        copy_key=str(read["copy_pk"] or ""),
    )  # fmt: skip


def _results(cases: Sequence[Case]) -> list[Item]:
    replaced = Result.objects.active().filter(case__in=cases, replaces__isnull=False)
    rows = (
        Result.objects.active().filter(case__in=cases).exclude(pk__in=replaced.values("replaces"))
    )
    return [
        Item(
            ItemKind.RESULT, one.case_id, str(one.pk),
            f"{one.get_kind_display().capitalize()}, {one.organization}",
            number=f"Result {one.number}",
            details=f"{one.status}, reported {day(one.reported_on)}",
            digest=digest_of(one.pk, one.version),
            place=one.number, pages=1, files=1,
            told=(told := _living_only(one.statement)), marks=frozenset(told),
        )
        for one in rows.order_by("case", "number")
    ]  # fmt: skip


def _living_only(text: str) -> dict[Mark, str]:
    return {mark: said for mark, said in words_that(text).items() if mark is Mark.LIVING}


def _custody(cases: Sequence[Case]) -> list[Item]:
    counts: dict[UUID, int] = dict.fromkeys((case.pk for case in cases), 0)
    rows = KeptItem.objects.active().filter(case__in=cases).exclude(kind="photograph")
    for case_id in rows.values_list("case_id", flat=True):
        counts[case_id] += 1
    return [
        Item(
            ItemKind.CUSTODY, case.pk, str(case.pk), "Custody record",
            details=f"of {counts[case.pk]} item{'' if counts[case.pk] == 1 else 's'}, as it stands "
            "when the answer is built",
            digest=digest_of(case.pk, "custody"), files=1,
        )
        for case in cases
        if counts[case.pk]
    ]  # fmt: skip


def _statements(cases: Sequence[Case]) -> list[Item]:
    rows = Statement.objects.active().filter(case__in=cases).order_by("case", "given_on", "id")
    # Numbered in their own case: a choice from one number to another is of one case.
    places: Counter[UUID] = Counter()
    found = []
    for one in rows:
        places[one.case_id] += 1
        found.append(
            Item(
                ItemKind.STATEMENT, one.case_id, str(one.pk), str(one)[:200],
                details=f"given {day(one.given_on)}", digest=digest_of(one.pk, one.version),
                place=places[one.case_id], files=1, marks=frozenset({Mark.OF_OTHERS}),
            )
        )  # fmt: skip
    return found


def _history(cases: Sequence[Case]) -> list[Item]:
    return [
        Item(
            ItemKind.HISTORY, case.pk, str(case.pk), "History of the case file",
            details="every change, as it stands when the answer is built",
            digest=digest_of(case.pk, "history"), files=1,
        )
        for case in cases
    ]  # fmt: skip


def _ledger(cases: Sequence[Case]) -> list[Item]:
    return [
        Item(
            ItemKind.LEDGER, case.pk, str(case.pk), "Proof of the record",
            details="digests by which what is sent can be checked",
            digest=digest_of(case.pk, "ledger"), files=1,
        )
        for case in cases
    ]  # fmt: skip


for _kind, _reader in (
    (ItemKind.REPORT, _report),
    (ItemKind.ADDENDUM, _addenda),
    (ItemKind.PHOTOGRAPH, _photographs),
    (ItemKind.RESULT, _results),
    (ItemKind.CUSTODY, _custody),
    (ItemKind.STATEMENT, _statements),
    (ItemKind.HISTORY, _history),
    (ItemKind.LEDGER, _ledger),
):
    register(_kind, _reader)
