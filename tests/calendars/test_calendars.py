"""Leave with what it clashes with, and feeds: who reads what, in a form that others read."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
import vobject
from django.conf import settings
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from cases.appearances.actions import cancel_appearance, void_appearance
from cases.calendars import actions, queries, rules
from cases.calendars.ical import calendar_text, plain
from cases.calendars.models import CalendarFeed
from cases.calendars.queries import Event
from cases.court.actions import change_request, withdraw_request
from cases.court.models import RecordsRequest
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, Invalid, NotAllowed, NotKnown, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AccessEvent
from tests.appearances.builders import appear, called, in_days
from tests.builders import as_person, make_case, make_staff, set_back
from tests.cases.test_assignment import restricted_case
from tests.packets.builders import asked_for, make_clerk, make_request

TODAY = date(2026, 11, 28)
NEW_YORK = ZoneInfo("America/New_York")
database = pytest.mark.django_db
YEAR = timedelta(days=360)


def opened(person, *, office=False):
    """A feed's address as it is shown once."""
    whose = "office" if office else "own"
    answer = as_person(person).post(
        reverse("calendars:open-feed", args=[whose]),
        {"record_id": str(new_id()), "version": 0, "request_key": str(new_id())},
    )
    assert answer.status_code == 200, answer.content
    return answer.context["address"]


def read(address):
    """A feed as an independent parser reads it, by whoever is not signed in."""
    answer = Client().get(address)
    assert answer.status_code == 200
    assert answer["Content-Type"] == "text/calendar; charset=utf-8"
    return vobject.readOne(answer.content.decode())


def events(calendar):
    return {one.uid.value: one for one in getattr(calendar, "vevent_list", [])}


def test_a_feed_reads_back_with_its_moments_across_a_change_of_the_clocks():
    rows = [
        Event("a", "Trial, 2026-0002", datetime(2026, 10, 30, 13, tzinfo=UTC),
              datetime(2026, 10, 30, 14, tzinfo=UTC), 0, datetime(2026, 10, 1, tzinfo=UTC), "/a/"),
        Event("b", "Trial, “quoted”; 2026-0003, more " + "words " * 30,
              datetime(2026, 11, 2, 14, tzinfo=UTC), datetime(2026, 11, 2, 15, tzinfo=UTC), 4,
              datetime(2026, 10, 1, tzinfo=UTC), "/b/", canceled=True, place="Room 2; left, back"),
        Event("c", "Due", date(2026, 12, 11), date(2026, 12, 12), 0,
              datetime(2026, 10, 1, tzinfo=UTC), "/c/", words="One\nTwo"),
    ]  # fmt: skip
    text = calendar_text("Office", rows, zone=NEW_YORK, today=TODAY, base="https://office.example")
    assert all(len(line) <= 75 for line in text.split(b"\r\n"))
    found = events(vobject.readOne(text.decode()))
    # 09:00 on either side of the change, by the zone that the calendar itself carries.
    for key, utc in (("a", rows[0].begins), ("b", rows[1].begins)):
        begins = found[key].dtstart.value
        assert (begins.hour, begins.minute) == (9, 0)
        assert begins.astimezone(UTC) == utc
    assert found["b"].summary.value == rows[1].summary
    assert found["b"].location.value == "Room 2; left, back"
    assert [found[key].status.value for key in "abc"] == ["CONFIRMED", "CANCELLED", "CONFIRMED"]
    assert found["b"].sequence.value == "4"
    assert found["c"].dtstart.value == date(2026, 12, 11)
    assert found["c"].description.value == "One\nTwo"
    assert found["c"].url.value == "https://office.example/c/"


def test_control_characters_go_and_lines_stay():
    assert plain("One\x0bTwo\x1c\x00\x85\r\n\tThree; four\u202e") == "OneTwo\n\tThree; four\u202e"


