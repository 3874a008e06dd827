"""Reads of what waits and of what is measured, in a fixed number of statements."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from functools import lru_cache
from typing import Any
from uuid import UUID

from django.conf import settings
from django.contrib.postgres.aggregates import ArrayAgg
from django.contrib.postgres.expressions import ArraySubquery
from django.db.models import Exists, F, Min, OuterRef, Q, QuerySet, Subquery
from django.db.models.functions import JSONObject
from django.utils import timezone

from cases.access import cases_open_to
from cases.certification.models import Certification
from cases.certification.rules import Manner
from cases.measures.figures import Examined, Returned
from cases.measures.rules import Period, day_of
from cases.measures.waits import Wait, WaitKind
from cases.models import Case
from cases.review.blind import reviews_held_from
from cases.review.comment_rules import RETURN_CAUSES
from cases.review.late import undealt
from cases.review.models import DraftReview, ReviewDecision
from cases.review.rules import ReportState
from cases.rules.case import CaseState
from evidence.results.models import Result, ResultItem
from evidence.results.queries import taken_words
from evidence.results.rules import Kind, Reported, Taken, not_available
from evidence.specimens.models import Specimen
from findings.models import Examination
from findings.systems.models import MicroscopicSlide
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role

# Of each kind this many are read, the oldest first; an office with more is told so.
MOST_WAITING = 1000
# The examinations of a year of the largest office, several times over.
MOST_EXAMINED = 20_000
NOTHING_OUTSTANDING = "nothing is outstanding on file"


@dataclass(frozen=True)
class Waiting:
    """What waits in cases open to a person, and of which kinds there is more than was read."""

    waits: list[Wait]
    cut: tuple[WaitKind, ...] = ()


def sees_all(actor: Staff) -> bool:
    """Tell whether somebody sees what waits for others, and their figures."""
    return actor.has_role(Role.SUPERVISOR)


def waiting(actor: Staff) -> Waiting:
    """Return what waits: for everybody where a supervisor asks, else what is the person's own.

    Eight statements at most.
    """
    reports = _reports(actor)
    pending = _pending(actor)
    found = [_not_examined(actor), reports, _outstanding(reports, pending), _late(actor)]
    waits = [one for rows in found for one in rows[:MOST_WAITING]]
    waits += _with_reasons(pending[:MOST_WAITING], found[2])
    own = str(actor.pk)
    if not sees_all(actor):
        waits = [one for one in waits if one.concerns(own)]
    return Waiting(waits, _cut([*found, pending]))


def _cut(found: list[list[Wait]]) -> tuple[WaitKind, ...]:
    kinds = {one.kind for rows in found if len(rows) > MOST_WAITING for one in rows}
    return tuple(kind for kind in WaitKind if kind in kinds)


def _day(moment: datetime) -> date:
    return day_of(moment, settings.OFFICE_ZONE)


def _key(value: object) -> str:
    return "" if value is None else str(value)


def _label(row: Mapping[str, Any], prefix: str = "") -> str:
    case = Case(number=row[f"{prefix}number"], reported_at=row[f"{prefix}reported_at"])
    return case.label


def _not_examined(actor: Staff) -> list[Wait]:
    examinations = Examination.objects.active().filter(case=OuterRef("pk"))
    rows = cases_open_to(actor).filter(~Exists(examinations), state=CaseState.OPEN.value)
    if not sees_all(actor):
        rows = rows.filter(pathologist=actor)
    read = rows.order_by("reported_at", "id").values(
        "id", "number", "reported_at", "pathologist_id"
    )
    return [
        Wait(
            WaitKind.NOT_EXAMINED, row["id"], _label(row), _day(row["reported_at"]),
            _key(row["pathologist_id"]),
        )
        for row in read[: MOST_WAITING + 1]
    ]  # fmt: skip


_STATE_KINDS = {
    None: WaitKind.NOT_BEGUN,
    ReportState.DRAFT.value: WaitKind.WRITING,
    ReportState.SUBMITTED.value: WaitKind.IN_REVIEW,
    ReportState.RETURNED.value: WaitKind.SENT_BACK,
}


def _reports(actor: Staff) -> list[Wait]:
    """Return the reports of examined cases that are not signed, by the day of the examination."""
    sent_back = (
        ReviewDecision.objects.active()
        .filter(case=OuterRef("pk"), outcome="returned")
        .order_by("-decided_at")
    )
    rows = cases_open_to(actor).filter(
        state__in=[CaseState.OPEN.value, CaseState.IN_REVIEW.value],
        examination__isnull=False,
        examination__voided_at=None,
    )
    asked = DraftReview.objects.filter(draft__report__case=OuterRef("pk"))
    named = Subquery(asked.order_by("-draft__number").values("reviewer")[:1])
    rows = rows.annotate(named=named)
    if not sees_all(actor):
        rows = rows.filter(Q(pathologist=actor) | Q(report__author=actor) | Q(named=actor.pk))
    read = rows.annotate(returned_at=Subquery(sent_back.values("decided_at")[:1])).values(
        "id", "number", "reported_at", "pathologist_id", "returned_at", "named",
        began_at=F("examination__began_at"), state_of=F("report__state"),
        author=F("report__author"), begun_at=F("report__created_at"),
        sent_at=F("report__submitted_at"), changed=F("report__changed_at"),
    )  # fmt: skip
    return [_report(row) for row in read.order_by("began_at", "id")[: MOST_WAITING + 1]]


def _report(row: Mapping[str, Any]) -> Wait:
    kind = _STATE_KINDS[row["state_of"]]
    person, also, since = _key(row["author"] or row["pathologist_id"]), "", row["began_at"]
    if kind is WaitKind.WRITING:
        since = row["begun_at"]
    elif kind is WaitKind.IN_REVIEW:
        person, also = _key(row["named"]), person
        since = row["sent_at"] or row["changed"]
    elif kind is WaitKind.SENT_BACK:
        since = row["returned_at"] or row["changed"]
    return Wait(kind, row["id"], _label(row), _day(since), person, also, _day(row["began_at"]))


def _pending(actor: Staff) -> list[Wait]:
    # Who is to form an opinion of their own first is not told what the author's is.
    held = reviews_held_from(actor.pk).filter(case=OuterRef("case"))
    rows = Certification.objects.filter(
        Q(stated_by=actor) | ~Exists(held),
        manner=Manner.PENDING.value,
        case__in=cases_open_to(actor),
    ).exclude(case__state=CaseState.CLOSED.value)
    if not sees_all(actor):
        rows = rows.filter(stated_by=actor)
    read = rows.order_by("created_at", "id").values(
        "case_id", "stated_by_id", "created_at", state=F("case__state"), number=F("case__number"),
        reported_at=F("case__reported_at"), began_at=F("case__examination__began_at"),
    )  # fmt: skip
    return [
        Wait(
            WaitKind.PENDING, row["case_id"], _label(row), _day(row["created_at"]),
            _key(row["stated_by_id"]), "", _day(row["began_at"]) if row["began_at"] else None,
            "signed, to be amended" if row["state"] == CaseState.SIGNED.value else "",
            signed=row["state"] == CaseState.SIGNED.value,
        )
        for row in read[: MOST_WAITING + 1]
    ]  # fmt: skip


def _with_reasons(pending: list[Wait], outstanding: list[Wait]) -> list[Wait]:
    """Say of each pending case which results it waits for."""
    of_case = {one.case_id: one.reasons for one in outstanding}
    return [
        replace(one, reasons=of_case.get(one.case_id, (NOTHING_OUTSTANDING,))) for one in pending
    ]


def _outstanding(reports: list[Wait], pending: list[Wait]) -> list[Wait]:
    """Return the cases that were given in which a result is outstanding; three statements."""
    cases: dict[UUID, Wait] = {one.case_id: one for one in (*reports, *pending)}
    taken = _taken(cases)
    reported = _reported(taken)
    read_here = _tissues(taken)
    found = []
    for case_id, (since, specimens) in taken.items():
        reasons = _kinds_without_result(
            specimens, reported.get(case_id, []), read_here.get(case_id, [])
        )
        if reasons:
            one = cases[case_id]
            found.append(
                Wait(
                    WaitKind.RESULTS, case_id, one.label, since, one.also or one.person, "",
                    one.examined_on, "", reasons,
                )
            )  # fmt: skip
    return sorted(found, key=lambda one: (one.since, one.label))


def _taken(cases: Collection[UUID]) -> dict[UUID, tuple[date, list[Taken]]]:
    """Return what was taken in each case: since when, and for which examinations."""
    rows = (
        Specimen.objects.active()
        .filter(case__in=list(cases))
        .exclude(purpose="")
        .order_by()
        .values("case_id", "purpose")
        .annotate(
            since=Min("created_at"),
            numbers=ArrayAgg("item__number", order_by="item__number"),
            materials=ArrayAgg("material", order_by="item__number"),
            sites=ArrayAgg("site", order_by="item__number"),
        )
        .order_by("case_id", "purpose")
    )
    found: dict[UUID, tuple[date, list[Taken]]] = {}
    for row in rows:
        since, specimens = found.get(row["case_id"], (_day(row["since"]), []))
        specimens += [
            Taken(number, taken_words(material, site), row["purpose"])
            for number, material, site in zip(
                row["numbers"], row["materials"], row["sites"], strict=True
            )
        ]
        found[row["case_id"]] = (min(since, _day(row["since"])), specimens)
    return found


def _tissues(cases: Collection[UUID]) -> dict[UUID, list[str]]:
    """Return of which tissues slides were read in this office, by case."""
    rows = (
        MicroscopicSlide.objects.active()
        .filter(case__in=list(cases))
        .order_by()
        .values("case_id")
        .annotate(tissues=ArrayAgg("tissue", order_by="number"))
    )
    return {row["case_id"]: row["tissues"] for row in rows}


def _reported(cases: Collection[UUID]) -> dict[UUID, list[Reported]]:
    replaced = Result.objects.active().filter(case__in=list(cases), replaces__isnull=False)
    links = ResultItem.objects.filter(result=OuterRef("pk")).order_by("item__number")
    rows = (
        Result.objects.active()
        .filter(case__in=list(cases))
        .exclude(pk__in=replaced.values("replaces"))
        .annotate(numbers=ArraySubquery(links.values(read=JSONObject(n="item__number"))))
        .order_by("case_id", "number")
        .values_list("case_id", "kind", "status", "numbers")
    )
    found: dict[UUID, list[Reported]] = {}
    for case_id, kind, status, numbers in rows:
        one = Reported(kind, status, frozenset(each["n"] for each in numbers))
        found.setdefault(case_id, []).append(one)
    return found


def _kinds_without_result(
    taken: Iterable[Taken], reported: list[Reported], tissues: Collection[str]
) -> tuple[str, ...]:
    gaps = not_available(taken, reported, tissues)
    # "none-toxicology-3-4": the state, what was asked for, the items.
    named = (one.key.split("-", 1) for one in gaps)
    kinds = {
        rest.rstrip("-0123456789") for state, rest in named if state in {"none", "preliminary"}
    }
    return tuple(sorted(_kind_words(kind) for kind in kinds))


@lru_cache(maxsize=256)
def _kind_words(kind: str) -> str:
    return dict(Kind.choices()).get(kind, kind)


def _late(actor: Staff) -> list[Wait]:
    """Return results that came after the signature and on which no addendum rests."""
    rows = undealt().filter(case__in=cases_open_to(actor))
    if not sees_all(actor):
        rows = rows.filter(case__pathologist=actor)
    read = rows.order_by("created_at", "id").values(
        "case_id", "created_at", "kind", "organization", number_=F("case__number"),
        reported_at=F("case__reported_at"), person=F("case__pathologist"),
    )  # fmt: skip
    return [
        Wait(
            WaitKind.LATE, row["case_id"],
            _label({"number": row["number_"], "reported_at": row["reported_at"]}),
            _day(row["created_at"]), _key(row["person"]), "", None,
            f"{_kind_words(row['kind'])}, {row['organization']}",
        )
        for row in read[: MOST_WAITING + 1]
    ]  # fmt: skip


def _start_of(day: date) -> datetime:
    return datetime.combine(day, time(), settings.OFFICE_ZONE)


def _examinations(actor: Staff, period: Period) -> QuerySet[Examination]:
    rows: QuerySet[Examination] = Examination.objects.active().filter(
        began_at__gte=_start_of(period.first),
        began_at__lt=_start_of(period.last + timedelta(days=1)),
        case__in=cases_open_to(actor),
    )
    return rows if sees_all(actor) else rows.filter(pathologist=actor)


def examined(actor: Staff, period: Period) -> tuple[list[Examined], bool]:
    """Return the examinations of a period, and whether that is all of them; one statement.

    A supervisor is given everybody's, anybody else their own.
    """
    rows = _examinations(actor, period).order_by("began_at", "id").values(
        "case_id", "kind", "pathologist_id", "began_at", number=F("case__number"),
        reported_at=F("case__reported_at"), signed_at=F("case__signed_at"),
    )  # fmt: skip
    read = list(rows[: MOST_EXAMINED + 1])
    found = [
        Examined(
            row["case_id"], _label(row), row["kind"], str(row["pathologist_id"]),
            _day(row["began_at"]), _day(row["signed_at"]) if row["signed_at"] else None,
        )
        for row in read[:MOST_EXAMINED]
    ]  # fmt: skip
    return found, len(read) <= MOST_EXAMINED


def returned(actor: Staff, period: Period) -> list[Returned]:
    """Return the drafts that were sent back in the cases of a period; one statement."""
    rows = ReviewDecision.objects.active().filter(
        outcome="returned", case__in=_examinations(actor, period).values("case")
    )
    read = rows.order_by("decided_at", "id").values(
        "case_id", "decided_at", "causes", number=F("case__number"),
        reported_at=F("case__reported_at"), author=F("draft__report__author"),
    )  # fmt: skip
    return [
        Returned(
            row["case_id"], _label(row), _key(row["author"]), _day(row["decided_at"]),
            tuple(RETURN_CAUSES.get(cause, cause) for cause in row["causes"] or ()),
        )
        for row in read[:MOST_EXAMINED]
    ]  # fmt: skip


def names_of(keys: Iterable[str]) -> dict[str, str]:
    """Return the names of people by key; one statement."""
    rows = Staff.objects.filter(pk__in={key for key in keys if key})
    return {str(key): name for key, name in rows.values_list("pk", "display_name")}


def titles_of(actor: Staff, keys: Iterable[UUID]) -> dict[UUID, str]:
    """Return decedent and heading of cases open to a person, by key; one statement."""
    rows = cases_open_to(actor).filter(pk__in=set(keys)).select_related("decedent")
    return {case.pk: f"{case.decedent.full_name}: {case.heading}" for case in rows}


def today() -> date:
    """Return the office's day."""
    return timezone.localdate()
