"""Amendments of what was withdrawn, of another case, ahead of now; what each one rests on."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from cases.certification.models import Certification
from cases.models import Case, Decedent, Identification
from cases.review import amending
from cases.review.content import report_content
from cases.review.late import results_waiting
from cases.review.models import Addendum
from cases.rules.case import CaseState
from evidence.property import actions as property_actions
from evidence.specimens import actions as specimen_actions
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, Invalid, NotKnown, Refused
from me_office.audit.ids import new_id
from tests.builders import MOMENT, PASSWORD, as_person, make_case, make_staff, with_password
from tests.evidence.items import take
from tests.evidence.things import RING, keep
from tests.results.builders import report_of
from tests.review.test_amending import STEP, amend
from tests.review.test_review import signed

pytestmark = pytest.mark.django_db


def test_a_specimen_that_was_withdrawn_or_is_of_another_case_is_not_amended(ready):
    case, vasko, thorne = ready
    blood = take(vasko, case, purpose="")
    elsewhere = take(vasko, make_case(), seal_number="TC 9", purpose="")
    specimen_actions.void_specimen(
        vasko, case_id=case.pk, specimen_id=blood.pk, version=1, reason="Label of another case"
    )
    signed(case, vasko, thorne)
    with pytest.raises(Refused, match="withdrawn is not amended"):
        amend(vasko, case, "specimen", version=2, of=blood.pk, site="Heart")
    with pytest.raises(NotKnown):
        amend(vasko, case, "specimen", of=elsewhere.pk, site="Heart")
    assert not Addendum.objects.exists()


def test_a_step_is_not_ahead_of_now_and_its_key_is_of_one_case(signed_once):
    case, vasko, _ = signed_once
    sent = {"record_id": new_id(), "reason": "DNA"}
    ahead = {**STEP, "made_at": timezone.now() + timedelta(hours=1)}
    with pytest.raises(Invalid) as refused:
        amending.amend_identity(vasko, case_id=case.pk, step_id=new_id(), entry=ahead, **sent)
    assert set(refused.value.errors) == {"made_at"}
    amending.amend_identity(vasko, case_id=case.pk, step_id=new_id(), entry=STEP, **sent)
    other = make_case(state=CaseState.SIGNED)
    with pytest.raises(Conflict):
        amending.amend_identity(vasko, case_id=other.pk, step_id=new_id(), entry=STEP, **sent)


def test_only_passages_that_read_otherwise_are_kept(signed_once):
    case, vasko, _ = signed_once
    made = amend(vasko, case, manner="homicide")
    assert [(one.key, one.was, one.now) for one in made.passages.all()] == [
        ("manner", "accident", "homicide")
    ]


def test_what_an_amendment_rests_on_is_part_of_what_was_sent(ready, settings):
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    case, vasko, thorne = ready
    with_password(vasko)
    signed(case, vasko, thorne)
    late, later = report_of(vasko, case), report_of(vasko, case, reference="LT-26-1190")
    sent = {
        "case_id": case.pk, "record_id": new_id(), "what": "cause-and-manner", "version": 1,
        "entry": {"manner": "homicide"}, "reason": "Toxicology",
    }  # fmt: skip
    made = amending.amend_record(vasko, **sent, rests_on=late.pk)
    assert amending.amend_record(vasko, **sent, rests_on=late.pk).pk == made.pk
    for other in (later.pk, None):
        with pytest.raises(Conflict):
            amending.amend_record(vasko, **sent, rests_on=other)
    body = {
        "id": str(new_id()), "version": 1, "family_name": "Hallsted", "why": "Spelling",
        "password": PASSWORD, "rests_on": str(later.pk),
    }  # fmt: skip
    answered = as_person(vasko).post(
        reverse("review_api:amend-decedent", args=[case.pk]), body, content_type="application/json"
    )
    assert answered.status_code == 201, answered.content
    assert Addendum.objects.get(pk=body["id"]).rests_on == later


def test_a_late_result_waits_until_it_is_dealt_with_or_replaced_and_for_who_may_see_it(signed_once):
    case, vasko, _ = signed_once
    first, second = report_of(vasko, case), report_of(vasko, case, kind="histology")
    assert list(results_waiting(vasko)) == [first, second]
    third = report_of(vasko, case, replaces=first.pk, why_replaced="Amended by the laboratory")
    assert list(results_waiting(vasko)) == [second, third]
    Case.objects.filter(pk=case.pk).update(restricted=True)
    assert not list(results_waiting(make_staff(Role.PATHOLOGIST)))


def test_the_report_keeps_nothing_of_a_withdrawn_thing(db):
    case, renn = make_case(), make_staff(Role.EVIDENCE_TECHNICIAN)
    ring, watch = keep(renn, case, RING), keep(renn, case, RING, seal_number="TC 2")
    property_actions.void_property(
        renn, case_id=case.pk, property_id=ring.pk, version=1, reason="entered twice"
    )
    (kept,) = [one for one in report_content(case.pk)["sections"] if one["key"] == "kept-property"]
    assert [row[0] for row in kept["rows"]] == [str(watch.item.number)]


def test_a_step_that_was_made_before_the_standing_one_is_added_and_sets_no_identity(signed_once):
    """As before the signature: the latest standing step sets the identity (common practice)."""
    case, vasko, _ = signed_once

    def step(identity, days, *, key=None):
        entry = {**STEP, "identity": identity, "made_at": MOMENT - timedelta(days=days)}
        return amending.amend_identity(
            vasko, case_id=case.pk, record_id=key or new_id(), step_id=new_id(), entry=entry,
            reason="Found in the paper file",
        )  # fmt: skip

    def stands():
        return Decedent.objects.values_list("identity", "version").get(case=case)

    step("confirmed", 3)
    confirmed = stands()
    assert confirmed[0] == "confirmed"
    made = step("tentative", 4)
    assert stands() == confirmed
    assert Identification.objects.filter(case=case).count() == 2
    assert made.amends == "Earlier step of identification, added"
    assert made.text.startswith("Earlier step of identification, added: none → tentative, ")
    assert "Identity" not in made.text
    assert {one["table"] for one in made.changes} == {Identification._meta.db_table}
    later = step("tentative", 2)
    assert stands() == ("tentative", confirmed[1] + 1)
    assert "Identity: confirmed → tentative" in later.text


def test_a_wrong_step_tells_a_stranger_nothing_of_a_restricted_case(signed_once):
    case, _, _ = signed_once
    Case.objects.filter(pk=case.pk).update(restricted=True)
    stranger = make_staff(Role.PATHOLOGIST)
    for entry in (STEP, {**STEP, "made_at": "yesterday"}, {**STEP, "identity": "\x00" * 5000}):
        with pytest.raises(NotKnown):
            amending.amend_identity(
                stranger, case_id=case.pk, record_id=new_id(), step_id=new_id(), entry=entry,
                reason="DNA",
            )  # fmt: skip


def test_the_sex_amended_to_male_asks_about_a_pregnancy_that_was_signed(ready):
    case, vasko, thorne = ready
    Decedent.objects.filter(case=case).update(sex="female")
    Certification.objects.filter(case=case).update(pregnancy="2")
    signed(case, vasko, thorne)
    asked = "Item 36 is filled in (“pregnant at time of death”)"
    page = reverse("certification:cause-and-manner", args=[case.pk])
    assert asked not in as_person(vasko).get(page).content.decode()
    amend(vasko, case, "decedent", sex="male")
    assert asked in as_person(vasko).get(page).content.decode()
    api = reverse("certification_api:cause-and-manner", args=[case.pk])
    assert any(one.startswith(asked) for one in as_person(vasko).get(api).json()["cautions"])
    amend(vasko, case, pregnancy="")
    assert "Item 36 is filled in" not in as_person(vasko).get(page).content.decode()
