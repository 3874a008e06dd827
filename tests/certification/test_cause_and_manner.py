"""Cause and manner: who states it, what is looked at again, what a change needs."""

from __future__ import annotations

import json

import pytest
from django.urls import reverse

from cases.certification.actions import state_cause_and_manner
from cases.certification.cautions import NO_AUTOPSY_SEEN, PENDING_CAUSE, filing_words
from cases.certification.models import Certification
from cases.certification.rules import MANNERS, lowest_cause, needs_reason
from cases.review.content import report_content
from me_office.accounts.roles import Role
from me_office.audit.errors import Invalid, NotAllowed, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.builders import as_person, make_case, make_staff
from tests.findings.builders import make_examination

ENTRY = {
    "cause_a": "Drowning",
    "interval_a": "minutes",
    "manner": "accident",
    "injury_how": "Slipped from the weir",
}

# The manners of item 37 of the US Standard Certificate of Death, 2003 revision, as HL7's Vital
# Records Death Reporting guide lists them with their SNOMED CT codes.
ITEM_37 = {
    "natural": "38605008",
    "accident": "7878000",
    "suicide": "44301001",
    "homicide": "27935005",
    "pending investigation": "185973002",
    "could not be determined": "65037004",
}


def state(by, case, *, version=0, record_id=None, reason="", **entry):
    return state_cause_and_manner(
        by,
        case_id=case.pk,
        record_id=record_id or new_id(),
        version=version,
        entry={**ENTRY, **entry},
        reason=reason,
    )


def test_the_manners_are_worded_as_the_standard_certificate_words_them():
    assert {words for _, words in MANNERS} == set(ITEM_37)


def test_the_underlying_cause_is_the_lowest_line():
    assert lowest_cause({"cause_a": "Hemothorax", "cause_b": "Rib fractures"}) == "Rib fractures"
    assert lowest_cause({}) == ""


@pytest.mark.parametrize(
    ("was", "becomes", "needed"),
    [
        ("pending", "accident", False),
        ("", "accident", False),
        ("accident", "accident", False),
        ("accident", "homicide", True),
        ("accident", "pending", True),
    ],
)
def test_changing_a_stated_manner_needs_a_reason(was, becomes, needed):
    assert needs_reason(was, becomes) is needed


@pytest.mark.django_db
def test_a_pathologist_states_it_and_the_trail_says_so():
    vasko, case = make_staff(Role.PATHOLOGIST, name="I. Vasko"), make_case()
    made = state(vasko, case)
    event = AuditEvent.objects.get(table="certification_certification")
    assert (event.actor_name, event.act) == ("I. Vasko", "state_cause_and_manner")
    assert event.record_id == str(made.pk)
    assert event.changes["manner"] == [None, "accident"]


@pytest.mark.django_db
def test_a_change_of_manner_without_reason_is_refused_and_with_reason_kept():
    vasko, case = make_staff(Role.PATHOLOGIST), make_case()
    state(vasko, case)
    with pytest.raises(Refused) as refusal:
        state(vasko, case, version=1, manner="homicide")
    assert refusal.value.field == "reason"
    state(vasko, case, version=1, manner="homicide", reason="witness of 16 November")
    event = AuditEvent.objects.filter(table="certification_certification").last()
    assert event.changes["manner"] == ["accident", "homicide"]
    assert event.reason == "witness of 16 November"


@pytest.mark.django_db
@pytest.mark.parametrize("role", sorted(set(Role) - {Role.PATHOLOGIST, Role.ADMINISTRATOR}))
def test_nobody_else_states_it(role):
    with pytest.raises(NotAllowed):
        state(make_staff(role), make_case())


@pytest.mark.django_db
@pytest.mark.parametrize("case_state", ["reported", "declined", "in review", "signed"])
def test_it_is_stated_while_the_case_is_open_only(case_state):
    with pytest.raises(NotAllowed):
        state(make_staff(Role.PATHOLOGIST), make_case(state=case_state))


@pytest.mark.django_db
def test_two_who_begin_at_once_see_each_other():
    vasko, amadi, case = make_staff(Role.PATHOLOGIST), make_staff(Role.PATHOLOGIST), make_case()
    state(vasko, case)
    with pytest.raises(StaleRecord):
        state(amadi, case)


