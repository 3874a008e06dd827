"""Recording results: who may, what is kept, what is refused, what is read."""

from __future__ import annotations

from datetime import timedelta

import psycopg
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from cases.rules.case import CaseState
from evidence.custody.handing import hand_to_agency
from evidence.results import queries
from evidence.results.actions import MOST_LINES, withdraw_result
from evidence.results.models import Result, ResultItem, ResultLine
from evidence.specimens import actions as evidence_actions
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, Invalid, NotAllowed, NotKnown, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.builders import as_person, make_case, make_staff
from tests.custody.test_receipts import ENTRY
from tests.evidence.items import take
from tests.evidence.pictures import add, picture_bytes
from tests.evidence.test_kits import SWABS
from tests.evidence.test_kits import record as record_kit
from tests.results.builders import OXYCODONE, report_of, result_entry

pytestmark = pytest.mark.django_db


@pytest.fixture
def vasko():
    return make_staff(Role.PATHOLOGIST, name="I. Vasko")


def page(name, case, **more):
    return reverse(f"results:{name}", kwargs={"case_id": case.pk, **more})


def test_a_result_is_kept_with_its_items_and_digits_and_leaves_its_events(vasko, case):
    blood = take(vasko, case)
    clerk = make_staff(Role.RECORDS_CLERK, name="P. Ashe")
    made = report_of(clerk, case, items=[blood.item_id], lines=[OXYCODONE])
    kept = queries.result_of(case, made.pk)
    assert (kept.number, kept.created_by, str(kept)) == (1, clerk, "Result 1, toxicology")
    (line,) = kept.lines.all()
    assert (line.words, line.limit_words, line.matrix) == (
        "0.40 mg/L", "0.005 mg/L", "Femoral blood"
    )  # fmt: skip
    assert [link.item.number for link in kept.item_links.all()] == [blood.item.number]
    events = AuditEvent.objects.filter(case_id=case.pk, act="record_result")
    assert set(events.values_list("table", "actor_name")) == {
        (table, "P. Ashe")
        for table in ("results_result", "results_resultitem", "results_resultline")
    }


def test_lines_and_items_read_with_a_result_are_those_of_its_own_page_in_their_order(vasko, case):
    taken = [take(vasko, case, seal_number=f"TC 050{n}") for n in range(3)]
    lines = [{**OXYCODONE, "analyte": name} for name in ("Ethanol", "Cocaine", "Morphine")]
    # One over another's number, so that neither keys nor moments give the order.
    items = [one.item_id for one in (taken[2], taken[0], taken[1])]
    made = report_of(vasko, case, items=items, lines=lines)
    report_of(vasko, case, items=[taken[1].item_id], lines=[OXYCODONE], reference="LT-26-1188")
    first, second = queries.current_results(case.pk)
    page = queries.result_of(case, made.pk)
    assert [line.words for line in first.reported_lines] == ["0.40 mg/L"] * 3
    assert [line.analyte for line in first.reported_lines] == ["Ethanol", "Cocaine", "Morphine"]
    assert [line.limit_words for line in first.reported_lines] == ["0.005 mg/L"] * 3
    numbers = [one.item.number for one in taken]
    assert [item.number for item in first.named_items] == numbers
    assert [item.title for item in first.named_items] == [one.item.title for one in taken]
    assert [line.analyte for line in page.reported_lines] == ["Ethanol", "Cocaine", "Morphine"]
    assert sorted(item.number for item in page.named_items) == numbers
    assert [line.analyte for line in second.reported_lines] == ["Oxycodone"]
    assert [item.number for item in second.named_items] == [numbers[1]]


