"""The list of cases and what waits for whom."""

from __future__ import annotations

import csv
import io
from datetime import UTC, datetime, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone
from guardian.shortcuts import assign_perm

from cases import actions
from cases.queries.listing import Choice, case_page, case_rows, read_choice
from cases.queries.pages import PAGE
from cases.rules.case import CaseState
from cases.worklists import LIMIT, sections_for
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.audit.errors import NotKnown
from me_office.audit.ids import new_id
from tests.builders import MOMENT, make_case, make_staff
from tests.cases.entries import ago, logged_case, open_case, received, seen_at_scene

pytestmark = pytest.mark.django_db


@pytest.fixture
def clerk() -> Staff:
    return make_staff(Role.RECORDS_CLERK)


def test_pages_follow_each_other_without_loss_or_repetition(clerk):
    made = [make_case(reported_at=MOMENT + timedelta(minutes=n // 3)) for n in range(PAGE * 2 + 5)]
    seen, after = [], ""
    for _ in range(3):
        page = case_page(clerk, Choice(), after)
        assert page.count == len(made)
        seen += page.rows
        after = page.next_key
    assert after == ""
    expected = sorted(made, key=lambda case: (case.reported_at, str(case.pk)), reverse=True)
    assert seen == expected


def test_a_long_list_is_not_counted_to_its_end(client, clerk, monkeypatch):
    monkeypatch.setattr("cases.queries.pages.COUNTED", 4)
    for _ in range(4):
        make_case()
    client.force_login(clerk)
    assert "4 cases" in client.get("/cases/").content.decode()
    make_case()
    page = case_page(clerk, Choice())
    assert (page.count, page.counted_all) == (4, False)
    assert "more than 4 cases" in client.get("/cases/").content.decode()


def test_a_key_that_is_none_is_said_to_be_none(clerk):
    for after in ("x", "2026-01-01_x", "_", "2026-01-01T00:00:00_" + str(new_id())):
        with pytest.raises(NotKnown):
            case_page(clerk, Choice(), after)


def test_a_list_is_chosen_by_state_person_and_year(clerk):
    vasko = make_staff(Role.PATHOLOGIST)
    mine = make_case(pathologist=vasko)
    old = make_case(state="signed", reported_at=datetime(2025, 6, 1, tzinfo=UTC))
    reported = make_case(state="reported")

    def shown(actor: Staff, choice: Choice) -> set:
        return set(case_page(actor, choice).rows)

    assert shown(vasko, Choice(mine=True)) == {mine}
    assert shown(clerk, Choice(state=CaseState.REPORTED)) == {reported}
    assert shown(clerk, Choice(year=2025)) == {old}
    assert shown(clerk, Choice(year=2025, state=CaseState.OPEN)) == set()


@pytest.mark.parametrize("year", ["²⁰²⁶", "²", "02026", "20260", "-2026", "0", "9" * 4000])
def test_a_year_that_is_none_is_left_out(year):
    # Unicode: a superscript two is a digit without a decimal value (str.isdigit, not isdecimal).
    assert read_choice("", "", year).year is None


def test_the_year_of_a_list_is_the_offices(clerk):
    """Two in the morning in UTC on 1 January is still December in New York."""
    case = make_case(reported_at=datetime(2026, 1, 1, 2, tzinfo=UTC))
    assert case_page(clerk, Choice(year=2025)).rows == [case]


def test_what_an_address_asks_for_in_error_is_left_out():
    assert read_choice("burnt", "yes", "20266") == Choice()
    assert read_choice("in review", "1", "2026") == Choice(CaseState.IN_REVIEW, True, 2026)


def test_lists_and_exports_leave_out_what_is_restricted(clerk):
    make_case()
    secret = make_case(restricted=True)
    assert secret not in case_page(clerk, Choice()).rows
    assert len(list(case_rows(clerk, Choice()))) == 2
    assign_perm("cases.work_on_case", clerk, secret)
    assert len(list(case_rows(Staff.objects.get(pk=clerk.pk), Choice()))) == 3


def test_an_export_opens_as_a_table_and_runs_no_formula(client, clerk):
    make_case(heading='=HYPERLINK("http://x")', family_name="Ash, by")
    client.force_login(clerk)
    answer = client.get("/cases/export.csv")
    text = b"".join(answer.streaming_content).decode()
    head, row = list(csv.reader(io.StringIO(text)))
    assert head[0] == "Number"
    assert row[3] == "Oren Ash, by"
    assert row[7].startswith("'=")


def test_the_list_reads_as_often_for_three_as_for_sixty(client, clerk):
    client.force_login(clerk)
    counts = []
    for more in (3, 57):
        for _ in range(more):
            make_case(investigator=make_staff(Role.INVESTIGATOR))
        with CaptureQueriesContext(connection) as queries:
            assert client.get("/cases/").status_code == 200
        counts.append(len(queries))
    assert counts[0] == counts[1] <= 15


def rows_of(actor: Staff, key: str) -> list:
    now = timezone.now()
    return next(one.rows(actor, now) for one in sections_for(actor) if one.key == key)


def test_reports_wait_for_a_decision_the_oldest_first():
    quill = make_staff(Role.INVESTIGATOR)
    logged_case(quill, heading="Found in bed")
    old = logged_case(
        quill, heading="Body in the weir", called_at=ago(hours=20), last_alive_certainty="unknown",
        last_alive_at=None, found_certainty="unknown", found_at=None, pronounced_at=None,
    )  # fmt: skip
    first, second = rows_of(quill, "undecided")
    assert first.title == "Oren Hallstead: Body in the weir"
    assert (first.urgency, second.urgency) == ("attention", "")
    assert first.url == f"/cases/{old.pk}/jurisdiction/"
    actions.decline_jurisdiction(quill, case_id=old.pk, version=1, reason="attended")
    assert len(rows_of(quill, "undecided")) == 1


def test_an_investigators_case_waits_until_scene_body_and_kin_are_done():
    quill = make_staff(Role.INVESTIGATOR)
    case = open_case(quill)
    (row,) = rows_of(quill, "incomplete")
    assert row.detail == "scene not recorded, body not received, next of kin not notified"
    actions.record_scene(quill, case_id=case.pk, version=0, entry=seen_at_scene())
    actions.receive_body(quill, case_id=case.pk, version=0, entry=received())
    (row,) = rows_of(quill, "incomplete")
    assert row.detail == "next of kin not notified"
    kin = {"part": "next of kin", "name": "Mara Hallstead", "notified_at": ago(hours=1)}
    actions.record_person(quill, case_id=case.pk, record_id=new_id(), entry=kin)
    assert rows_of(quill, "incomplete") == []
    assert rows_of(make_staff(Role.INVESTIGATOR), "incomplete") == []


def test_kin_are_not_waited_for_while_the_name_is_not_known():
    quill = make_staff(Role.INVESTIGATOR)
    open_case(quill, family_name="", given_names="", working_name="Unknown man, weir")
    (row,) = rows_of(quill, "incomplete")
    assert row.detail == "scene not recorded, body not received"


def test_a_supervisor_sees_cases_without_a_pathologist():
    thorne, vasko = make_staff(Role.SUPERVISOR), make_staff(Role.PATHOLOGIST)
    case = make_case()
    make_case(pathologist=vasko)
    make_case(restricted=True)
    (row,) = rows_of(thorne, "unassigned")
    assert row.url == f"/cases/{case.pk}/assignment/"
    actions.assign_case(thorne, case_id=case.pk, version=1, entry={"pathologist": vasko})
    assert rows_of(thorne, "unassigned") == []
    # Who has left examines nobody: the case waits for somebody else.
    Staff.objects.filter(pk=vasko.pk).update(is_active=False, display_name="Dr. I. Vasko")
    first, second = rows_of(thorne, "unassigned")
    assert "assigned to Dr. I. Vasko, whose account is closed" in first.detail
    assert "assigned to Dr. I. Vasko, whose account is closed" in second.detail
    amadi = make_staff(Role.PATHOLOGIST)
    actions.assign_case(thorne, case_id=case.pk, version=2, entry={"pathologist": amadi})
    assert len(rows_of(thorne, "unassigned")) == 1


def test_cases_of_nobody_and_of_somebody_who_has_left_wait_in_one_order(monkeypatch):
    monkeypatch.setattr("cases.queries.waiting.LIMIT", 3)
    thorne, gone = make_staff(Role.SUPERVISOR), make_staff(Role.PATHOLOGIST)
    Staff.objects.filter(pk=gone.pk).update(is_active=False)
    waiting = [
        make_case(pathologist=who, reported_at=MOMENT + timedelta(hours=n))
        for n, who in enumerate((gone, None, gone, None))
    ]
    urls = [row.url for row in rows_of(thorne, "unassigned")]
    assert urls == [f"/cases/{case.pk}/assignment/" for case in waiting[:3]]


def test_worklists_belong_to_roles():
    assert not {"undecided", "incomplete", "unassigned"} & {
        section.key for section in sections_for(make_staff(Role.RECORDS_CLERK))
    }


def test_worklists_are_bounded_and_read_in_one_statement_each():
    thorne = make_staff(Role.SUPERVISOR)
    counts = []
    for more in (3, 57):
        for _ in range(more):
            make_case()
        with CaptureQueriesContext(connection) as queries:
            rows = rows_of(thorne, "unassigned")
        counts.append(len(queries))
    assert len(rows) == LIMIT
    assert counts[0] >= counts[1]
