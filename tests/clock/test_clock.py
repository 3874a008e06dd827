"""A request's due day: counted, fixed, stopped, moved; what a closure would move is told."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from cases.clock import actions, queries
from cases.clock.models import ClockChange, DueCount
from cases.counting.actions import (
    keep_counting_rule,
    keep_court_closure,
    withdraw_court_closure,
)
from cases.counting.models import CourtClosure
from cases.counting.rules import entered_of
from cases.court.actions import change_request, withdraw_request
from cases.models import Case
from cases.worklists import sections_for
from findings.calculations.counting_rules import BY_HAND, SHIPPED
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, Invalid, NotAllowed, NotKnown, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.builders import as_person, make_case, make_staff, taken_back
from tests.packets.builders import asked_for, make_clerk, make_request

pytestmark = pytest.mark.django_db
COURT = "Tarn County Superior Court"


@pytest.fixture
def clerk():
    return make_clerk()


@pytest.fixture
def asked(clerk):
    today = timezone.localdate()
    return make_request(make_case(), clerk, court=COURT, served_on=today - timedelta(days=9),
                        due_on=today + timedelta(days=40))  # fmt: skip


def count(by, asked, record_id=None, **more):
    entry = {"rule_key": "federal-civil", "trigger_on": asked.served_on, "amount": 30,
             "unit": "days", "way": BY_HAND, "court": COURT, **more}  # fmt: skip
    return actions.count_due_day(
        by, case_id=asked.case_id, request_id=asked.pk, record_id=record_id or new_id(),
        entry=entry,
    )  # fmt: skip


def note(by, asked, record_id=None, upload=None, **entry):
    said = {"kind": "objection", "on": timezone.localdate(), "effect": "none",
            "new_due_on": None, "days_left": None, "note": "", **entry}  # fmt: skip
    return actions.note_change(
        by, case_id=asked.case_id, request_id=asked.pk, record_id=record_id or new_id(),
        upload=upload, entry=said,
    )  # fmt: skip


def test_a_counted_day_is_the_request_s_and_its_steps_are_kept(clerk, asked):
    kept = count(clerk, asked)
    assert count(clerk, asked, record_id=kept.pk).pk == kept.pk  # the same request again
    with pytest.raises(Conflict):
        count(clerk, asked, record_id=kept.pk, amount=31)
    asked.refresh_from_db()
    assert (asked.due_on, asked.due_basis) == (kept.end_on, "counted")
    assert kept.steps[0]["what"].startswith("served: by hand")
    assert kept.rule_as_it_was["name"] == "Federal Rule of Civil Procedure 6"
    page = as_person(clerk).get(reverse("court:request", args=[asked.case_id, asked.pk]))
    shown = page.content.decode()
    assert "How the day was counted" in shown and "(a)(1)(A)" in shown
    assert AuditEvent.objects.filter(act="count_due_day").exists()
    # Corrected by hand it is no longer the counted one.
    entry = asked_for(court=COURT, served_on=asked.served_on,
                      due_on=asked.due_on + timedelta(days=1))  # fmt: skip
    changed = change_request(clerk, case_id=asked.case_id, request_id=asked.pk,
                             version=asked.version, entry=entry, reason="By letter")  # fmt: skip
    assert changed.due_basis == "entered"


@pytest.mark.parametrize(
    ("change", "error", "field"),
    [
        ({"way": "carrier pigeon"}, Refused, "way"),
        ({"rule_key": "none"}, NotKnown, None),
        ({"amount": 0}, Invalid, "amount"),
        ({"trigger_on": date(2199, 1, 1)}, Invalid, "trigger_on"),
    ],
)
def test_what_cannot_be_counted_is_refused_beside_its_field(clerk, asked, change, error, field):
    with pytest.raises(error) as refused:
        count(clerk, asked, **change)
    if error is Invalid:
        assert field in refused.value.errors
    elif field:
        assert refused.value.field == field
    assert not DueCount.objects.exists()


def test_a_fixed_day_says_by_what(clerk, asked):
    keys = {"case_id": asked.case_id, "request_id": asked.pk}
    end = timezone.localdate() + timedelta(days=5)
    said = {"basis": "fixed", "end_on": end, "note": "Order of the court of today"}
    with pytest.raises(Invalid):
        actions.fix_due_day(clerk, **keys, record_id=new_id(), entry={**said, "note": ""})
    with pytest.raises(Invalid):
        actions.fix_due_day(clerk, **keys, record_id=new_id(), entry={**said, "basis": "counted"})
    actions.fix_due_day(clerk, **keys, record_id=new_id(), entry=said)
    asked.refresh_from_db()
    assert (asked.due_on, asked.due_basis) == (end, "fixed")


def test_the_clock_stops_runs_again_and_a_change_is_taken_back_in_turn(clerk, asked):
    count(clerk, asked)
    asked.refresh_from_db()
    due, today = asked.due_on, timezone.localdate()
    paper = SimpleUploadedFile("objection.pdf", b"%PDF-1.7 an objection")
    stopped = note(clerk, asked, effect="stops", on=today - timedelta(days=2), upload=paper)
    paper.seek(0)
    again = note(clerk, asked, record_id=stopped.pk, effect="stops",
                 on=today - timedelta(days=2), upload=paper)  # fmt: skip
    assert again.pk == stopped.pk
    with pytest.raises(Conflict):
        note(clerk, asked, record_id=stopped.pk, effect="stops", on=today - timedelta(days=2))
    asked.refresh_from_db()
    assert (asked.due_on, asked.stopped_since) == (due, today - timedelta(days=2))
    with pytest.raises(Refused):
        count(clerk, asked)
    with pytest.raises(Invalid):
        note(clerk, asked, effect="stops")
    page, keys = as_person(clerk), [asked.case_id, asked.pk]
    shown = page.get(reverse("court:request", args=keys)).content.decode()
    assert "clock stopped since" in shown and "Clock stopped" in shown
    fetched = page.get(reverse("clock:document", args=[*keys, stopped.pk]))
    assert b"".join(fetched.streaming_content).startswith(b"%PDF-1.7")
    runs = note(clerk, asked, kind="order", effect="runs", days_left=23)
    asked.refresh_from_db()
    assert asked.stopped_since is None and asked.due_on == runs.due_after
    assert runs.due_after >= today + timedelta(days=23) and runs.due_after.weekday() < 5
    assert asked.due_basis == "counted"
    withdraw = {"case_id": asked.case_id, "request_id": asked.pk, "reason": "Filed elsewhere"}
    with pytest.raises(Refused, match="Withdraw that one first"):
        actions.withdraw_clock_change(clerk, **withdraw, record_id=stopped.pk, version=1)
    with pytest.raises(StaleRecord):
        actions.withdraw_clock_change(clerk, **withdraw, record_id=runs.pk, version=7)
    actions.withdraw_clock_change(clerk, **withdraw, record_id=runs.pk, version=1)
    actions.withdraw_clock_change(clerk, **withdraw, record_id=stopped.pk, version=1)
    asked.refresh_from_db()
    assert (asked.due_on, asked.stopped_since, asked.due_basis) == (due, None, "counted")


@pytest.mark.parametrize(
    ("amount", "unit", "due", "left", "shown", "again"),
    [
        # Five days are court days by this rule, ten are not: what is left is of the same kind.
        (5, "days", "2026-06-11", 4, "4 court days left then", "2026-06-23"),
        (10, "days", "2026-06-15", 10, "10 days left then", "2026-06-29"),
        # The rule of short periods was asked once, for the whole of it.
        (10, "days", "2026-06-15", 5, "10 days left then", "2026-06-22"),
        (10, "court days", "2026-06-18", 9, "9 court days left then", "2026-06-30"),
    ],
)
def test_days_that_are_left_are_of_the_kind_that_was_counted(
    clerk, asked, amount, unit, due, left, shown, again
):
    served, stopped, runs = date(2026, 6, 4), date(2026, 6, 5), date(2026, 6, 17)
    entry = {**entered_of(SHIPPED["federal-civil"]), "name": "Tarn records law",
             "calendar": "none", "court_days_below": 8}  # fmt: skip
    key = new_id()
    keep_counting_rule(clerk, record_id=key, version=0, entry=entry)
    asked = make_request(make_case(), clerk, court=COURT, served_on=served,
                         due_on=date(2026, 7, 30))  # fmt: skip
    count(clerk, asked, rule_key=str(key), amount=amount, unit=unit)
    asked.refresh_from_db()
    assert asked.due_on == date.fromisoformat(due)
    # The rule is changed afterwards: what was counted by it goes on as it was counted.
    keep_counting_rule(clerk, record_id=key, version=1, reason="Amended",
                       entry={**entry, "court_days_below": 11 if amount == 10 else 0})  # fmt: skip
    note(clerk, asked, effect="stops", on=stopped)
    page = reverse("clock:note-change", args=[asked.case_id, asked.pk])
    assert shown in as_person(clerk).get(page).content.decode()
    note(clerk, asked, kind="order", effect="runs", on=runs, days_left=left)
    asked.refresh_from_db()
    assert asked.due_on == date.fromisoformat(again)


def test_what_is_left_goes_by_the_court_s_own_closures_and_by_no_way_of_service(clerk):
    entry = {**entered_of(SHIPPED["federal-civil"]), "name": "Tarn records law",
             "calendar": "none", "court_days_below": 8}  # fmt: skip
    key = new_id()
    keep_counting_rule(clerk, record_id=key, version=0, entry=entry)
    for court, day in ((COURT, 9), (COURT, 22), ("Another court", 10), ("Another court", 23)):
        keep_court_closure(
            clerk, record_id=new_id(), version=0,
            entry={"court": court, "kind": "closed", "first_on": date(2026, 6, day),
                   "last_on": date(2026, 6, day), "why": "Flood", "source": "Its order"},
        )  # fmt: skip
    asked = make_request(make_case(), clerk, court=COURT, served_on=date(2026, 6, 4),
                         due_on=date(2026, 7, 30))  # fmt: skip
    count(clerk, asked)
    count(clerk, asked, rule_key=str(key), amount=5, way="mail")  # the later one holds
    asked.refresh_from_db()
    assert asked.due_on == date(2026, 6, 15), (
        "the court was closed on the ninth; three days by mail"
    )
    note(clerk, asked, effect="stops", on=date(2026, 6, 5))
    page = reverse("clock:note-change", args=[asked.case_id, asked.pk])
    assert "5 court days left then" in as_person(clerk).get(page).content.decode()
    note(clerk, asked, kind="order", effect="runs", on=date(2026, 6, 17), days_left=5)
    asked.refresh_from_db()
    assert asked.due_on == date(2026, 6, 25), "closed on the 22nd; mail counts once"


def test_only_clerks_and_supervisors_change_a_due_day_and_a_file_is_a_paper(clerk, asked):
    for role in (Role.INVESTIGATOR, Role.PATHOLOGIST, Role.EVIDENCE_TECHNICIAN):
        with pytest.raises(NotAllowed):
            count(make_staff(role), asked)
        with pytest.raises(NotAllowed):
            note(make_staff(role), asked)
    with pytest.raises(Refused, match="neither a PDF"):
        note(clerk, asked, upload=SimpleUploadedFile("a.pdf", b"hello world"))
    assert not ClockChange.objects.exists()
    other = make_request(make_case(), clerk)
    with pytest.raises(NotKnown):
        actions.count_due_day(clerk, case_id=other.case_id, request_id=asked.pk,
                              record_id=new_id(), entry={})  # fmt: skip


def test_a_closure_entered_later_is_told_and_moves_nothing(clerk, asked):
    kept = count(clerk, asked)
    assert queries.moved_since(clerk) == []
    keep_court_closure(
        clerk, record_id=new_id(), version=0,
        entry={"court": COURT, "kind": "closed", "first_on": kept.end_on, "last_on": kept.end_on,
               "why": "closed by order", "source": "General order 14"},
    )  # fmt: skip
    asked.refresh_from_db()
    assert asked.due_on == kept.end_on
    [moved] = queries.moved_since(clerk)
    assert moved.end > kept.end_on
    page = as_person(clerk)
    shown = page.get(reverse("court:request", args=[asked.case_id, asked.pk])).content.decode()
    assert "Closures entered since" in shown
    assert "Due days to count again" in page.get("/").content.decode()
    count(clerk, asked)
    assert queries.moved_since(clerk) == []


def fixed(by, asked, **more):
    said = {"basis": "fixed", "end_on": timezone.localdate() + timedelta(days=5),
            "note": "Order of the court of today", **more}  # fmt: skip
    return actions.fix_due_day(
        by, case_id=asked.case_id, request_id=asked.pk, record_id=new_id(), entry=said
    )


def test_a_day_is_counted_or_fixed_only_of_an_open_request_whose_clock_runs(clerk, asked):
    with pytest.raises(Refused, match="before the date served") as refused:
        count(clerk, asked, trigger_on=asked.served_on - timedelta(days=60), amount=20)
    assert refused.value.field == "amount"
    note(clerk, asked, effect="stops")
    for act in (count, fixed):
        with pytest.raises(Refused, match="clock is stopped"):
            act(clerk, asked)
    asked.refresh_from_db()
    withdraw_request(clerk, case_id=asked.case_id, request_id=asked.pk, version=asked.version,
                     reason="Quashed")  # fmt: skip
    for act in (count, fixed, note):
        with pytest.raises(Refused, match="is withdrawn"):
            act(clerk, asked)
    assert not DueCount.objects.exists()


def test_a_paper_is_taken_in_of_who_may_and_the_same_key_is_the_same_paper(
    clerk, asked, monkeypatch
):
    key = new_id()

    def paper(words=b"an objection"):
        return SimpleUploadedFile("objection.pdf", b"%PDF-1.7 " + words)

    first = note(clerk, asked, record_id=key, upload=paper())
    assert note(clerk, asked, record_id=key, upload=paper()).pk == first.pk
    for other in (paper(b"another"), None):
        with pytest.raises(Conflict):
            note(clerk, asked, record_id=key, upload=other)
    monkeypatch.setattr(actions.store, "receive", None)  # not a byte is stored
    with pytest.raises(NotAllowed):
        note(make_staff(Role.INVESTIGATOR), asked, upload=paper())


def test_what_moved_a_day_says_who_set_it_and_is_not_taken_back_over_a_later_one(clerk, asked):
    later, made = timezone.localdate() + timedelta(days=50), []
    for kind, basis in (("protective", "fixed"), ("extension", "agreed"), ("order", "fixed")):
        made.append(note(clerk, asked, kind=kind, effect="moves", new_due_on=later))
        asked.refresh_from_db()
        assert (asked.due_on, asked.due_basis) == (later, basis)
        later += timedelta(days=1)
    keys = {"case_id": asked.case_id, "request_id": asked.pk, "reason": "Filed elsewhere"}
    actions.withdraw_clock_change(clerk, **keys, record_id=made[2].pk, version=1)
    asked.refresh_from_db()
    assert (asked.due_on, asked.due_basis) == (later - timedelta(days=2), "agreed")
    fixed(clerk, asked)
    with pytest.raises(Refused, match="was changed after this"):
        actions.withdraw_clock_change(clerk, **keys, record_id=made[1].pk, version=1)


def test_only_a_running_day_of_a_known_case_is_told_as_moved_and_it_is_counted_as_it_was(
    clerk, asked
):
    kept = count(clerk, asked, way="mail")
    assert queries.moved_since(clerk) == [], "counted again by the same way of service"
    keep_court_closure(
        clerk, record_id=new_id(), version=0,
        entry={"court": "Another court", "kind": "closed", "first_on": kept.end_on,
               "last_on": kept.end_on, "why": "Flood", "source": "Its own order"},
    )  # fmt: skip
    assert queries.moved_since(clerk) == [], "another court's closure moves nothing here"
    keep_court_closure(
        clerk, record_id=new_id(), version=0,
        entry={"court": "", "kind": "closed", "first_on": kept.end_on, "last_on": kept.end_on,
               "why": "Flood", "source": "Order of the governor"},
    )  # fmt: skip
    assert [one.asked for one in queries.moved_since(clerk)] == [asked], "of the whole office"
    Case.objects.filter(pk=asked.case_id).update(restricted=True)
    assert queries.moved_since(clerk) == []
    Case.objects.filter(pk=asked.case_id).update(restricted=False)
    with taken_back():
        flood = CourtClosure.objects.get(court="")
        withdraw_court_closure(
            clerk, record_id=flood.pk, version=flood.version, reason="It opened after all."
        )
        assert queries.moved_since(clerk) == []
    note(clerk, asked, effect="stops")
    assert queries.moved_since(clerk) == []


def test_the_pages_save_and_show_what_is_wrong(clerk, asked):
    page, keys = as_person(clerk), [asked.case_id, asked.pk]
    said = {"rule_key": "federal-civil", "trigger_on": asked.served_on.isoformat(), "amount": "30",
            "unit": "days", "way": "commercial carrier", "court": COURT}  # fmt: skip
    address = reverse("clock:count", args=keys)
    assert page.get(address).status_code == 200
    refused = page.post(address, said)
    assert refused.status_code == 422 and "does not say what service" in refused.content.decode()
    assert page.post(address, {**said, "way": BY_HAND}).status_code == 302
    address = reverse("clock:note-change", args=keys)
    change = {"kind": "extension", "on": timezone.localdate().isoformat(), "effect": "moves"}
    refused = page.post(address, change)
    assert refused.status_code == 422 and "Enter the new due day" in refused.content.decode()
    later = timezone.localdate() + timedelta(days=60)
    assert page.post(address, {**change, "new_due_on": later.isoformat()}).status_code == 302
    asked.refresh_from_db()
    assert (asked.due_on, asked.due_basis) == (later, "agreed")
    made = ClockChange.objects.get()
    assert page.get(reverse("clock:withdraw-change", args=[*keys, made.pk])).status_code == 200
    api = f"/api/cases/{asked.case_id}/requests/{asked.pk}"
    assert page.get(f"{api}/clock-changes/").json()[0]["effect"] == "moves"
    assert page.get(f"{api}/due-counts/").json()[0]["basis"] == "counted"
    sent = {"id": str(new_id()), "kind": "notice", "on": timezone.localdate().isoformat(),
            "effect": "none", "note": "Letter"}  # fmt: skip
    assert page.post(f"{api}/clock-changes/", sent).status_code in {200, 201}


def test_what_is_to_be_counted_again_costs_as_much_for_three_as_for_sixty(clerk):
    costs = []
    for more in (3, 17):
        for _ in range(more):
            count(clerk, make_request(make_case(), clerk, court=COURT), way="")
        with CaptureQueriesContext(connection) as seen:
            queries.moved_since(clerk)
        costs.append(len(seen))
    assert costs[0] == costs[1]


def log_form(**more):
    today = timezone.localdate()
    return {
        "record_id": str(new_id()), "request_key": str(new_id()), "kind": "subpoena",
        "wants": "documents", "court": COURT, "cause_number": "26-1", "party": "A. Merrow",
        "contact": "4 Assize Square", "served_on": (today - timedelta(days=3)).isoformat(),
        "served_how": "hand", "asks_for": "The file", "due_how": "counted", "due_on": "",
        "rule_key": "federal-civil", "amount": "30", "unit": "days", "way": "", **more,
    }  # fmt: skip


def test_a_due_day_is_counted_by_a_rule_while_the_request_is_logged(clerk):
    case, page = make_case(), as_person(clerk)
    address = reverse("court:log-request", args=[case.pk])
    wrong = page.post(address, log_form(rule_key="", amount=""))
    assert wrong.status_code == 422
    assert set(wrong.context["form"].errors) == {"rule_key", "amount"}
    named = page.post(address, log_form(due_how="paper"))
    assert set(named.context["form"].errors) == {"due_on"}
    sent = log_form()
    for _ in range(2):
        assert page.post(address, sent).status_code == 302
    kept = DueCount.objects.select_related("request").get()
    assert kept.request.due_on == kept.end_on
    assert (kept.request.due_basis, kept.amount, kept.court) == ("counted", 30, COURT)
    assert kept.trigger_on == kept.request.served_on
    # The same request with another count, or with none, is not the same.
    other = sent | {"request_key": str(new_id()), "amount": "29"}
    assert page.post(address, other).status_code == 409
    # Nor is one whose count ends on the same day by another way of service.
    by_hand = sent | {"request_key": str(new_id()), "way": BY_HAND}
    assert page.post(address, by_hand).status_code == 409
    due = kept.end_on.isoformat()
    none = sent | {"request_key": str(new_id()), "due_how": "paper", "due_on": due}
    assert page.post(address, none).status_code == 409


def test_days_left_of_an_agreed_day_are_counted_and_not_agreed(clerk):
    asked, today = make_request(make_case(), clerk), timezone.localdate()
    count(clerk, asked)
    note(clerk, asked, kind="extension", effect="moves", new_due_on=today + timedelta(days=40))
    note(clerk, asked, kind="quash", effect="stops", on=today)
    note(clerk, asked, kind="order", effect="runs", on=today, days_left=14)
    asked.refresh_from_db()
    assert asked.due_basis == "counted"


def test_the_api_counts_the_day_of_a_request_that_it_logs(clerk):
    case, page = make_case(), as_person(clerk)
    served = timezone.localdate() - timedelta(days=3)
    sent = {
        "id": str(new_id()),
        **asked_for(served_on=served.isoformat(), due_on=served.isoformat()),
        "counting": {"rule_key": "federal-civil", "amount": 30, "unit": "days"},
    }
    address = reverse("court_api:requests", args=[case.pk])
    for _ in range(2):
        made = page.post(address, sent, content_type="application/json")
        assert made.status_code == 201, made.content
    kept = DueCount.objects.get()
    assert (kept.amount, kept.trigger_on) == (30, served)
    assert made.json()["due_on"] == kept.end_on.isoformat()


def test_a_request_whose_clock_is_stopped_is_nowhere_due(clerk, asked):
    """On the first page it comes after what is due, and presses nobody; so in choices."""
    today = timezone.localdate()
    soon = make_request(asked.case, clerk, court=COURT, served_on=today - timedelta(days=5),
                        due_on=today + timedelta(days=1), asks_for="The slides.")  # fmt: skip
    running = rows_due(clerk)
    assert (running[0].when, running[0].urgency) == ("due tomorrow", "stop")
    note(clerk, soon, effect="stops")
    first, last = rows_due(clerk)
    assert first.url.endswith(f"{asked.pk}/") and last.url.endswith(f"{soon.pk}/")
    assert last.when == f"clock stopped since {today.day} {today:%b}"
    assert last.urgency == ""
    assert last.detail.startswith("asks for: The slides;")
    soon.refresh_from_db()
    assert soon.due_said.startswith("clock stopped since")
    assert soon.due_at(today + timedelta(days=400)).words.endswith(str(today.year))
    withdraw = as_person(clerk).get(reverse("court:withdraw-request", args=[soon.case_id, soon.pk]))
    assert f"due {soon.due_on.day}" not in withdraw.content.decode()


def rows_due(clerk):
    (due,) = (one for one in sections_for(clerk) if one.key == "requests-due")
    return due.rows(clerk, timezone.now())