def test_the_same_request_twice_is_one_result_and_other_words_conflict(vasko, case):
    blood, key = take(vasko, case), new_id()
    same = {"key": key, "items": [blood.item_id], "lines": [OXYCODONE]}
    first = report_of(vasko, case, **same)
    assert report_of(vasko, case, **same).pk == first.pk
    for other in (
        {"statement": "Nothing was found."},
        {"items": []},
        {"lines": [{**OXYCODONE, "value": "4.0"}]},
        {"lines": []},
    ):
        with pytest.raises(Conflict):
            report_of(vasko, case, **{**same, **other})
    assert (Result.objects.count(), ResultLine.objects.count()) == (1, 1)
    # What was sent is compared as it is kept: blanks and marks that cannot be seen are not.
    spaced = {**OXYCODONE, "matrix": " Femoral  blood", "analyte": "Oxycodone\u200e"}
    assert report_of(vasko, case, **{**same, "lines": [spaced]}).pk == first.pk


def test_what_cannot_be_so_is_said_beside_its_field_and_nothing_is_kept(vasko, case):
    ahead = timezone.localdate() + timedelta(days=1)
    for fields, wrong in (
        ({"reported_on": ahead, "received_on": ahead}, {"reported_on", "received_on"}),
        ({"organization": ""}, {"organization"}),
        ({"kind": "guess"}, {"kind"}),
        ({"lines": [OXYCODONE, {**OXYCODONE, "unit": ""}]}, {"unit_2"}),
        ({"lines": [OXYCODONE] * (MOST_LINES + 1)}, {"lines"}),
    ):
        with pytest.raises(Invalid) as refused:
            report_of(vasko, case, **fields)
        assert set(refused.value.errors) == wrong
    elsewhere = take(vasko, make_case(), seal_number="TC 9")
    for items in ([elsewhere.item_id], [new_id()]):
        with pytest.raises(Refused) as not_here:
            report_of(vasko, case, items=items)
        assert not_here.value.field == "items"
    assert not Result.objects.exists()


def test_an_amended_report_takes_the_place_of_the_earlier_which_stays_readable(vasko, case):
    first = report_of(vasko, case, status="preliminary")
    with pytest.raises(Invalid):
        report_of(vasko, case, replaces=first.pk)
    second = report_of(
        vasko, case, status="amended", replaces=first.pk, why_replaced="Amended by the laboratory"
    )
    with pytest.raises(Refused, match="already replaced"):
        report_of(vasko, case, replaces=first.pk, why_replaced="Again")
    other = make_case()
    with pytest.raises(Refused, match="not in this case"):
        report_of(vasko, other, replaces=first.pk, why_replaced="Elsewhere")
    assert [one.pk for one in queries.current_results(case.pk)] == [second.pk]
    with pytest.raises(Refused, match="withdraw that one first"):
        withdraw_result(vasko, case_id=case.pk, record_id=first.pk, version=1, reason="x")
    text = as_person(vasko).get(page("one", case, result_id=first.pk)).content.decode()
    assert "Replaced by" in text
    assert "Amended by the laboratory" in text
    # What was withdrawn no longer stands in the way.
    withdraw_result(vasko, case_id=case.pk, record_id=second.pk, version=1, reason="Wrong case")
    assert [one.pk for one in queries.current_results(case.pk)] == [first.pk]


def test_withdrawing_asks_for_the_version_and_the_reason(vasko, case):
    made = report_of(vasko, case)
    keys = {"case_id": case.pk, "record_id": made.pk}
    with pytest.raises(StaleRecord):
        withdraw_result(vasko, **keys, version=3, reason="Wrong case")
    with pytest.raises(Refused):
        withdraw_result(vasko, **keys, version=1, reason=" ")
    with pytest.raises(NotKnown):
        withdraw_result(vasko, case_id=make_case().pk, record_id=made.pk, version=1, reason="x")
    withdraw_result(vasko, **keys, version=1, reason="Wrong case")
    assert queries.current_results(case.pk) == []
    assert "Withdrawn: Wrong case" in as_person(vasko).get(page("all", case)).content.decode()


def test_a_result_may_follow_the_signature_and_is_not_withdrawn_then(vasko):
    case = make_case(state=CaseState.SIGNED)
    made = report_of(vasko, case, lines=[OXYCODONE])
    with pytest.raises(Refused, match="in its place"):
        withdraw_result(vasko, case_id=case.pk, record_id=made.pk, version=1, reason="x")
    with pytest.raises(NotAllowed):
        report_of(vasko, make_case(state=CaseState.DECLINED))
    with pytest.raises(NotKnown):
        report_of(make_staff(Role.ADMINISTRATOR), case)