def test_every_moment_of_three_years_is_the_same_in_the_zone_that_is_written():
    text = calendar_text("Office", [], zone=NEW_YORK, today=TODAY, base="")
    zone = vobject.readOne(text.decode()).vtimezone.tzinfo
    at = datetime(2025, 6, 1, 12, 30, tzinfo=UTC)
    while at.year < 2028:
        local = at.astimezone(NEW_YORK).replace(tzinfo=None)
        assert local.replace(tzinfo=zone).utcoffset() == at.astimezone(NEW_YORK).utcoffset(), at
        at += timedelta(hours=31)
    # A change begins at the time that the clock showed before it.
    assert b"DTSTART:20260308T020000" in text and b"DTSTART:20261101T020000" in text


def test_what_cannot_be_so_of_leave_and_of_a_secret():
    assert rules.wrong_in_leave({"first_on": TODAY, "last_on": TODAY}) == {}
    for days, wrong in ((-1, True), (400, False), (401, True)):
        said = {"first_on": TODAY, "last_on": TODAY + timedelta(days=days)}
        assert bool(rules.wrong_in_leave(said)) is wrong
    secret = rules.new_secret()
    assert rules.is_secret(secret) and rules.new_secret() != secret
    assert not rules.is_secret(secret[:-1]) and not rules.is_secret(secret[:-1] + "!")
    assert len(rules.digest_of(secret)) == 64


@database
def test_a_person_s_feed_holds_their_own_dates_and_names_nobody():
    clerk = make_clerk()
    vasko, amadi = make_staff(Role.PATHOLOGIST), make_staff(Role.PATHOLOGIST)
    case = make_case(family_name="Tellwright")
    own, other = appear(clerk, case, vasko), appear(clerk, case, amadi)
    asked = make_request(case, clerk)
    address = opened(vasko)
    found = events(read(address))
    assert [*found] == [str(own.pk)]
    assert case.label in found[str(own.pk)].summary.value
    assert "Tellwright" not in Client().get(address).content.decode()
    # A clerk's holds due days, too; the office's all dates.
    assert set(events(read(opened(clerk)))) == {f"{asked.pk}-due"}
    office = opened(clerk, office=True)
    assert set(events(read(office))) == {str(own.pk), str(other.pk), f"{asked.pk}-due"}
    # Nobody signed in: the trail says whose address it was, not that this person read it.
    assert AccessEvent.objects.latest("id").what == "calendar, by whoever had its address"
    # Changed, an event counts on: a program takes a later one over an earlier one.
    assert found[str(own.pk)].sequence.value == "0"
    entry = asked_for(due_on=asked.due_on + timedelta(days=1))
    change_request(clerk, case_id=case.pk, request_id=asked.pk, version=1, entry=entry,
                   reason="By letter")  # fmt: skip
    void_appearance(clerk, record_id=other.pk, version=other.version, reason="Entered twice")
    found = events(read(office))
    assert found[f"{asked.pk}-due"].sequence.value == "1"
    assert found[str(other.pk)].status.value == "CANCELLED"
    # Canceled and withdrawn, they stay as such, under the same key.
    canceled = cancel_appearance(clerk, case_id=case.pk, record_id=own.pk, version=own.version,
                                 reason="Settled")  # fmt: skip
    withdraw_request(clerk, case_id=case.pk, request_id=asked.pk, version=2, reason="Quashed")
    found = events(read(office))
    assert found[str(own.pk)].status.value == "CANCELLED"
    assert found[str(own.pk)].sequence.value == str(canceled.version - 1) != "0"
    assert found[f"{asked.pk}-due"].status.value == "CANCELLED"
    boss = make_staff(Role.SUPERVISOR)
    actions.choose_calendar_names(boss, record_id=new_id(), version=0, named=True, reason="Asked")
    assert "Tellwright" in Client().get(address).content.decode()
    with pytest.raises(StaleRecord):
        actions.choose_calendar_names(
            boss, record_id=new_id(), version=2, named=False, reason="Read earlier"
        )
    with pytest.raises(NotAllowed):
        actions.choose_calendar_names(clerk, record_id=new_id(), version=0, named=True, reason="x")