@pytest.mark.django_db
def test_the_same_statement_twice_is_one():
    vasko, case, key = make_staff(Role.PATHOLOGIST), make_case(), new_id()
    assert state(vasko, case, record_id=key).pk == state(vasko, case, record_id=key).pk
    assert Certification.objects.get().version == 1


@pytest.mark.django_db
def test_a_gap_in_the_chain_and_a_manner_without_cause_are_refused():
    vasko, case = make_staff(Role.PATHOLOGIST), make_case()
    with pytest.raises(Invalid, match="without a gap"):
        state(vasko, case, cause_c="Fall")
    with pytest.raises(Invalid, match="leave the manner pending"):
        state(vasko, case, cause_a="", manner="natural")


@pytest.mark.django_db
def test_bad_input_keeps_the_rest_and_says_what_is_wrong():
    vasko, case = make_staff(Role.PATHOLOGIST), make_case()
    address = reverse("certification:cause-and-manner", kwargs={"case_id": case.pk})
    answer = as_person(vasko).post(address, {**ENTRY, "cause_d": "A fall from the roof"})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "Fill the lines from the top, without a gap." in page
    assert "A fall from the roof" in page
    assert "Slipped from the weir" in page


@pytest.mark.django_db
def test_the_pathologist_finds_the_form_before_anything_is_stated():
    address = reverse("certification:cause-and-manner", kwargs={"case_id": make_case().pk})
    page = as_person(make_staff(Role.PATHOLOGIST)).get(address).content.decode()
    assert "Immediate cause" in page
    assert "Reason for the change" not in page


@pytest.mark.django_db
def test_a_reader_sees_the_opinion_and_no_form():
    vasko, case = make_staff(Role.PATHOLOGIST), make_case()
    state(vasko, case)
    address = reverse("certification:cause-and-manner", kwargs={"case_id": case.pk})
    page = as_person(make_staff(Role.RECORDS_CLERK)).get(address).content.decode()
    assert "Drowning" in page
    assert "<textarea" not in page


@pytest.mark.django_db
def test_the_api_gives_what_stands_when_stale():
    vasko, case = make_staff(Role.PATHOLOGIST), make_case()
    made = state(vasko, case)
    state(vasko, case, version=1, cause_a="Drowning in fresh water")
    answer = as_person(vasko).put(
        f"/api/cases/{case.pk}/cause-and-manner/",
        json.dumps({"id": str(made.pk), "version": 1, **ENTRY}),
        content_type="application/json",
    )
    assert answer.status_code == 409
    assert answer.json()["standing"]["cause_a"] == "Drowning in fresh water"


ITEMS = {
    "death_on": "2026-11-14", "death_on_is": "presumed", "death_time": "21:10",
    "death_time_is": "presumed", "death_place_kind": "home", "death_city": "Fellmoor",
    "injury_on": "2026-11-14", "injury_time": "20:45", "injury_at_work": "unknown",
    "injury_city": "Fellmoor", "injury_place": "River bank", "tobacco": "no", "autopsy": "yes",
    "autopsy_available": "yes", "transport_role": "other", "transport_other": "rowing boat",
    "certifier_type": "examiner", "certifier_license": "XM 4410",
}  # fmt: skip


