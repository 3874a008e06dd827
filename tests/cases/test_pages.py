"""The pages of the case file: the job by its forms, bad input, stale entries."""

from __future__ import annotations

import re
from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from cases import actions
from cases.models import BodyReceipt, Case, Person, ReportOfDeath, Scene, SceneReading, TeamMember
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from tests.builders import make_case, make_staff
from tests.cases.browsing import READ_PAGES, page, sign_in, typed, words
from tests.cases.entries import ago, first_call, logged_case, open_case, received, seen_at_scene

pytestmark = pytest.mark.django_db


def test_the_first_call_is_logged_and_decided_by_its_forms(client):
    quill = sign_in(client, Role.INVESTIGATOR)
    key = new_id()
    answer = client.post(reverse("cases:log-report"), typed(first_call(), record_id=key))
    case = Case.objects.get()
    assert answer.url == page("jurisdiction", case)
    assert (case.pk, case.investigator) == (key, quill)
    sent = typed(
        {"outcome": "accepted", "ground": "work", "reason": "Nobody saw the fall."}, version=1
    )
    answer = client.post(page("jurisdiction", case), sent, follow=True)
    case.refresh_from_db()
    assert case.number
    assert f"The case number is {case.number}." in words(answer)


def test_a_form_sent_twice_makes_one_case(client):
    sign_in(client, Role.INVESTIGATOR)
    sent = typed(first_call())
    first = client.post(reverse("cases:log-report"), sent)
    second = client.post(reverse("cases:log-report"), sent)
    third = client.post(reverse("cases:log-report"), sent | {"request_key": str(new_id())})
    assert first.url == second.url == third.url
    assert Case.objects.count() == 1


def test_bad_input_is_said_beside_the_field_and_the_rest_is_kept(client):
    sign_in(client, Role.INVESTIGATOR)
    tomorrow = timezone.now() + timedelta(days=1)
    answer = client.post(
        reverse("cases:log-report"),
        typed(first_call(caller_name="", called_at=tomorrow, age_years="old", given_names="Oren")),
    )
    assert answer.status_code == 422
    form = answer.context["form"]
    assert set(form.errors) == {"caller_name", "age_years"}
    assert 'id="id_caller_name_error"' in words(answer)
    assert "Found at the foot of a ladder" in words(answer)
    answer = client.post(
        reverse("cases:log-report"), typed(first_call(called_at=tomorrow, heading="A fall"))
    )
    assert answer.context["form"].errors == {"called_at": ["This time is in the future."]}
    assert 'value="A fall"' in words(answer)
    assert not Case.objects.exists()


def test_how_sure_a_time_is_has_to_be_said(client):
    sign_in(client, Role.INVESTIGATOR)
    sent = typed(first_call())
    del sent["found_certainty"]
    answer = client.post(reverse("cases:log-report"), sent)
    assert set(answer.context["form"].errors) == {"found_certainty"}
    assert "Say how certain it is" in words(answer)


def test_times_that_are_left_over_from_another_certainty_are_not_kept(client):
    sign_in(client, Role.INVESTIGATOR)
    left_over = first_call(
        found_certainty="unknown", last_alive_certainty="exact", last_alive_until=ago(hours=1)
    )
    client.post(reverse("cases:log-report"), typed(left_over))
    report = ReportOfDeath.objects.get()
    assert (report.found_at, report.last_alive_until) == (None, None)


def test_a_stale_correction_shows_both_texts_and_can_be_saved_knowingly(client):
    case = logged_case()
    quill = sign_in(client, Role.INVESTIGATOR)
    sent = typed(first_call(caller_phone="555 0001"), version=1) | {"reason": "read back"}
    actions.correct_report_of_death(
        quill, case_id=case.pk, version=1, entry={"caller_phone": "555 0002"}, reason="typing"
    )
    answer = client.post(page("edit-report", case), sent)
    assert answer.status_code == 409
    assert "555 0001" in words(answer)
    assert "555 0002" in words(answer)
    again = {**sent, "version": "2", "request_key": str(new_id())}
    assert client.post(page("edit-report", case), again).status_code == 302
    assert ReportOfDeath.objects.get().caller_phone == "555 0001"


