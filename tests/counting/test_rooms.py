"""Rules of counting and closures: kept, changed, withdrawn; a date counted on its page."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from cases.counting import actions, queries
from cases.counting.models import CountingRule, CourtClosure
from cases.counting.rules import entered_of
from findings.calculations.counting import Period
from findings.calculations.counting_rules import BY_HAND, SHIPPED
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, Invalid, NotAllowed, NotKnown, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.builders import as_person, make_staff

pytestmark = pytest.mark.django_db
COURT = "Tarn County Superior Court"
STATE = {
    **entered_of(SHIPPED["federal-civil"]), "name": "Tarn Rules of Court 12",
    "source": "Tarn Rules of Court, rule 12", "calendar": "none",
}  # fmt: skip
CLOSED = {
    "court": COURT, "kind": "closed", "first_on": date(2026, 12, 9), "last_on": date(2026, 12, 10),
    "why": "closed, order of the court", "source": "General order 2026-14",
}  # fmt: skip


def keep(by, *, version=0, record_id=None, reason="", **more):
    return actions.keep_counting_rule(
        by, record_id=record_id or new_id(), version=version, entry={**STATE, **more},
        reason=reason,
    )  # fmt: skip


def close(by, *, version=0, record_id=None, reason="", **more):
    return actions.keep_court_closure(
        by, record_id=record_id or new_id(), version=version, entry={**CLOSED, **more},
        reason=reason,
    )  # fmt: skip


def test_a_rule_is_kept_changed_with_a_reason_and_retired():
    clerk = make_staff(Role.RECORDS_CLERK)
    made = keep(clerk)
    assert keep(clerk, record_id=made.pk).version == 1  # the same request again
    with pytest.raises(Conflict):
        keep(clerk, record_id=made.pk, source="Another")
    with pytest.raises(Invalid):
        keep(clerk, name="TARN rules of court 12")  # the same name
    with pytest.raises(Refused):
        keep(clerk, record_id=made.pk, version=1)  # no reason
    with pytest.raises(Invalid) as wrong:
        keep(clerk, name="Other", ways="mail")
    assert [*wrong.value.errors] == ["ways"]
    changed = keep(clerk, record_id=made.pk, version=1, reason="Counsel read it",
                   approved_by="A. Merrow", approved_on=date(2026, 1, 5))  # fmt: skip
    with pytest.raises(StaleRecord):
        keep(clerk, record_id=made.pk, version=1, reason="Late")
    actions.retire_counting_rule(clerk, record_id=made.pk, version=changed.version, reason="New")
    with pytest.raises(Refused):
        keep(clerk, record_id=made.pk, version=3, reason="After all")
    assert [one.key for one in queries.rules()] == [*SHIPPED]
    acts = AuditEvent.objects.filter(table=CountingRule._meta.db_table).order_by("id")
    assert [one.act for one in acts] == [
        "keep_counting_rule", "keep_counting_rule", "retire_counting_rule"
    ]  # fmt: skip
    assert (
        "Counsel read it"
        in as_person(clerk).get(reverse("counting:rule", args=[made.pk])).content.decode()
    )
    with pytest.raises(NotKnown):
        queries.counted(queries.Asked(str(made.pk), date(2026, 6, 1), Period(5)))


def test_only_clerks_and_supervisors_keep_them_and_everybody_of_a_case_reads_them():
    made, closed = keep(make_staff(Role.SUPERVISOR)), close(make_staff(Role.RECORDS_CLERK))
    for role in (Role.INVESTIGATOR, Role.PATHOLOGIST, Role.EVIDENCE_TECHNICIAN):
        person = make_staff(role)
        page = as_person(person)
        with pytest.raises(NotAllowed):
            keep(person, name="Other")
        with pytest.raises(NotAllowed):
            close(person)
        with pytest.raises(NotAllowed):
            actions.retire_counting_rule(person, record_id=made.pk, version=1, reason="No")
        with pytest.raises(NotAllowed):
            actions.withdraw_court_closure(person, record_id=closed.pk, version=1, reason="No")
        for name in ("count", "rules", "closures"):
            assert page.get(reverse(f"counting:{name}")).status_code == 200
        assert page.get(reverse("counting:rule", args=[made.pk])).status_code == 200
        assert page.get(reverse("counting:add-rule")).status_code == 403
        assert page.get(reverse("counting:add-closure")).status_code == 403
    administrator = as_person(make_staff(Role.ADMINISTRATOR))
    assert administrator.get(reverse("counting:rules")).status_code == 403
    assert administrator.get("/api/counting/rules/").status_code == 403


def test_whoever_reads_a_rule_reads_all_of_it_with_its_source():
    clerk, reader = make_staff(Role.RECORDS_CLERK), make_staff(Role.INVESTIGATOR)
    made = keep(clerk, calendar="US-TX", court_days_below=6)
    shipped = reverse("counting:shipped-rule", args=["federal-appellate"])
    assert shipped in as_person(reader).get(reverse("counting:rules")).content.decode()
    page = as_person(reader).get(shipped).content.decode()
    for words in ("<title>Federal Rule of Appellate Procedure 26", "November 30, 2026",
                  "commercial carrier: 3 days after the end", "backward: (a)(5)",
                  queries.CHECK_WITH_COUNSEL.text.split(".")[0]):  # fmt: skip
        assert words in page
    begin = reverse("counting:add-rule") + "?like=federal-appellate"
    assert begin not in page
    assert begin in as_person(clerk).get(shipped).content.decode()
    page = as_person(reader).get(reverse("counting:rule", args=[made.pk])).content.decode()
    for words in (
        "US-TX, a state",
        "periods below 6 days count court days alone",
        "goes back to the last open day before",
        "Not approved by counsel yet.",
    ):
        assert words in page
    gone = reverse("counting:shipped-rule", args=["federal-tax"])
    assert as_person(reader).get(gone).status_code == 404
    assert as_person(make_staff(Role.ADMINISTRATOR)).get(shipped).status_code == 403


def test_closures_one_after_another_move_an_end_however_far_they_reach():
    clerk = make_staff(Role.RECORDS_CLERK)
    first = date(2026, 12, 1)
    for _ in range(4):
        last = first + timedelta(days=200)
        close(clerk, court="", first_on=first, last_on=last, why="Closed until further order")
        first = last + timedelta(days=1)
    asked = queries.Asked("federal-civil", date(2026, 11, 25), Period(14), BY_HAND, COURT)
    end = queries.counted(asked).count.end
    assert end is not None and end >= first


def test_a_closure_moves_the_days_of_its_court_alone():
    clerk = make_staff(Role.RECORDS_CLERK)
    made = close(clerk, court=" Tarn County  Superior Court")
    assert made.court == COURT
    with pytest.raises(Invalid):
        close(clerk, last_on=date(2026, 12, 1))
    ends = []
    for court in ("TARN county superior court", "Another court", ""):
        asked = queries.Asked("federal-civil", date(2026, 11, 25), Period(14), BY_HAND, court)
        ends.append(queries.counted(asked).count.end)
    assert ends == [date(2026, 12, 11), date(2026, 12, 9), date(2026, 12, 9)]
    close(clerk, court="", kind="declared", first_on=date(2026, 12, 11),
          last_on=date(2026, 12, 11), why="Day of mourning")  # fmt: skip
    asked = queries.Asked("federal-civil", date(2026, 11, 25), Period(14), BY_HAND, COURT)
    assert queries.counted(asked).count.end == date(2026, 12, 14)
    actions.withdraw_court_closure(clerk, record_id=made.pk, version=1, reason="Another court")
    assert queries.counted(asked).count.end == date(2026, 12, 9)
    assert any("ask its clerk" in one for one in queries.counted(asked).count.warnings)


def test_the_page_counts_with_its_steps_and_says_what_it_cannot():
    clerk = make_staff(Role.RECORDS_CLERK)
    close(clerk)
    page, address = as_person(clerk), reverse("counting:count")
    asked = {
        "rule": "federal-civil", "trigger": "2026-11-25", "amount": "14", "unit": "days",
        "direction": "after", "way": BY_HAND, "court": COURT,
    }  # fmt: skip
    shown = page.get(address, asked).content.decode()
    for words in ("Friday, December 11, 2026", "26 Nov 2026", "closed, order of the court",
                  "(a)(3)", "Check with counsel", "No counsel’s approval"):  # fmt: skip
        assert words in shown, words
    for change, words in (
        ({"way": "commercial carrier"}, "does not say what service"),
        ({"amount": "0"}, "Give a period of 1 to 3650 days"),
        ({"amount": "2.5"}, "Give whole days"),
        ({"unit": "hours"}, "Enter the hour of the event"),
        ({"trigger": "June"}, "trigger"),
        ({"rule": "another"}, "Select a valid choice"),
    ):
        answer = page.get(address, {**asked, **change})
        assert answer.status_code == 422 and words in answer.content.decode(), change
    hours = {**asked, "unit": "hours", "amount": "72", "way": "", "at": "10:23",
             "trigger": "2026-10-30"}  # fmt: skip
    assert "November 2, 2026, " in page.get(address, hours).content.decode()


def test_the_api_keeps_and_lists_them():
    clerk = as_person(make_staff(Role.RECORDS_CLERK))
    sent = {"id": str(new_id()), "version": 0, **STATE}
    made = clerk.post("/api/counting/rules/", sent, content_type="application/json")
    assert made.status_code in {200, 201}, made.content
    assert clerk.get("/api/counting/rules/").json()[0]["name"] == STATE["name"]
    in_use = clerk.get("/api/counting/rules-in-use/").json()
    assert [one["key"] for one in in_use] == [sent["id"], *SHIPPED]
    wrong = {**sent, "id": str(new_id()), "name": "Other", "ways": "mail"}
    assert clerk.post("/api/counting/rules/", wrong, content_type="application/json"
                      ).status_code == 422  # fmt: skip
    sent = {"id": str(new_id()), "version": 0,
            **{name: str(value) for name, value in CLOSED.items()}}  # fmt: skip
    assert clerk.post("/api/counting/closures/", sent, content_type="application/json"
                      ).status_code in {200, 201}  # fmt: skip
    [row] = clerk.get("/api/counting/closures/").json()
    gone = clerk.post(f"/api/counting/closures/{row['id']}/void/",
                      {"version": 1, "reason": "Wrong court"},
                      content_type="application/json")  # fmt: skip
    assert gone.status_code == 200 and CourtClosure.objects.active().count() == 0


def test_the_lists_ask_as_much_for_three_rows_as_for_sixty():
    clerk = make_staff(Role.RECORDS_CLERK)
    page, counts = as_person(clerk), []
    for more in (3, 57):
        for number in range(more):
            close(clerk, why=f"closed {more} {number}")
            keep(clerk, name=f"Rule {more} {number}")
        asked = []
        for name in ("closures", "rules", "count"):
            with CaptureQueriesContext(connection) as seen:
                page.get(reverse(f"counting:{name}"))
            asked.append(len(seen))
        counts.append(asked)
    assert counts[0] == counts[1]
