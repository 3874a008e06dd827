"""Reads of leave and feeds, and what a feed holds."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import TypeVar
from uuid import UUID

from django.conf import settings
from django.db.models import Model, QuerySet
from django.urls import reverse
from django.utils import timezone

from cases.access import Act, cases_open_to, may_somewhere
from cases.appearances.models import Appearance
from cases.appearances.rules import AppearanceState
from cases.calendars.models import CalendarFeed, CalendarNames, Leave
from cases.calendars.rules import AHEAD_DAYS, BACK_DAYS, MOST_EVENTS, digest_of, is_secret
from cases.court.models import RecordsRequest
from cases.court.rules import RequestState
from cases.models import Case
from cases.queries.pages import Page, page_after
from me_office.accounts.models import Staff
from me_office.accounts.roles import CASE_ROLES
from me_office.audit.errors import known_of_office
from me_office.shell.templatetags.office import day

RowT = TypeVar("RowT", bound=Model)

# A date of which nobody said how long it takes stands for an hour.
USUAL_MINUTES = 60


@dataclass(frozen=True)
class Event:
    """One event of a feed; `begins` is a day for one of a whole day."""

    uid: str
    summary: str
    begins: date | datetime
    ends: date | datetime
    sequence: int
    changed_at: datetime
    url: str
    canceled: bool = False
    place: str = ""
    words: str = ""


def leave_page(after: str = "") -> Page[Leave]:
    """Return leave that is not over, the earliest first. Raises NotKnown for a bad key."""
    rows = Leave.objects.active().filter(last_on__gte=timezone.localdate())
    return page_after(
        rows.select_related("person", "created_by").order_by("first_on", "id"), after, by="first_on"
    )


def leave_of(record_id: UUID) -> Leave:
    """Return leave that stands. Raises NotKnown."""
    rows = Leave.objects.active().select_related("person", "created_by", "changed_by")
    return known_of_office(rows.filter(pk=record_id).first(), "leave")


def feed_of(owner: Staff | None) -> CalendarFeed | None:
    """Return the feed of a person, or of the office."""
    rows = CalendarFeed.objects.active().filter(owner=owner)
    return rows.select_related("created_by").first()


def feed_at(secret: str) -> CalendarFeed | None:
    """Return the feed of an address, also one that was withdrawn; one statement."""
    if not is_secret(secret):
        return None
    rows = CalendarFeed.objects.filter(secret_sha256=digest_of(secret))
    return rows.select_related("owner").first()


def names_choice() -> CalendarNames | None:
    """Return what the office chose about names."""
    return CalendarNames.objects.active().first()


def is_open(feed: CalendarFeed) -> bool:
    """Tell whether a feed is answered: it stands, and its person may still see cases."""
    if feed.is_voided:
        return False
    if feed.owner is None:
        return True
    return feed.owner.is_active and bool(feed.owner.roles & CASE_ROLES)


def _cases_of(feed: CalendarFeed) -> QuerySet[Case]:
    # The office's own feed is nobody's: it holds no case that is restricted to a team.
    if feed.owner is None:
        return Case.objects.filter(restricted=False)
    return cases_open_to(feed.owner)


def events_of(feed: CalendarFeed, today: date) -> list[Event]:
    """Return what a feed holds: dates in court and, for who answers requests, their due days."""
    first, last = today - timedelta(days=BACK_DAYS), today + timedelta(days=AHEAD_DAYS)
    choice = names_choice()
    named = choice is not None and choice.named
    dates, dates_end = _nearest(_dates(feed, first, last), "begins_at", _begin_of(today))
    found = [_date_event(one, named, feed) for one in dates]
    found += [] if dates_end is None else [_end_event(feed, "dates in court", dates_end)]
    if feed.owner is None or may_somewhere(feed.owner, Act.HANDLE_REQUEST):
        due, due_end = _nearest(_due(feed, first, last), "due_on", today)
        found += [_due_event(one, named) for one in due]
        found += [] if due_end is None else [_end_event(feed, "due days", due_end)]
    return found


def _nearest(rows: QuerySet[RowT], field: str, today: date) -> tuple[list[RowT], RowT | None]:
    """Return what comes, the soonest first, then as much of what was as a feed may hold.

    Beside it the last row, where more come after it than the feed holds. Two statements at most.
    """
    coming = rows.filter(**{f"{field}__gte": today}).order_by(field, "id")
    ahead = list(coming[: MOST_EVENTS + 1])
    if len(ahead) > MOST_EVENTS:
        return ahead[:MOST_EVENTS], ahead[MOST_EVENTS - 1]
    before = rows.filter(**{f"{field}__lt": today}).order_by(f"-{field}", "-id")
    return [*ahead, *before[: MOST_EVENTS - len(ahead)]], None


def _begin_of(on: date) -> datetime:
    return datetime.combine(on, datetime.min.time(), settings.OFFICE_ZONE)


def _end_event(feed: CalendarFeed, what: str, last: Appearance | RecordsRequest) -> Event:
    """Say on the last day that a feed holds that more days follow, so that none seems free."""
    if isinstance(last, Appearance):
        on, url = timezone.localdate(last.begins_at), reverse("calendars:feeds")
    else:
        on, url = last.due_on, reverse("court:office-requests")
    return Event(
        uid=f"{feed.pk}-{what.replace(' ', '-')}-end",
        summary=f"This calendar ends here: it holds {MOST_EVENTS} {what}, and more follow",
        begins=on,
        ends=on + timedelta(days=1),
        sequence=0,
        changed_at=feed.created_at,
        url=url,
        words="The later ones are in the office’s own lists.",
    )


def _dates(feed: CalendarFeed, first: date, last: date) -> QuerySet[Appearance]:
    begin = _begin_of(first)
    end = datetime.combine(last, datetime.max.time(), settings.OFFICE_ZONE)
    rows = Appearance.objects.filter(
        case__in=_cases_of(feed), begins_at__gte=begin, begins_at__lte=end
    )
    if feed.owner is not None:
        rows = rows.filter(witness=feed.owner)
    return rows.select_related("case__decedent", "witness")


def _due(feed: CalendarFeed, first: date, last: date) -> QuerySet[RecordsRequest]:
    rows = RecordsRequest.objects.filter(
        case__in=_cases_of(feed), due_on__gte=first, due_on__lte=last
    )
    return rows.select_related("case__decedent")


def _case_words(case: Case, named: bool) -> str:
    return f"{case.label}, {case.decedent.full_name}" if named else str(case.label)


def _date_event(row: Appearance, named: bool, feed: CalendarFeed) -> Event:
    words = [row.court] if row.court else []
    if feed.owner is None:
        words.insert(0, f"Witness: {row.witness}")
    return Event(
        uid=f"{row.pk}",
        summary=f"{row.get_kind_display().capitalize()}, {_case_words(row.case, named)}",
        begins=row.begins_at,
        ends=row.begins_at + timedelta(minutes=row.expected_minutes or USUAL_MINUTES),
        sequence=row.version - 1,
        changed_at=row.changed_at,
        url=reverse("appearances:appearances", args=[row.case_id]),
        canceled=row.is_voided or row.state == AppearanceState.CANCELED,
        place=row.place,
        words="; ".join(words),
    )


def _due_event(row: RecordsRequest, named: bool) -> Event:
    stopped = (
        f"The clock has been stopped since {day(row.stopped_since)}." if row.stopped_since else ""
    )
    head = "Clock stopped, was due" if row.stopped_since else "Due"
    words = [row.court, f"Cause {row.cause_number}" if row.cause_number else "", stopped]
    return Event(
        uid=f"{row.pk}-due",
        summary=f"{head}: {row.get_kind_display()}, {_case_words(row.case, named)}",
        begins=row.due_on,
        ends=row.due_on + timedelta(days=1),
        sequence=row.version - 1,
        changed_at=row.changed_at,
        url=reverse("court:request", args=[row.case_id, row.pk]),
        canceled=row.state != RequestState.OPEN,
        words="; ".join(part for part in words if part),
    )