def test_the_scene_is_written_and_its_caution_shown(client):
    case = open_case()
    sign_in(client, Role.INVESTIGATOR)
    empty = client.get(page("scene", case))
    assert "The scene is not recorded" in words(empty)
    client.post(page("edit-scene", case), typed(seen_at_scene(position="prone")))
    answer = client.get(page("scene", case))
    assert "lividity on the back, body face down" in words(answer)
    assert "never a conclusion" in words(answer)
    assert Scene.objects.get().position == "prone"
    assert "temperature of the body" in words(answer)


def test_the_caution_answers_while_the_scene_is_written(client):
    case = open_case()
    sign_in(client, Role.INVESTIGATOR)
    part = client.get(
        page("scene-caution", case), {"position": "supine", "lividity_where": "face and chest"}
    )
    assert "Check this" in words(part)
    assert "<html" not in words(part)
    actions.record_place(
        make_staff(Role.INVESTIGATOR), case_id=case.pk, record_id=new_id(),
        entry={"kind": "moved", "address": "Porch", "told_by": "A. Orme", "position": "prone"},
    )  # fmt: skip
    turned = client.get(
        page("scene-caution", case), {"position": "supine", "lividity_where": "face and chest"}
    )
    assert "face down (prone) at Porch (told by A. Orme)" in words(turned)
    fits = client.get(page("scene-caution", case), {"position": "supine", "lividity_where": "back"})
    assert "Check this" not in words(fits)


def test_a_scene_left_before_it_was_reached_is_refused_with_the_rest_kept(client):
    case = open_case()
    sign_in(client, Role.INVESTIGATOR)
    sent = typed(seen_at_scene(left_at=ago(hours=9), narrative="A single room."))
    answer = client.post(page("edit-scene", case), sent)
    assert answer.status_code == 422
    assert "Leaving cannot be before arriving." in words(answer)
    assert "A single room." in words(answer)


ENTRIES = {
    "readings": {"kind": "ambient", "value_c": "8.5", "read_at": ago(hours=3)},
    "medication": {"name": "Lisinopril", "quantity_found": "12"},
    "people": {"part": "witness", "name": "Bram Orme"},
    "places": {"kind": "moved", "address": "Mill Street 3", "told_by": "R. Orme"},
    "identifications": {
        "identity": "tentative", "method": "visual", "made_by": "B. Orme", "made_at": ago(hours=2),
    },
}  # fmt: skip


@pytest.mark.parametrize("kind", ENTRIES)
def test_an_entry_is_added_changed_and_voided_by_its_forms(client, kind):
    case, key = open_case(), new_id()
    sign_in(client, Role.INVESTIGATOR)
    added = client.post(page("add-entry", case, kind=kind), typed(ENTRIES[kind], record_id=key))
    assert added.status_code == 302
    edit = page("edit-entry", case, kind=kind, record_id=key)
    assert edit in words(client.get(added.url))
    assert client.get(edit).status_code == 200
    assert client.post(edit, typed(ENTRIES[kind], record_id=key, version=1)).status_code == 302
    void = page("void-entry", case, kind=kind, record_id=key)
    assert void in words(client.get(edit))
    assert "will be voided" in words(client.get(void))
    assert client.post(void, typed({"reason": ""}, version=2)).status_code == 422
    assert client.post(void, typed({"reason": "wrong case"}, version=2)).status_code == 302
    assert edit not in words(client.get(added.url))
    assert client.get(edit).status_code == 404


@pytest.mark.parametrize(
    ("kind", "wrong", "field"),
    [
        ("readings", {"value_c": "warm"}, "value_c"),
        ("readings", {"value_c": "400"}, "__all__"),
        ("readings", {"kind": ""}, "kind"),
        ("medication", {"name": ""}, "name"),
        ("medication", {"quantity_found": "-3"}, "quantity_found"),
        ("places", {"kind": ""}, "kind"),
        ("places", {"told_by": ""}, "told_by"),
        ("places", {"from_at": ago(hours=2), "to_at": ago(hours=3)}, "__all__"),
        ("people", {"name": "", "statement": "kept words"}, "name"),
        ("identifications", {"identity": "confirmed", "method": "none"}, "__all__"),
        ("identifications", {"made_by": ""}, "made_by"),
    ],
)
def test_a_wrong_entry_is_refused_with_a_message(client, kind, wrong, field):
    case = open_case()
    sign_in(client, Role.INVESTIGATOR)
    answer = client.post(page("add-entry", case, kind=kind), typed(ENTRIES[kind] | wrong))
    assert answer.status_code == 422
    assert field in answer.context["form"].errors
    if "statement" in wrong:
        assert "kept words" in words(answer)


