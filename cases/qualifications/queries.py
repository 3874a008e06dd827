"""Reads of curricula vitae, and what the office counts for them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any
from uuid import UUID

from django.conf import settings
from django.db.models import Count, Exists, F, Max, Min, OuterRef, Q, QuerySet, Subquery
from django.db.models.functions import Greatest
from django.utils import timezone

from cases.access import cases_open_to
from cases.appearances.models import Appearance
from cases.appearances.rules import HEARD, AppearanceState
from cases.qualifications.models import CurriculumVersion, ListedTestimony, Qualification
from cases.qualifications.rules import (
    COUNTED,
    LISTED,
    RUNS_OUT,
    TESTIMONY,
    Heard,
    Line,
    counted,
    first_listed,
    rows_of_testimony,
    sections,
)
from cases.queries.people import staff_holding
from findings.models import Examination
from me_office.accounts.models import Staff
from me_office.accounts.roles import CASE_ROLES
from me_office.audit.errors import known, known_of_office

# As many people as an office has; a longer list ends here.
MOST_PEOPLE = 200
MOST_VERSIONS = 60
# Further dates in court that may be listed are not offered at once.
MOST_OFFERED = 40


def person_of(person_id: UUID) -> Staff:
    """Return somebody who works on cases, or did. Raises NotKnown."""
    roles = [role.value for role in CASE_ROLES]
    rows = Staff.objects.filter(pk=person_id)
    known_here = rows.filter(Q(groups__name__in=roles) | Q(is_active=False)).distinct()
    found: Staff | None = known_here.first()
    return known_of_office(found, "member of staff")


def people() -> list[Any]:
    """Return the staff who may testify, each with the latest version; one statement."""
    latest = CurriculumVersion.objects.filter(person=OuterRef("pk")).order_by("-number")
    return list(
        staff_holding().annotate(
            version_number=Subquery(latest.values("number")[:1]),
            version_counted_on=Subquery(latest.values("counted_on")[:1]),
        )[:MOST_PEOPLE]
    )


def lines_of(person_id: UUID) -> list[Qualification]:
    """Return the lines that were not voided; one statement."""
    rows = Qualification.objects.active().filter(person=person_id)
    return list(rows.order_by("kind", F("from_year").desc(nulls_last=True), "title", "id"))


def line_of(person_id: UUID, record_id: UUID) -> Qualification:
    """Return an active line of a person. Raises NotKnown."""
    rows = Qualification.objects.active().filter(person=person_id, pk=record_id)
    return known(rows.first(), "line")


def line_for_update(person_id: UUID, record_id: UUID) -> Qualification:
    """Return a line of a person, locked. Raises NotKnown."""
    rows = Qualification.objects.select_for_update(of=("self",))
    return known(rows.filter(person=person_id, pk=record_id).first(), "line")


def testified_of(person_id: UUID) -> list[ListedTestimony]:
    """Return the lines of testimony that were not voided, the latest first; one statement."""
    rows = ListedTestimony.objects.active().filter(person=person_id)
    return list(rows.select_related("appearance").order_by("-on_day", "-id"))


def testified_line(person_id: UUID, record_id: UUID) -> ListedTestimony:
    """Return an active line of a person's testimony. Raises NotKnown."""
    rows = ListedTestimony.objects.active().filter(person=person_id, pk=record_id)
    return known(rows.select_related("appearance").first(), "line")


def testified_for_update(person_id: UUID, record_id: UUID) -> ListedTestimony:
    """Return a line of a person's testimony, locked. Raises NotKnown."""
    rows = ListedTestimony.objects.select_for_update(of=("self",)).select_related("appearance")
    return known(rows.filter(person=person_id, pk=record_id).first(), "line")


def _heard(person_id: UUID) -> QuerySet[Appearance]:
    rows: QuerySet[Appearance] = Appearance.objects.active().filter(
        witness=person_id, state=AppearanceState.DONE.value, kind__in=HEARD
    )
    return rows


def heard_of(actor: Staff, person_id: UUID, appearance_id: UUID) -> Appearance:
    """Return a date in court on which a person was heard, of a case open to who asks.

    Raises NotKnown.
    """
    rows = _heard(person_id).filter(case__in=cases_open_to(actor), pk=appearance_id)
    return known(rows.first(), "date in court")


def not_listed(actor: Staff, person_id: UUID) -> list[Appearance]:
    """Return dates on which a person was heard that no line lists, the latest first; one statement.

    Only of cases that are open to who asks.
    """
    lines = ListedTestimony.objects.active().filter(appearance=OuterRef("pk"))
    rows = _heard(person_id).filter(~Exists(lines), case__in=cases_open_to(actor))
    return list(rows.select_related("case").order_by("-begins_at", "-id")[:MOST_OFFERED])


def as_recorded(appearance: Appearance) -> dict[str, Any]:
    """Return what the record of a date in court says for its line of testimony."""
    return {
        "kind": appearance.kind,
        "on_day": timezone.localtime(appearance.begins_at).date(),
        "court": appearance.court,
        "cause_number": appearance.cause_number,
        "called_by": appearance.called_by,
    }


def testified(person_id: UUID, through: date, lines: Sequence[ListedTestimony]) -> dict[str, Any]:
    """Return the list of testimony through a day as a version holds it; one statement.

    Beside it: in how many cases of the office the person was heard in those years without a line.
    """
    rows = [
        Heard(one.get_kind_display(), one.on_day, one.caption, one.court, one.cause_number,
              one.get_called_by_display())
        for one in lines
    ]  # fmt: skip
    first = first_listed(through)
    listed = ListedTestimony.objects.active().filter(
        person=person_id, appearance__case=OuterRef("case"), on_day__gte=first, on_day__lte=through
    )
    begins = datetime.combine(first, time(), settings.OFFICE_ZONE)
    heard = _heard(person_id).filter(begins_at__gte=begins, begins_at__lt=end_of(through))
    cases = heard.filter(~Exists(listed)).order_by().values("case").distinct().count()
    return {
        **rows_of_testimony(rows, through),
        "not_listed": cases,
        "says": LISTED.say(first=_day(first), last=_day(through)),
    }