@pytest.mark.django_db
def test_the_items_of_the_certificate_are_kept_read_and_printed():
    vasko, case = make_staff(Role.PATHOLOGIST), make_case()
    address = f"/api/cases/{case.pk}/cause-and-manner/"
    sent = {"id": str(new_id()), "version": 0, **ENTRY, **ITEMS, "manner": "undetermined"}
    client = as_person(vasko)
    answer = client.put(address, json.dumps(sent), content_type="application/json")
    assert answer.status_code == 200, answer.content
    read = client.get(address).json()
    assert {name: read[name] for name in ITEMS} == {
        **ITEMS, "death_time": "21:10:00", "injury_time": "20:45:00"
    }  # fmt: skip
    assert read["manner_words"] == "could not be determined"
    assert (read["manner_code"], read["certifier_code"]) == ("65037004", "455381000124109")
    assert read["items_left"] == []
    assert read["cautions"] == []
    seen = make_examination(case=case, kind="external", kind_reason="As agreed.")
    asked = NO_AUTOPSY_SEEN.say(kind="external examination")
    assert client.get(address).json()["cautions"] == [asked]
    type(seen).objects.filter(pk=seen.pk).update(kind="full autopsy")
    assert client.get(address).json()["cautions"] == []
    content = report_content(case.pk)
    opinion = next(one for one in content["sections"] if one["key"] == "opinion")
    printed = {one["lead"]: one["text"] for one in opinion["passages"]}
    assert printed["Manner of death"] == "could not be determined"
    assert printed["Date and time of injury"] == "14 Nov 2026, 20:45"
    assert printed["Location of injury"] == "Fellmoor"
    assert printed["Injury at work"] == "unknown"
    assert printed["Role in a transportation injury"] == "rowing boat"
    facts = {one["label"]: one["text"] for one in content["facts"]}
    assert facts["Date of death"] == "14 Nov 2026 (presumed)"
    assert facts["Place of death"] == "decedent’s home, Fellmoor"


@pytest.mark.django_db
def test_the_page_says_manner_and_items_in_the_words_of_the_form():
    vasko, case = make_staff(Role.PATHOLOGIST), make_case()
    case.decedent.sex = "female"
    case.decedent.save()
    state(vasko, case, manner="pending")
    address = reverse("certification:cause-and-manner", kwargs={"case_id": case.pk})
    page = as_person(make_staff(Role.RECORDS_CLERK)).get(address).content.decode()
    assert page.count("pending investigation") >= 3  # course, head line, opinion
    assert "supplemental or amended certificate" in page
    assert "Not stated yet: place of death (14)" in page
    assert "pregnancy (36)" in page
    form = as_person(vasko).get(address).content.decode()
    for words in ("could not be determined", "pregnant at time of death", "dead on arrival"):
        assert words in form


@pytest.mark.django_db
def test_when_a_certificate_is_filed_is_local_law_and_the_office_s_own_words(settings):
    case = make_case()
    state(make_staff(Role.PATHOLOGIST), case, manner="pending")
    client = as_person(make_staff(Role.RECORDS_CLERK))
    address = reverse("certification:cause-and-manner", kwargs={"case_id": case.pk})
    page = client.get(address).content.decode()
    assert "is set by local law." in page and "The office’s rule:" not in page
    assert "hours" not in filing_words("") and "days" not in filing_words("")
    settings.CERTIFICATE_RULE = "County code, section 31: with the registrar in five days."
    page = client.get(address).content.decode()
    assert "The office’s rule: County code, section 31: with the registrar in five days." in page


@pytest.mark.django_db
def test_an_item_that_cannot_be_is_refused_beside_its_field():
    vasko, case = make_staff(Role.PATHOLOGIST), make_case()
    case.decedent.sex = "male"
    case.decedent.save()
    with pytest.raises(Invalid) as refusal:
        state(vasko, case, pregnancy="2")
    assert list(refusal.value.errors) == ["pregnancy"]
    assert Certification.objects.count() == 0


@pytest.mark.django_db
def test_a_pending_cause_is_pointed_out_beside_its_line():
    vasko, case = make_staff(Role.PATHOLOGIST), make_case()
    state(vasko, case, manner="natural", cause_a="Sepsis", cause_b="Pending toxicology")
    address = reverse("certification:cause-and-manner", kwargs={"case_id": case.pk})
    asked = PENDING_CAUSE.say(cause="Pending toxicology")
    form = as_person(vasko).get(address).content.decode()
    assert form.count(asked) == 1
    assert form.index('name="cause_b"') < form.index(asked) < form.index('name="cause_c"')
    sent_back = {**ENTRY, "cause_b": "", "cause_c": "Pending"}
    page = as_person(vasko).post(address, sent_back).content.decode()
    assert page.index('name="cause_c"') < page.index("“Pending” says that the cause")
    reader = as_person(make_staff(Role.RECORDS_CLERK)).get(address).content.decode()
    assert reader.count(asked) == 1