def test_an_entry_of_another_case_is_not_reached(client):
    case, other, key = open_case(), open_case(), new_id()
    quill = sign_in(client, Role.INVESTIGATOR)
    actions.record_person(quill, case_id=other.pk, record_id=key, entry=ENTRIES["people"])
    assert client.get(page("edit-entry", case, kind="people", record_id=key)).status_code == 404
    assert client.get(f"/cases/{case.pk}/secrets/new/").status_code == 404
    assert Person.objects.get().name == "Bram Orme"


def test_the_body_is_received_and_the_course_says_when(client):
    case = open_case()
    renn = sign_in(client, Role.EVIDENCE_TECHNICIAN)
    answer = client.post(page("edit-receipt", case), typed(received()), follow=True)
    assert "tag T-118" in words(answer)
    assert BodyReceipt.objects.get().received_by == renn
    steps = {step.key: step.words for step in answer.context["frame"].steps}
    assert steps["body"].startswith("here ")
    assert steps["scene"] == "not recorded"
    unsealed = client.post(page("edit-receipt", case), typed(received(seal_number=""), version=1))
    assert unsealed.status_code == 422
    assert "seal&#x27;s number" in words(unsealed)


def test_the_decedent_is_described(client):
    case = open_case()
    sign_in(client, Role.PATHOLOGIST)
    sent = typed({"family_name": "Hallstead", "given_names": "Oren", "sex": "male"}, version=1)
    assert client.post(page("edit-decedent", case), sent).status_code == 302
    other = sent | {"request_key": str(new_id()), "family_name": "Halsted"}
    stale = client.post(page("edit-decedent", case), other)
    assert stale.status_code == 409


def test_a_supervisor_assigns_restricts_names_and_opens_by_the_forms(client):
    case = open_case()
    thorne = sign_in(client, Role.SUPERVISOR)
    vasko, clerk = make_staff(Role.PATHOLOGIST), make_staff(Role.RECORDS_CLERK)
    sent = typed({"pathologist": vasko}, version=case.version)
    client.post(page("assignment", case), sent)
    case.refresh_from_db()
    assert (case.pathologist, case.investigator) == (vasko, None)
    sent = typed({"reason": "board member"}, version=case.version)
    assert client.post(page("restriction", case), sent).status_code == 302
    case.refresh_from_db()
    assert case.restricted
    member = typed({"member": clerk, "reason": "asked for the file"})
    assert client.post(page("add-team-member", case), member).status_code == 302
    shown = words(client.get(page("assignment", case)))
    assert str(clerk) in shown
    membership = TeamMember.objects.get(member=clerk)
    remove = page("remove-team-member", case, record_id=membership.pk)
    assert remove in shown
    assert client.post(remove, typed({"reason": "sent"}, version=1)).status_code == 302
    own = TeamMember.objects.get(member=thorne)
    kept = client.post(
        page("remove-team-member", case, record_id=own.pk), typed({"reason": "x"}, version=1)
    )
    assert kept.status_code == 422
    sent = typed({"reason": "no longer needed"}, version=case.version)
    assert client.post(page("restriction", case), sent).status_code == 302
    case.refresh_from_db()
    assert not case.restricted


def test_the_page_of_the_assignment_says_that_who_is_assigned_has_left(client):
    case = open_case()
    sign_in(client, Role.SUPERVISOR)
    assert 'value="" selected>not assigned<' in words(client.get(page("assignment", case)))
    gone = make_staff(Role.PATHOLOGIST, name="Dr. N. Amadi")
    Case.objects.filter(pk=case.pk).update(pathologist=gone)
    assert "the account is closed" not in words(client.get(page("assignment", case)))
    Staff.objects.filter(pk=gone.pk).update(is_active=False)
    shown = words(client.get(page("assignment", case)))
    assert "Dr. N. Amadi is assigned; the account is closed." in shown