@database
def test_a_renewed_closed_or_unknown_address_is_not_answered_and_no_secret_is_kept():
    clerk, vasko = make_clerk(), make_staff(Role.PATHOLOGIST)
    first = opened(vasko)
    second = opened(vasko)
    assert Client().get(first).status_code == 410
    assert Client().get(second).status_code == 200
    secret = second.rpartition("/")[2].removesuffix(".ics")
    kept = CalendarFeed.objects.active().get(owner=vasko)
    assert kept.secret_sha256 == rules.digest_of(secret)
    shown = as_person(vasko).get(reverse("calendars:feeds")).content.decode()
    assert secret not in shown and "An address was made" in shown
    assert Client().get(second.replace(secret, rules.new_secret())).status_code == 404
    # The role taken away, the account closed: closed.
    groups = [*vasko.groups.all()]
    vasko.groups.clear()
    assert Client().get(second).status_code == 410
    vasko.groups.set(groups)
    assert Client().get(second).status_code == 200
    vasko.is_active = False
    vasko.save()
    assert Client().get(second).status_code == 410
    vasko.is_active = True
    vasko.save()
    with pytest.raises(NotKnown):
        actions.close_calendar_feed(clerk, record_id=kept.pk, version=kept.version)
    with pytest.raises(StaleRecord):
        actions.close_calendar_feed(vasko, record_id=kept.pk, version=7)
    actions.close_calendar_feed(vasko, record_id=kept.pk, version=kept.version)
    assert Client().get(second).status_code == 410
    with pytest.raises(NotAllowed):
        actions.open_calendar_feed(
            vasko, record_id=new_id(), secret_sha256="0" * 64, for_office=True
        )


@database
def test_a_restricted_case_is_only_in_the_feed_of_its_team():
    clerk, vasko = make_clerk(), make_staff(Role.PATHOLOGIST)
    case = make_case()
    asked = make_request(case, clerk)
    one, office = opened(clerk), opened(clerk, office=True)
    assert f"{asked.pk}-due" in events(read(one)) and f"{asked.pk}-due" in events(read(office))
    case.restricted = True
    type(case).objects.filter(pk=case.pk).update(restricted=True)
    assert events(read(one)) == {} == events(read(office))
    assert vasko and restricted_case


@database
def test_leave_is_one_s_own_or_a_clerk_s_to_keep_and_clashes_are_told():
    clerk, vasko = make_clerk(), make_staff(Role.PATHOLOGIST, name="I. Vasko")
    case = make_case()
    one = appear(clerk, case, vasko)
    day = timezone.localtime(one.begins_at).date()

    def away(by, person, record_id=None, version=0, reason="", **more):
        entry = {"person": person, "first_on": day - timedelta(days=1),
                 "last_on": day + timedelta(days=1), "why": "", **more}  # fmt: skip
        return actions.keep_leave(
            by, record_id=record_id or new_id(), version=version, entry=entry, reason=reason
        )

    with pytest.raises(NotAllowed):
        away(vasko, clerk)
    with pytest.raises(Invalid):
        away(vasko, vasko, last_on=day - timedelta(days=3))
    made = away(vasko, vasko)
    assert away(vasko, vasko, record_id=made.pk).pk == made.pk
    with pytest.raises(Conflict):
        away(vasko, vasko, record_id=made.pk, why="Other")
    shown = as_person(clerk).get(reverse("appearances:office")).content.decode()
    assert "I. Vasko on leave until" in shown
    page = as_person(clerk).get(reverse("calendars:leave")).content.decode()
    assert "I. Vasko" in page
    other = make_staff(Role.PATHOLOGIST)
    with pytest.raises(NotAllowed):
        actions.withdraw_leave(other, record_id=made.pk, version=1, reason="Not mine")
    with pytest.raises(NotAllowed):
        away(vasko, other, record_id=made.pk, version=1, reason="Hers, not mine")
    assert away(clerk, vasko, record_id=made.pk, version=1, reason="Later",
                first_on=day + timedelta(days=1)).version == 2  # fmt: skip
    assert "on leave" not in as_person(clerk).get(reverse("appearances:office")).content.decode()
    # Another court on the same day, told without its case.
    assert "another court" not in shown
    appear(clerk, make_case(), vasko, court="Marl County Court",
           begins_at=one.begins_at + timedelta(minutes=1))  # fmt: skip
    shown = as_person(clerk).get(reverse("appearances:office")).content.decode()
    assert shown.count("another court on the same day") == 2


