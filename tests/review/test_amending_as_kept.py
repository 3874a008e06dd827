"""What an amendment says is what is kept, may be said at all, and stays one under its key."""

from __future__ import annotations

import re
from datetime import date, timedelta

import pytest
from django.urls import reverse

from cases.certification.actions import state_cause_and_manner
from cases.models import Decedent, Identification
from cases.review import actions, amending
from cases.review.models import Addendum
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, Invalid, Refused
from me_office.audit.ids import new_id
from tests.builders import MOMENT, PASSWORD, as_person, make_case, make_staff, with_password
from tests.evidence.items import take
from tests.review.test_amending import STEP, amend
from tests.review.test_review import signed

pytestmark = pytest.mark.django_db


def identify(actor, case, *, key=None, **said):
    return amending.amend_identity(
        actor, case_id=case.pk, record_id=key or new_id(), step_id=new_id(), reason="DNA",
        entry={**STEP, **said},
    )  # fmt: skip


CANNOT_BE_SAID = [
    ({"death_on": date(2101, 1, 1), "death_on_is": "actual"}, "death_on"),
    ({"injury_on": date(2026, 3, 2), "death_on": date(2026, 3, 1), "death_on_is": "actual"},
     "injury_on"),
    ({"death_on": date(2026, 3, 1)}, "death_on_is"),
    ({"death_time": "08:15"}, "death_time_is"),
    ({"autopsy": "no", "autopsy_available": "yes"}, "autopsy_available"),
    ({"transport_role": "other"}, "transport_other"),
    ({"transport_other": "Tractor"}, "transport_other"),
]  # fmt: skip


def test_an_amendment_says_nothing_that_the_certificate_cannot(signed_once):
    # Every rule that is asked where cause and manner are stated; here after the signature.
    case, vasko, _ = signed_once
    for said, field in CANNOT_BE_SAID:
        with pytest.raises(Invalid) as refused:
            amend(vasko, case, **said)
        assert set(refused.value.errors) == {field}, said
        assert not Addendum.objects.exists(), said


def test_what_was_signed_and_is_left_alone_does_not_stop_an_amendment(ready):
    case, vasko, thorne = ready
    certified = case.certification
    certified.death_on, certified.changed_by = date(2026, 3, 1), vasko
    certified.save()
    signed(case, vasko, thorne)
    assert amend(vasko, case, manner="homicide", death_on=date(2026, 3, 1)).number == 1
    with pytest.raises(Invalid) as refused:
        amend(vasko, case, version=2, death_on=date(2101, 3, 1))
    assert set(refused.value.errors) == {"death_on"}


@pytest.mark.parametrize(
    ("said", "field"),
    [
        ({"method": "none"}, "method"),
        ({"method": "documents", "basis": " "}, "basis"),
        ({"identity": "tentative", "method": "none"}, "method"),
    ],
)
def test_a_step_after_the_signature_has_to_stand_like_one_before(signed_once, said, field):
    case, vasko, _ = signed_once
    with pytest.raises(Invalid) as refused:
        identify(vasko, case, **said)
    assert set(refused.value.errors) == {field}
    assert not Addendum.objects.exists()


def test_nobody_is_confirmed_without_a_name_after_the_signature(ready):
    case, vasko, thorne = ready
    Decedent.objects.filter(case=case).update(family_name="", given_names="")
    signed(case, vasko, thorne)
    with pytest.raises(Invalid) as refused:
        identify(vasko, case)
    assert set(refused.value.errors) == {"identity"}


def test_a_value_of_several_lines_does_not_read_like_a_further_change(signed_once):
    case, vasko, _ = signed_once
    forged = "{}\nManner of death: accident → homicide"
    made = amend(vasko, case, "decedent", family_name=forged.format("Hall\u202e"))
    assert made.text.count("\n") == 0
    (now,) = [one["now"] for one in made.changes if one["field"] == "family_name"]
    assert now == Decedent.objects.get(case=case).family_name
    assert now == "Hall Manner of death: accident → homicide"
    made = amend(vasko, case, "decedent", version=2, description=forged.format("Scar"))
    assert made.text.count("\n") == 0
    # The field keeps its lines, and so does what the amendment keeps of it.
    (now,) = [one["now"] for one in made.changes if one["field"] == "description"]
    assert now == Decedent.objects.get(case=case).description == forged.format("Scar")
    both = amend(vasko, case, "decedent", version=3, description="Scar\nMole", sex="female")
    assert len(both.text.splitlines()) == len([one for one in both.changes if "label" in one]) == 2


def test_nothing_is_amended_where_nothing_that_is_kept_changes(signed_once):
    case, vasko, _ = signed_once
    name = Decedent.objects.get(case=case).family_name
    with pytest.raises(Refused, match="Nothing was changed"):
        amend(vasko, case, "decedent", family_name=f" {name}\u200e ")


def test_an_amendment_that_is_sent_again_is_one_whatever_ends_its_lines(signed_once):
    # A browser sends the lines of a text with CR LF (HTML standard, form submission).
    case, vasko, _ = signed_once
    key = new_id()
    sent = {"key": key, "basis": "One\r\nTwo", "why": "Letter\r\nof the laboratory"}
    assert amend(vasko, case, **sent).pk == amend(vasko, case, **sent).pk == key
    assert Addendum.objects.get().why == "Letter\nof the laboratory"