def test_others_see_who_is_assigned_but_cannot_assign(client):
    case = open_case()
    sign_in(client, Role.RECORDS_CLERK)
    answer = client.get(page("assignment", case))
    assert "A supervisor assigns" in words(answer)
    sent = typed({"pathologist": make_staff(Role.PATHOLOGIST)}, version=case.version)
    assert client.post(page("assignment", case), sent).status_code == 422
    case.refresh_from_db()
    assert case.pathologist is None


def test_a_signed_case_says_why_it_is_locked(client):
    case = make_case(state="signed")
    sign_in(client, Role.INVESTIGATOR)
    for name in ("case", "report", "scene", "body"):
        answer = words(client.get(page(name, case)))
        assert "signed" in answer
        assert "An addendum or amendment" in answer
    assert client.get(page("edit-scene", case)).status_code == 403


def test_jurisdiction_once_decided_leads_back_to_the_report(client):
    case = open_case()
    sign_in(client, Role.INVESTIGATOR)
    assert client.get(page("jurisdiction", case)).url == page("report", case)


def test_a_declined_report_offers_acceptance_only(client):
    case = logged_case()
    quill = sign_in(client, Role.INVESTIGATOR)
    actions.decline_jurisdiction(quill, case_id=case.pk, version=1, reason="attended")
    form = client.get(page("jurisdiction", case)).context["form"]
    assert form.fields["outcome"].choices == [("accepted", "accepted")]
    declined = typed({"outcome": "declined", "reason": "again"}, version=2)
    assert client.post(page("jurisdiction", case), declined).status_code == 422


def test_the_search_says_why_and_what_can_be_searched(client):
    case = make_case()
    sign_in(client, Role.RECORDS_CLERK)
    found = client.get(reverse("cases:search"), {"q": "halsted"})
    assert page("case", case) in words(found)
    assert "found by name Oren Hallstead" in words(found)
    nothing = client.get(reverse("cases:search"), {"q": "zzzz"})
    assert "No case for" in words(nothing)
    assert "also misspelled" in words(nothing)
    assert "What you can search for" in words(client.get(reverse("cases:search")))


def test_no_page_reads_more_than_fifteen_times_and_none_grows(client):
    case = open_case()
    quill = sign_in(client, Role.INVESTIGATOR)
    counts: list[dict[str, int]] = []
    for more in (3, 57):
        for _ in range(more):
            for kind, record in (
                ("readings", actions.record_reading),
                ("medication", actions.record_medication),
                ("places", actions.record_place),
                ("identifications", actions.record_identification),
                ("identifications", actions.record_identification),
            ):
                entry = dict(ENTRIES[kind])
                if kind == "readings":
                    entry["method"] = f"Thermometer {new_id()}"
                record(quill, case_id=case.pk, record_id=new_id(), entry=entry)
        seen = {}
        for name in (*READ_PAGES, "edit-scene", "edit-receipt"):
            with CaptureQueriesContext(connection) as queries:
                assert client.get(page(name, case)).status_code == 200
            seen[name] = len(queries)
        counts.append(seen)
    assert counts[0] == counts[1]
    # What happened in a case is told from nine tables, each read once.
    assert max(counts[0].values()) <= 15
    assert SceneReading.objects.count() == 60


def test_the_form_of_a_place_stands_in_groups_with_jumps_and_leaves_no_field_out(client):
    case = open_case()
    sign_in(client, Role.INVESTIGATOR)
    answer = client.get(page("add-entry", case, kind="places"))
    shown, form = words(answer), answer.context["form"]
    names = [*form.fields]
    inside = shown.split('class="filters scene-parts"')[1]
    missing = [name for name in names if inside.count(f'id="id_{name}_field"') != 1]
    assert set(missing) == {"record_id", "version", "request_key"}, "the hidden ones alone"
    jumps = re.findall(r'href="#([\w-]+)"', inside.split("</nav>")[0])
    groups = re.findall(r'<fieldset class="field-group" id="([\w-]+)"', inside)
    assert jumps == groups == ["what", "times", "body-there", "surroundings"]
    sent = client.post(page("add-entry", case, kind="places"), typed({"seen": "A dry floor."}))
    assert sent.status_code == 422 and "A dry floor." in words(sent)