def last_change_of(person_id: UUID) -> datetime | None:
    """Return when a line was last recorded, changed or withdrawn; None where none ever was."""
    found = Staff.objects.filter(pk=person_id).annotate(at=_changed_at("pk"))
    at: datetime | None = found.values_list("at", flat=True).first()
    return at


def _changed_at(person: str) -> Greatest:
    def of(model: Any) -> Subquery:
        lines = model.objects.filter(person=OuterRef(person)).order_by().values("person")
        return Subquery(lines.annotate(at=Max("changed_at")).values("at"))

    # Of PostgreSQL: the one that is there where the other is not.
    return Greatest(of(Qualification), of(ListedTestimony))


@dataclass(frozen=True)
class Issued:
    """A version with the day on which the next one took its place."""

    version: CurriculumVersion
    until: date | None

    @property
    def since(self) -> date:
        """The day on which it was issued."""
        return timezone.localtime(self.version.created_at).date()


def versions_of(person_ids: Iterable[UUID]) -> list[Issued]:
    """Return the versions of people, the latest of each first; one statement."""
    return versions_where(Q(person__in=list(person_ids)))


def versions_where(whose: Q) -> list[Issued]:
    """Return the versions that are so chosen, the latest of each person first; one statement."""
    rows = CurriculumVersion.objects.filter(whose)
    rows = rows.select_related("person", "created_by")
    made: list[Issued] = []
    for row in rows.order_by("person__display_name", "person_id", "-number")[:MOST_VERSIONS]:
        after = made[-1] if made and made[-1].version.person_id == row.person_id else None
        made.append(Issued(row, after.since if after else None))
    return made


def version_of(person_id: UUID, number: int) -> CurriculumVersion:
    """Return one version of a person's. Raises NotKnown."""
    rows = CurriculumVersion.objects.filter(person=person_id, number=number)
    return known(rows.select_related("person").first(), "version")


def end_of(day: date) -> datetime:
    """Return the first moment after a day, by the office's clock."""
    return datetime.combine(day + timedelta(days=1), time(), settings.OFFICE_ZONE)


def examinations(person_id: UUID, through: date) -> dict[str, Any]:
    """Count a pathologist's examinations by kind, through a day; one statement.

    One counts whose end is recorded by then; begun ones whose end is not are told beside them.
    """
    before = end_of(through)
    ended = Q(ended_at__lt=before)
    rows = (
        Examination.objects.active()
        .filter(pathologist=person_id, began_at__lt=before)
        .order_by()
        .values("kind")
        .annotate(
            ended=Count("pk", filter=ended), begun=Count("pk"), first=Min("began_at", filter=ended)
        )
    )
    found = {row["kind"]: row for row in rows}
    first = [row["first"] for row in found.values() if row["first"]]
    return {
        **counted({kind: row["ended"] for kind, row in found.items()}, Examination.KINDS),
        "not_ended": sum(row["begun"] - row["ended"] for row in found.values()),
        "first": timezone.localtime(min(first)).date().isoformat() if first else "",
        "says": COUNTED.say(day=_day(through)),
    }


def testimony(person_id: UUID, through: date) -> dict[str, Any]:
    """Count where a person was heard, by kind, through a day; one statement."""
    rows = (
        Appearance.objects.active()
        .filter(
            witness=person_id,
            state=AppearanceState.DONE.value,
            kind__in=HEARD,
            begins_at__lt=end_of(through),
        )
        .order_by()
        .values("kind")
        .annotate(n=Count("pk"))
    )
    found = {row["kind"]: row["n"] for row in rows}
    return {**counted(found, Appearance.KINDS), "says": TESTIMONY.say(day=_day(through))}


def content_of(
    person: Staff,
    through: date,
    lines: Sequence[Qualification],
    testimony_lines: Sequence[ListedTestimony],
) -> dict[str, Any]:
    """Return what a version issued now would hold; three statements."""
    as_entered = [
        Line(one.kind, one.title, one.place, one.number, one.from_year, one.to_year,
             one.valid_until, one.note)
        for one in lines
    ]  # fmt: skip
    return {
        "name": person.printed_name,
        "job_title": person.job_title,
        "office": settings.OFFICE_NAME,
        "counted_on": through.isoformat(),
        "sections": sections(as_entered, through),
        "examinations": examinations(person.pk, through),
        "testimony": testimony(person.pk, through),
        "testified": testified(person.pk, through, testimony_lines),
    }


def currency_annotations(person: str) -> dict[str, Any]:
    """Return what is read of the person in a column to ask whether their last version would do."""
    latest = CurriculumVersion.objects.filter(person=OuterRef(person)).order_by("-number")
    lines = Qualification.objects.filter(person=OuterRef(person)).order_by().values("person")
    held = lines.filter(voided_at=None, to_year=None, kind__in=RUNS_OUT)
    return {
        "cv_counted_on": Subquery(latest.values("counted_on")[:1]),
        "cv_issued_at": Subquery(latest.values("created_at")[:1]),
        "cv_changed_at": _changed_at(person),
        "cv_runs_out": Subquery(held.annotate(on=Min("valid_until")).values("on")),
    }


def _day(value: date) -> str:
    return f"{value.day} {value:%b %Y}"