@database
def test_a_form_tells_of_leave_and_of_another_court_before_the_date_is_recorded():
    clerk, witness, case = make_clerk(), make_staff(Role.PATHOLOGIST), make_case()
    day = timezone.localdate() + timedelta(days=5)
    actions.keep_leave(clerk, record_id=new_id(), version=0,
                       entry={"person": witness, "first_on": day, "last_on": day})  # fmt: skip
    appear(clerk, make_case(), witness, begins_at=in_days(5, "15:00"), court="Quay County Court",
           expected_minutes=30)  # fmt: skip
    asked = make_request(case, clerk)
    add = reverse("appearances:add", args=[case.pk])
    page = as_person(clerk)
    begun = page.get(add, {"request": str(asked.pk)}).context["form"].initial
    assert (begun["request"], begun["court"]) == (asked.pk, asked.court)
    said = called(witness, begins_at=in_days(5).isoformat())
    told = page.post(add, {**said, "witness": str(witness.pk), "record_id": str(new_id())})
    words = " ".join(told.context["form"].errors["begins_at"])
    assert f"is on leave until {day.day} {day:%b}." in words
    assert "another court on the same day" in words and "Save again" in words


@database
def test_feed_and_leave_cost_as_much_for_three_as_for_sixty():
    clerk, vasko = make_clerk(), make_staff(Role.PATHOLOGIST)
    address, costs = opened(clerk, office=True), []
    for more in (3, 17):
        for n in range(more):
            case = make_case()
            appear(clerk, case, vasko, begins_at=in_days(n % 20 + 1))
            make_request(case, clerk)
            away = {"person": vasko, "first_on": date(2030, 1, 1), "last_on": date(2030, 1, 2)}
            actions.keep_leave(clerk, record_id=new_id(), version=0, entry=away)
        counts = []
        for get in (lambda: Client().get(address),
                    lambda: as_person(clerk).get(reverse("calendars:leave"))):  # fmt: skip
            with CaptureQueriesContext(connection) as seen:
                get()
            counts.append(len(seen))
        costs.append(counts)
    assert costs[0] == costs[1]
    feed = queries.feed_of(None)
    assert len(queries.events_of(feed, timezone.localdate())) == 40
    assert settings.OFFICE_ZONE


@database
def test_a_feed_with_too_many_days_holds_those_that_come_and_says_where_it_ends(monkeypatch):
    clerk, today = make_clerk(), timezone.localdate()
    case = make_case()
    keys = {}
    for days in (-20, -10, 5, 6, 7):
        asked = make_request(case, clerk)
        on = today + timedelta(days=days)
        set_back(RecordsRequest.objects.filter(pk=asked.pk), due_on=on, served_on=on - YEAR / 2)
        keys[days] = f"{asked.pk}-due"
    address = opened(clerk)
    for most, held in ((5, keys), (4, (5, 6, 7, -10)), (3, (5, 6, 7)), (2, (5, 6))):
        monkeypatch.setattr(queries, "MOST_EVENTS", most)
        found = events(read(address))
        ends = {key: one for key, one in found.items() if key.endswith("-end")}
        assert set(found) - set(ends) == {keys[days] for days in held}
        assert len(ends) == (most == 2)
    [end] = ends.values()
    assert end.dtstart.value == today + timedelta(days=6) and "2 due days" in end.summary.value
