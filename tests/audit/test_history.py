"""The history of a case reads like a story, and is read in a fixed number of statements."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from cases.models import Case
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.audit import queries, words
from me_office.audit.actions import KEPT_ACTS, note_access
from me_office.audit.guard import ALSO_WATCHED, tables_that
from me_office.audit.ids import new_id
from me_office.audit.models import AccessEvent, AuditEvent
from me_office.audit.queries import ACTS_A_PAGE, case_history, case_readers, record_history
from tests.audit.acts import all_actions
from tests.audit.test_frame import note_medication, rename_medication
from tests.builders import as_person, make_case, make_staff


@pytest.fixture
def told(db: None) -> tuple[Case, Staff]:
    """A case in which somebody noted and renamed a medication."""
    anna = make_staff(Role.INVESTIGATOR, name="A. Renn")
    case = make_case(by=anna)
    made = note_medication(anna, case=case, record_id=new_id(), name="Lisinopril")
    rename_medication(anna, record_id=made.pk, name="Lisinopril 10 mg", reason="label read again")
    return case, anna


def test_acts_are_told_in_words():
    assert words.act_words("record_finding") == "recorded a finding"
    assert words.act_words("void_interpretation") == "voided an interpretation"
    assert words.act_words("sign_off") == "signed the review of the report and locked the case file"


def test_every_act_of_the_office_has_a_past_tense():
    acts = {KEPT_ACTS.get(name, name) for name in all_actions()}
    assert len(acts) > 120
    untold = {act for act in acts if act not in words.WHOLE and act.split("_")[0] not in words.PAST}
    assert untold == set()


def test_an_action_that_was_renamed_is_told_under_its_first_name():
    now = set(all_actions())
    assert set(KEPT_ACTS) <= now and not now & set(KEPT_ACTS.values())
    assert words.act_words("leave_copy") == "dismissed a copy that could not be made"


def test_the_story_says_who_what_why_and_both_texts(told):
    case, _ = told
    newest = case_history(case.pk).acts[0]
    change = newest.parts[0].changes[0]
    assert (newest.who, newest.reason) == ("A. Renn", "label read again")
    assert (change.field, change.was, change.becomes) == ("name", "Lisinopril", "Lisinopril 10 mg")


def test_a_new_record_is_named(told):
    case, _ = told
    first = case_history(case.pk).acts[1]
    assert (first.parts[0].what, first.parts[0].subject) == ("medication", "Lisinopril")


@pytest.mark.parametrize(
    ("table", "made", "subject"),
    [
        ("decisions_itemdecision", {"kind": "photograph", "number": "P 4", "label": "Left hand",
                                    "outcome": "withhold"}, "withhold P 4"),
        ("decisions_itemdecision", {"kind": "other", "number": "", "label": "Histology slides",
                                    "outcome": "not ours"}, "not ours Histology slides"),
        ("decisions_reach", {"kind": "other", "words": "Worksheets"}, "Worksheets"),
        ("decisions_reach", {"kind": "photograph", "words": ""}, "photographs"),
    ],
)  # fmt: skip
def test_what_may_go_out_is_named_by_the_item(table, made, subject):
    event = AuditEvent(table=table, operation="insert",
                       changes={name: [None, value] for name, value in made.items()})  # fmt: skip
    assert queries._subject(event, {}) == subject


def test_a_change_by_hand_is_told_as_one(told):
    case, _ = told
    with connection.cursor() as cursor:
        cursor.execute("UPDATE cases_case SET heading = 'other words' WHERE id = %s", [case.pk])
    newest = record_history("cases_case", str(case.pk))[0]
    assert newest.parts[-1].changes[0].becomes == "other words"


@pytest.mark.django_db(transaction=True)
def test_the_page_shows_whole_acts_and_leads_on():
    anna = make_staff(Role.INVESTIGATOR, name="A. Renn")
    case = make_case(by=anna)
    for number in range(ACTS_A_PAGE + 5):
        note_medication(anna, case=case, record_id=new_id(), name=f"Medicine {number}")
    first = case_history(case.pk)
    assert len(first.acts) == ACTS_A_PAGE
    second = case_history(case.pk, before=first.next_before)
    assert second.acts
    assert second.next_before is None
    seen = [act.transaction for act in first.acts + second.acts]
    assert len(seen) == len(set(seen))
    with connection.cursor() as cursor:
        cursor.execute("UPDATE cases_case SET heading = 'by hand' WHERE id = %s", [case.pk])
    page = as_person(anna).get(reverse("history:case-history", kwargs={"case_id": case.pk}))
    assert "directly in the database" in page.content.decode()


@pytest.mark.django_db(transaction=True)
def test_the_page_asks_the_same_number_of_statements_for_3_acts_and_for_60():
    anna = make_staff(Role.INVESTIGATOR)
    case = make_case(by=anna)
    page, counts = as_person(anna), []
    for more in (3, 57):
        for _ in range(more):
            note_medication(anna, case=case, record_id=new_id(), name="Medicine")
        with CaptureQueriesContext(connection) as statements:
            page.get(reverse("history:case-history", kwargs={"case_id": case.pk}))
        counts.append(len(statements))
    assert counts[0] == counts[1] <= 15


def test_looking_at_a_case_is_noted(told):
    case, anna = told
    as_person(anna).get(reverse("history:case-history", kwargs={"case_id": case.pk}))
    assert AccessEvent.objects.filter(case_id=case.pk, actor_id=anna.pk, what="history").exists()


def test_who_looked_is_shown_to_supervisors_only(told):
    case, anna = told
    address = reverse("history:case-readers", kwargs={"case_id": case.pk})
    assert as_person(anna).get(address).status_code == 422
    page = as_person(make_staff(Role.SUPERVISOR)).get(address)
    assert page.status_code == 200


def test_a_restricted_case_keeps_its_history_from_others(told):
    case, anna = told
    Case.objects.filter(pk=case.pk).update(restricted=True)
    page = as_person(anna)
    for address in (
        reverse("history:case-history", kwargs={"case_id": case.pk}),
        reverse(
            "history:record-history",
            kwargs={"case_id": case.pk, "table": "cases_case", "record_id": str(case.pk)},
        ),
        f"/api/cases/{case.pk}/history/",
    ):
        assert page.get(address).status_code == 404


def test_a_record_of_another_case_is_not_told(told):
    case, anna = told
    other = make_case(by=anna)
    address = reverse(
        "history:record-history",
        kwargs={"case_id": case.pk, "table": "cases_case", "record_id": str(other.pk)},
    )
    assert as_person(anna).get(address).status_code == 404


@pytest.mark.django_db
def test_every_table_of_records_has_its_triggers():
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT c.relname, t.tgname FROM pg_trigger t JOIN pg_class c ON c.oid = t.tgrelid "
            "WHERE NOT t.tgisinternal AND t.tgenabled = 'O'"
        )
        there = set(cursor.fetchall())
    for table in [*tables_that("watched"), *ALSO_WATCHED]:
        assert (table, "audit_change") in there
    for table in tables_that("kept_for_ever"):
        assert (table, "never_deleted") in there
    assert {(t, "append_only") for t in ("audit_auditevent", "audit_accessevent")} <= there
    assert len(tables_that("watched")) > 25


def test_measured_columns_are_told_with_their_unit_and_lettered_lines_are_not():
    assert words.field_words("findings_organweight", "weight_g") == "weight"
    assert words.value_words("findings_organweight", "weight_g", 640, {}) == "640 g"
    assert words.value_words("cases_scenereading", "value_c", 31.5, {}).endswith("°C")
    assert words.value_words("certification_certification", "cause_c", "Fall", {}) == "Fall"


def test_looks_are_told_in_lines_and_page_by_key(told, monkeypatch):
    case, anna = told
    for what in ("scene", "scene", "cause_and_manner", "scene"):
        note_access(anna, case_id=case.pk, what=what)
    looks = case_readers(case.pk).looks
    assert [(look.what, look.times) for look in looks[:3]] == [
        ("scene", 1), ("cause and manner", 1), ("scene", 2),
    ]  # fmt: skip
    monkeypatch.setattr(queries, "LOOKS_A_PAGE", 3)
    first = case_readers(case.pk)
    assert sum(look.times for look in first.looks) == 3
    second = case_readers(case.pk, before=first.next_before)
    assert second.looks[0].what == "scene"
    page = reverse("history:case-readers", kwargs={"case_id": case.pk})
    thorne = make_staff(Role.SUPERVISOR)
    words_shown = as_person(thorne).get(page).content.decode()
    assert "cause and manner" in words_shown
    assert "?before=" in words_shown