def test_the_key_of_another_addendum_is_no_step_of_identification(signed_once):
    case, vasko, _ = signed_once
    key = new_id()
    entry = {"kind": "addendum", "text": "The letter came.", "why": "DNA"}
    actions.add_addendum(vasko, case_id=case.pk, record_id=key, entry=entry)
    with pytest.raises(Conflict):
        identify(vasko, case, key=key)
    key = new_id()
    amend(vasko, case, key=key, why="DNA", manner="homicide")
    with pytest.raises(Conflict):
        identify(vasko, case, key=key)
    assert not Identification.objects.filter(case=case, method="dna").exists()


@pytest.mark.parametrize(
    "other",
    [{"basis": "Brother"}, {"made_at": MOMENT + timedelta(hours=1)}, {"relation": "sister"}],
)
def test_every_word_of_a_step_counts_under_its_key(signed_once, other):
    case, vasko, _ = signed_once
    key = new_id()
    first = identify(vasko, case, key=key)
    assert identify(vasko, case, key=key).pk == first.pk
    with pytest.raises(Conflict):
        identify(vasko, case, key=key, **other)


def test_a_form_of_identification_that_is_sent_twice_gets_its_answer_twice(ready):
    case, vasko, thorne = ready
    with_password(vasko)
    signed(case, vasko, thorne)
    person = as_person(vasko)
    address = reverse("review:amend", args=[case.pk, "identification"])
    page = person.get(address).content.decode()
    hidden = re.findall(r'name="(record_id|request_key)"[^>]*value="([^"]+)"', page)
    form = {
        **dict(hidden), "identity": "confirmed", "method": "dna", "made_by": "State laboratory",
        "made_at": "2026-03-10T10:00", "basis": "Sister", "why": "DNA", "own_password": PASSWORD,
    }  # fmt: skip
    for _ in range(2):
        assert person.post(address, form).status_code == 302
    assert Addendum.objects.count() == 1
    assert Identification.objects.filter(case=case, method="dna").count() == 1
    assert person.post(address, {**form, "basis": "Brother"}).status_code == 422


def test_what_begins_a_report_or_an_opinion_is_the_same_whatever_ends_its_lines(db):
    vasko, case = make_staff(Role.PATHOLOGIST), make_case()
    key, text = new_id(), "One\r\nTwo\u200e"
    written = [
        actions.write_report(
            vasko, case_id=case.pk, record_id=key, version=0,
            entry={"opinion": text, "history": "", "summary": ""},
        )
        for _ in range(2)
    ]  # fmt: skip
    stated = [
        state_cause_and_manner(
            vasko, case_id=case.pk, record_id=key, version=0,
            entry={"cause_a": "Fall  from height", "manner": "accident", "basis": text},
        )
        for _ in range(2)
    ]  # fmt: skip
    assert {one.version for one in (*written, *stated)} == {1}


def test_what_is_added_in_words_is_signed_with_the_password_too(signed_once):
    case, vasko, _ = signed_once
    with_password(vasko)
    person = as_person(vasko)
    page = reverse("review:addenda", args=[case.pk])
    api = f"/api/cases/{case.pk}/addenda/"
    typed = {"kind": "addendum", "text": "The letter came.", "why": "DNA"}
    keys = {"record_id": str(new_id()), "request_key": str(new_id())}
    body = {**typed, "id": str(new_id())}
    for wrong in ({}, {"own_password": "guessed wrong once"}):
        refused = person.post(page, {**typed, **keys, **wrong})
        assert refused.status_code == 422
        assert "Your password" in refused.content.decode()
        assert "The letter came." in refused.content.decode()
    for wrong in ({}, {"password": "guessed wrong again"}):
        refused = person.post(api, {**body, **wrong}, content_type="application/json")
        assert (refused.status_code, refused.json()["field"]) == (422, "password")
    assert not Addendum.objects.exists()
    assert person.post(page, {**typed, **keys, "own_password": PASSWORD}).status_code == 302
    done = person.post(api, {**body, "password": PASSWORD}, content_type="application/json")
    assert done.status_code == 201, done.content
    assert "password" not in done.json()
    assert Addendum.objects.count() == 2


def test_an_amended_site_is_asked_about_as_it_was_before_the_signature(ready):
    case, vasko, thorne = ready
    Decedent.objects.filter(case=case).update(sex="male")
    taken = take(vasko, case, purpose="")
    signed(case, vasko, thorne)
    with pytest.raises(Refused, match="recorded as male") as asked:
        amend(vasko, case, "specimen", of=taken.pk, site="Uterus")
    assert asked.value.field == "site_reason"
    assert not Addendum.objects.exists()
    amend(vasko, case, "specimen", of=taken.pk, site="Uterus", site_reason="Of the mother.")
    taken.refresh_from_db()
    assert (taken.site, taken.site_reason) == ("Uterus", "Of the mother.")
    # The answer goes with its question, whether the page sent it along or not.
    key, again = new_id(), {"of": taken.pk, "site": "Rectum"}
    made = amend(vasko, case, "specimen", version=2, key=key, **again)
    taken.refresh_from_db()
    assert (taken.site, taken.site_reason) == ("Rectum", "")
    assert "Of the mother." in made.text
    assert amend(vasko, case, "specimen", version=2, key=key, **again) == made
    with pytest.raises(Refused, match="Nothing was changed"):
        amend(vasko, case, "specimen", version=3, of=taken.pk, site_reason="Of the mother.")