def test_who_may_not_record_a_result_does_not_withdraw_one(vasko, case):
    made = report_of(vasko, case)
    keys = {"case_id": case.pk, "record_id": made.pk, "version": 1, "reason": "Wrong case"}
    with pytest.raises(NotKnown):
        withdraw_result(make_staff(Role.ADMINISTRATOR), **keys)
    case.restricted = True
    case.save()
    with pytest.raises(NotKnown):
        withdraw_result(make_staff(Role.RECORDS_CLERK), **keys)
    assert not Result.objects.get().is_voided


def test_a_result_takes_no_place_of_a_withdrawn_one(vasko, case):
    first = report_of(vasko, case)
    withdraw_result(vasko, case_id=case.pk, record_id=first.pk, version=1, reason="Wrong case")
    with pytest.raises(Refused, match="not in this case"):
        report_of(vasko, case, replaces=first.pk, why_replaced="Amended by the laboratory")
    assert report_of(vasko, case).number == 2, "a number is not given twice"


def test_a_result_is_about_standing_items_that_are_no_photographs(vasko, case):
    blood, urine = take(vasko, case), take(vasko, case, seal_number="TC 2")
    picture = add(vasko, case, picture_bytes())
    evidence_actions.void_specimen(
        vasko, case_id=case.pk, specimen_id=urine.pk, version=1, reason="Label of another case"
    )
    assert [item.pk for item in queries.items_to_name(case)] == [blood.item_id]
    for gone in (urine, picture):
        with pytest.raises(Refused) as refused:
            report_of(vasko, case, items=[blood.item_id, gone.item_id])
        assert refused.value.field == "items"
    twice = report_of(vasko, case, items=[blood.item_id, blood.item_id])
    assert twice.item_links.count() == 1


def test_a_part_of_a_kit_leaves_with_the_kit(vasko, case):
    kit = record_kit(vasko, case, SWABS, purpose="DNA")
    parts = ["not-sent-2", "not-sent-3"]
    assert [one.key for one in queries.not_available_in(case.pk)] == ["none-genetic-2-3", *parts]
    hand_to_agency(
        vasko, case_id=case.pk, record_id=new_id(), items=[(kit.item_id, 1)], entry=ENTRY
    )
    assert [one.key for one in queries.not_available_in(case.pk)] == ["none-genetic-2-3"]


def test_the_newest_result_comes_first_and_items_by_their_number(vasko, case):
    blood, urine = take(vasko, case), take(vasko, case, seal_number="TC 2")
    report_of(vasko, case, items=[urine.item_id, blood.item_id])
    report_of(vasko, case, kind="histology")
    newest, first = queries.results_of(case.pk)
    assert (newest.number, first.number) == (2, 1)
    assert [link.item.number for link in first.item_links.all()] == [1, 2]
    assert [one.number for one in queries.current_results(case.pk)] == [1, 2]


def test_sixty_lines_are_taken(vasko, case):
    made = report_of(vasko, case, lines=[OXYCODONE] * MOST_LINES)
    places = [line.place for line in queries.result_of(case, made.pk).lines.all()]
    assert places == list(range(1, 61))


@pytest.mark.django_db(transaction=True)
def test_the_database_keeps_a_late_result_as_it_was_added(application_role):
    case = make_case(state=CaseState.SIGNED)
    report_of(make_staff(Role.PATHOLOGIST), case, lines=[OXYCODONE])
    for statement in (
        "UPDATE results_result SET statement = 'Other' WHERE case_id = %s",
        "UPDATE results_result SET voided_at = now() WHERE case_id = %s",
        "UPDATE results_resultline SET value = '4.0' WHERE case_id = %s",
        "DELETE FROM results_result WHERE case_id = %s",
    ):
        with pytest.raises(psycopg.errors.InsufficientPrivilege):
            application_role.execute(statement, [case.pk])


