"""The office's own vocabulary beside the curated one."""

from __future__ import annotations

import pytest
from django.urls import reverse

from findings.words.actions import add_office_term, void_office_term
from findings.words.models import OfficeTerm
from me_office.accounts.roles import Role
from me_office.audit.errors import Invalid, NotAllowed, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.builders import as_person, make_staff

pytestmark = pytest.mark.django_db
ENTRY = {"klass": "injury", "term": "Harness mark"}


@pytest.fixture
def vasko():
    return make_staff(Role.PATHOLOGIST, name="I. Vasko")


def test_a_term_is_added_once_and_the_trail_says_by_whom(vasko):
    key = new_id()
    first = add_office_term(vasko, record_id=key, entry=ENTRY)
    again = add_office_term(vasko, record_id=key, entry=ENTRY)
    event = AuditEvent.objects.get(table="findings_officeterm")
    assert first.pk == again.pk
    assert (event.actor_name, event.act) == ("I. Vasko", "add_office_term")


def test_a_term_that_is_offered_already_is_refused(vasko):
    with pytest.raises(Refused) as refusal:
        add_office_term(vasko, record_id=new_id(), entry={**ENTRY, "term": "contusion"})
    assert refusal.value.field == "term"
    add_office_term(vasko, record_id=new_id(), entry=ENTRY)
    with pytest.raises(Invalid):
        add_office_term(vasko, record_id=new_id(), entry={**ENTRY, "term": "harness  MARK"})


@pytest.mark.parametrize("role", [Role.INVESTIGATOR, Role.SUPERVISOR, Role.RECORDS_CLERK])
def test_only_a_pathologist_changes_the_vocabulary(role, vasko):
    term = add_office_term(vasko, record_id=new_id(), entry=ENTRY)
    other = make_staff(role)
    with pytest.raises(NotAllowed):
        add_office_term(other, record_id=new_id(), entry={**ENTRY, "term": "Other"})
    with pytest.raises(NotAllowed):
        void_office_term(other, term_id=term.pk, version=1, reason="No")


def test_a_withdrawn_term_may_be_added_again(vasko):
    term = add_office_term(vasko, record_id=new_id(), entry=ENTRY)
    with pytest.raises(StaleRecord):
        void_office_term(vasko, term_id=term.pk, version=2, reason="unused")
    void_office_term(vasko, term_id=term.pk, version=1, reason="unused")
    event = AuditEvent.objects.filter(table="findings_officeterm").last()
    assert event.reason == "unused"
    add_office_term(vasko, record_id=new_id(), entry=ENTRY)
    assert OfficeTerm.objects.active().count() == 1


def test_the_page_adds_and_withdraws(vasko):
    page, address = as_person(vasko), reverse("findings:terms")
    refused = page.post(address, {"klass": "injury", "term": "Contusion"})
    assert (refused.status_code, "already offered" in refused.content.decode()) == (422, True)
    assert page.post(address, ENTRY).status_code == 302
    assert "Harness mark" in page.get(address).content.decode()
    term = OfficeTerm.objects.get()
    gone = reverse("findings:term-void", kwargs={"term_id": term.pk})
    assert page.post(gone, {"version": 1, "reason": ""}).status_code == 422
    assert page.post(gone, {"version": 7, "reason": "unused"}).status_code == 409
    assert page.post(gone, {"version": 1, "reason": "unused"}).status_code == 302
    assert page.get(gone).status_code == 404


def test_everybody_may_read_and_only_pathologists_see_the_form(vasko):
    page = as_person(make_staff(Role.INVESTIGATOR)).get(reverse("findings:terms"))
    assert page.status_code == 200
    assert "Add the term" not in page.content.decode()


def test_the_way_back_leads_to_the_chart_it_was_opened_from(vasko):
    from tests.findings.builders import make_examination

    case = make_examination().case
    address = f"{reverse('findings:terms')}?case={case.pk}"
    page = as_person(vasko)
    assert f"Body chart of {case.label}" in page.get(address).content.decode()
    assert page.post(address, ENTRY).url == address
    assert page.get(f"{reverse('findings:terms')}?case=nonsense").status_code == 200


def test_the_term_is_offered_where_a_finding_is_typed(vasko):
    from tests.findings.builders import make_examination

    examination = make_examination()
    add_office_term(vasko, record_id=new_id(), entry=ENTRY)
    address = reverse("findings:finding-new", kwargs={"case_id": examination.case_id})
    page = as_person(examination.pathologist).get(address).content.decode()
    assert page.count('<option value="Harness mark">') == 2


def test_the_api_adds_lists_and_withdraws(vasko):
    client = as_person(vasko)
    made = client.post(
        "/api/findings/terms/", {"id": str(new_id()), **ENTRY}, content_type="application/json"
    )
    assert made.status_code == 201
    assert [one["term"] for one in client.get("/api/findings/terms/").json()] == ["Harness mark"]
    gone = client.post(
        f"/api/findings/terms/{made.json()['id']}/void/",
        {"version": 1, "reason": "unused"},
        content_type="application/json",
    )
    assert gone.status_code == 200
    assert client.get("/api/findings/terms/").json() == []
