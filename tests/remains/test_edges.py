"""Both sides of each limit around a body's stay, and corrections of what was withdrawn."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest
from django.conf import settings
from django.utils import timezone

from cases.models import Case
from cases.remains import actions, disposing, queries, steps
from cases.remains.models import BodyRelease, CremationRequest
from cases.remains.shown import days_here, days_words
from cases.worklists import sections_for
from me_office.accounts.roles import Role
from me_office.audit.errors import Invalid, NotKnown, Refused, StaleRecord
from me_office.shell.templatetags.office import short_moment
from tests.builders import make_case, make_staff, set_back
from tests.cases.entries import ago
from tests.remains.builders import body_in, bring_back, hold, release, technician
from tests.remains.test_disposing import ask, decide, dispose
from tests.remains.test_pages import body_step


def office(day: int, hour: int, minute: int = 0) -> datetime:
    return datetime(2026, 11, day, hour, minute, tzinfo=settings.OFFICE_ZONE)


@pytest.mark.parametrize(
    ("since", "now", "days", "words"),
    [
        (office(9, 8), office(9, 23, 59), 0, "since today"),
        (office(9, 23, 59), office(10, 0, 1), 1, "1 day"),
        (office(9, 0, 1), office(10, 23, 59), 1, "1 day"),
        (office(9, 23), office(11, 1), 2, "2 days"),
        # The same evening at the office is the next day in UTC.
        (office(9, 12), office(9, 22).astimezone(UTC), 0, "since today"),
    ],
)
def test_days_are_counted_by_the_calendar_of_the_office(since, now, days, words):
    assert (days_here(since, now), days_words(since, now)) == (days, words)


@pytest.mark.django_db
def test_a_stay_stands_out_after_fourteen_days_and_not_on_the_last_of_them():
    boss, case = make_staff(Role.SUPERVISOR), body_in()
    since = Case.objects.get(pk=case.pk).body_in_since
    for more, urgency in ((-1, ""), (0, ""), (1, "attention")):
        (row,) = steps._here(boss, since + timedelta(days=14, seconds=more))
        assert row.urgency == urgency


@pytest.mark.django_db
def test_the_course_names_the_latest_of_two_releases(client):
    case = body_in(hours=24 * 9)
    set_back(BodyRelease.objects.filter(pk=release(case).pk), released_at=ago(hours=24 * 8))
    bring_back(case, returned_at=ago(hours=24 * 4))
    last = release(case, tag_number="T-203", released_at=ago(hours=24 * 2))
    client.force_login(make_staff(Role.SUPERVISOR))
    assert body_step(client, case) == f"released {short_moment(last.released_at)}"


@pytest.mark.django_db
def test_a_hold_is_not_placed_ahead_of_now_nor_lifted_once_withdrawn():
    case, lead = body_in(), make_staff(Role.INVESTIGATOR)
    with pytest.raises(Invalid) as ahead:
        hold(case, placed_at=timezone.now() + timedelta(hours=1))
    assert set(ahead.value.errors) == {"placed_at"}
    placed = hold(case)
    actions.void_hold(lead, record_id=placed.pk, version=1, reason="of another case")
    with pytest.raises(Refused, match="was voided"):
        actions.lift_hold(lead, case_id=case.pk, record_id=placed.pk, version=2, reason="agreed")


@pytest.mark.django_db
def test_a_correction_of_a_return_needs_a_reason_what_was_read_and_a_standing_return():
    case, renn = body_in(hours=90), technician()
    release(case, released_at=ago(hours=50))
    back = bring_back(case, returned_at=ago(hours=20))
    call = {"case_id": case.pk, "record_id": back.pk, "entry": {"kept_at": "Cooler 2"}}
    with pytest.raises(Refused, match="Say why"):
        actions.return_body(renn, **call, version=1, reason=" ")
    with pytest.raises(StaleRecord):
        actions.return_body(renn, **call, version=2, reason="misread")
    with pytest.raises(NotKnown):
        actions.return_body(
            renn, **{**call, "case_id": make_case().pk}, version=1, reason="misread"
        )
    with pytest.raises(Invalid):
        actions.return_body(
            renn, **{**call, "entry": {"returned_at": ago(hours=51)}}, version=1, reason="misread"
        )
    changed = actions.return_body(renn, **call, version=1, reason="misread")
    assert (changed.kept_at, changed.stay, changed.version) == ("Cooler 2", 2, 2)
    moved = {**call, "entry": {"returned_at": ago(hours=19)}}
    actions.return_body(renn, **moved, version=2, reason="misread")
    assert Case.objects.get(pk=case.pk).body_in_since == ago(hours=19)
    actions.void_return(renn, record_id=back.pk, version=3, reason="of another case")
    with pytest.raises(Refused):
        actions.return_body(renn, **call, version=4, reason="misread")


@pytest.mark.django_db
def test_a_decision_may_be_of_the_minute_of_its_request_and_of_the_one_before():
    at = ago(hours=4)
    asked = ask(make_case(), asked_at=at)
    with pytest.raises(Invalid, match="before the request"):
        decide(asked, decided_at=at - timedelta(minutes=1))
    decide(asked, decided_at=at)
    decide(asked, version=2, outcome="refused", why="Fall unexplained.", decided_at=at)
    assert CremationRequest.objects.get().outcome == "refused"


@pytest.mark.django_db
def test_a_request_is_neither_ahead_of_now_nor_shown_to_who_may_not_see_its_case():
    boss, case = make_staff(Role.SUPERVISOR), make_case()
    with pytest.raises(Invalid) as ahead:
        ask(case, asked_at=timezone.now() + timedelta(hours=1))
    assert set(ahead.value.errors) == {"asked_at"}
    first, second = ask(case, asked_at=ago(hours=3)), ask(case, asked_at=ago(hours=4))
    shut = make_case()
    ask(shut)
    Case.objects.filter(pk=shut.pk).update(restricted=True)
    rows = steps._cremations(boss, timezone.now())
    assert [row.number for row in rows] == [case.number] * 2
    decide(first)
    assert len(steps._cremations(boss, timezone.now())) == 1
    mistake = {"record_id": second.pk, "version": 1, "reason": "logged twice"}
    disposing.void_cremation_request(boss, **mistake)
    assert steps._cremations(boss, timezone.now()) == []
    with pytest.raises(Refused):
        decide(second, version=2)


@pytest.mark.django_db
def test_a_disposition_may_be_of_the_day_of_the_release_as_the_office_counts_it():
    case = body_in(hours=24 * 40)
    made = release(case, released_at=ago(hours=24 * 20))
    evening = timezone.localtime(made.released_at).replace(hour=23, minute=30)
    set_back(BodyRelease.objects.filter(pk=made.pk), released_at=evening)
    on: date = evening.date()
    with pytest.raises(Invalid) as early:
        dispose(case, done_on=on - timedelta(days=1))
    assert set(early.value.errors) == {"done_on"}
    done = dispose(case, done_on=on)
    # Another release later: what was done before it can still be corrected.
    bring_back(case, returned_at=ago(hours=24 * 10))
    release(case, tag_number="T-203", released_at=ago(hours=24 * 5))
    clerk = make_staff(Role.RECORDS_CLERK)
    changed = disposing.record_disposition(
        clerk, case_id=case.pk, record_id=done.pk, version=1, entry={"place": "Plot 14"},
        reason="as filed",
    )  # fmt: skip
    assert changed.done_on == on
    with pytest.raises(StaleRecord):
        disposing.record_disposition(
            clerk, case_id=case.pk, record_id=done.pk, version=1, entry={"place": "Plot 15"},
            reason="as filed",
        )  # fmt: skip


@pytest.mark.django_db
def test_requests_stand_as_asked_dispositions_latest_first_and_open_holds_before_lifted_ones():
    case, lead = make_case(), make_staff(Role.INVESTIGATOR)
    late, early = ask(case, asked_at=ago(hours=3)), ask(case, asked_at=ago(hours=4))
    assert queries.cremations_of(case) == [early, late]
    first, second = dispose(case), dispose(case, method="entombment")
    assert queries.dispositions_of(case) == [second, first]
    placed = [hold(case, placed_at=ago(hours=hours)) for hours in (9, 5, 7)]
    actions.lift_hold(lead, case_id=case.pk, record_id=placed[0].pk, version=1, reason="agreed")
    assert queries.holds_of(case) == [placed[2], placed[1], placed[0]]


@pytest.mark.django_db
def test_a_withdrawn_disposition_is_not_corrected():
    case, clerk = make_case(), make_staff(Role.RECORDS_CLERK)
    done = dispose(case)
    disposing.void_disposition(clerk, record_id=done.pk, version=1, reason="of another case")
    with pytest.raises(Refused, match="was voided"):
        disposing.record_disposition(
            clerk, case_id=case.pk, record_id=done.pk, version=2, entry={"place": "Plot 14"},
            reason="as filed",
        )  # fmt: skip


# The lists of the first page by role, written out a second time.
LISTS = {
    Role.EVIDENCE_TECHNICIAN: {"bodies-here"},
    Role.INVESTIGATOR: {"bodies-held"},
    Role.PATHOLOGIST: {"cremations"},
    Role.SUPERVISOR: {"bodies-here", "bodies-held", "cremations"},
    Role.RECORDS_CLERK: set(),
}


@pytest.mark.django_db
@pytest.mark.parametrize("role", LISTS)
def test_each_role_has_its_lists_of_bodies_on_the_first_page(role):
    keys = {one.key for one in sections_for(make_staff(role))}
    assert keys & LISTS[Role.SUPERVISOR] == LISTS[role]