def test_results_and_what_is_not_available_take_a_fixed_number_of_statements(vasko, case):
    blood = take(vasko, case)

    def statements():
        with CaptureQueriesContext(connection) as read:
            as_person(vasko).get(page("all", case))
        return len(read)

    report_of(vasko, case, items=[blood.item_id], lines=[OXYCODONE])
    few = statements()
    for number in range(2, 41):
        row = Result.objects.create(
            case=case, number=number, created_by=vasko, changed_by=vasko, **result_entry()
        )
        of_row = {"case": case, "result": row, "created_by": vasko, "changed_by": vasko}
        ResultItem.objects.create(item=blood.item, **of_row)
        ResultLine.objects.create(place=1, **OXYCODONE, **of_row)
    assert statements() == few


def test_what_is_not_available_follows_specimen_transfer_and_result(vasko, case):
    blood = take(vasko, case)
    assert [one.key for one in queries.not_available_in(case.pk)] == [
        "none-toxicology-1", "not-sent-1"
    ]  # fmt: skip
    assert "none-toxicology-1" in as_person(vasko).get(
        f"/api/cases/{case.pk}/results/not-available/"
    ).content.decode()  # fmt: skip
    report_of(vasko, case, items=[blood.item_id])
    assert queries.not_available_in(case.pk) == []
    other = take(vasko, case, seal_number="TC 2")
    assert [one.key for one in queries.not_available_in(case.pk)] == ["not-sent-2"]
    evidence_actions.void_specimen(
        vasko, case_id=case.pk, specimen_id=other.pk, version=1, reason="Label of another case"
    )
    assert queries.not_available_in(case.pk) == []


def test_the_page_records_a_result_and_shows_its_lines(vasko, case):
    blood, browser = take(vasko, case), as_person(vasko)
    typed = {
        **result_entry(), "record_id": str(new_id()), "items": [str(blood.item_id)],
        **{f"{name}_1": value for name, value in OXYCODONE.items()},
        "analyte_9": "Diazepam", "relation_9": "not tested",
    }  # fmt: skip
    refused = browser.post(page("record", case), typed)
    assert refused.status_code == 422
    assert "Name the analyte." in refused.content.decode(), "an empty line between is not skipped"
    typed["analyte_2"] = typed.pop("analyte_9")
    typed["relation_2"] = typed.pop("relation_9")
    done = browser.post(page("record", case), typed)
    assert done.status_code == 302, done.content.decode()[-2000:]
    text = browser.get(done["Location"]).content.decode()
    for words in ("0.40 mg/L", "0.005 mg/L", "not tested", "H. Brandt, PhD", "LT-26-1187"):
        assert words in text
    assert "judges none of them" in text
    made = Result.objects.get()
    again = browser.get(page("record", case) + f"?replaces={made.pk}").content.decode()
    assert 'value="0.40"' in again
    assert "Why it replaces the earlier one" in again


def test_the_api_records_reads_and_withdraws(vasko, case):
    browser, blood = as_person(vasko), take(vasko, case)
    body = {
        **result_entry(reported_on="2026-11-16", received_on="2026-11-17"), "id": str(new_id()),
        "items": [str(blood.item_id)], "lines": [OXYCODONE],
    }  # fmt: skip
    address = f"/api/cases/{case.pk}/results/"
    made = browser.post(address, body, content_type="application/json")
    assert made.status_code == 201, made.content
    wrong = {**body, "id": str(new_id()), "lines": [{**OXYCODONE, "value": ""}]}
    refused = browser.post(address, wrong, content_type="application/json")
    assert (refused.status_code, list(refused.json()["errors"])) == (422, ["value_1"])
    (row,) = browser.get(address).json()
    assert (row["lines"][0]["value"], row["items"]) == ("0.40", [str(blood.item_id)])
    gone = browser.post(
        f"{address}{row['id']}/void/", {"version": 1, "reason": "Wrong case"},
        content_type="application/json",
    )  # fmt: skip
    assert gone.json()["void_reason"] == "Wrong case"
