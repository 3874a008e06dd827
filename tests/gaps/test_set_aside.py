"""Setting aside what the log lacks or proposes: who may, what is kept, what comes back."""

from __future__ import annotations

import pytest
from django.urls import reverse

from cases.rules.case import CaseState
from evidence.gaps import actions, queries
from evidence.gaps.models import SetAside
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, NotAllowed, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.builders import make_case, make_staff
from tests.evidence.pictures import add, make_finding, picture_bytes

pytestmark = pytest.mark.django_db
FACE = "identification:case"


@pytest.fixture
def case(vasko):
    """A case without identification photograph, with an injury shown from afar and from near."""
    made = make_case()
    finding = make_finding(made, vasko)
    for shade, view in enumerate(("overview", "close-up"), start=1):
        add(vasko, made, picture_bytes(shade), view=view, finding_ids=[finding.pk])
    return made


def aside(by, case, key=FACE, **more):
    values = {"record_id": new_id(), "reason": "Known to all present", **more}
    return actions.set_aside(by, case_id=case.pk, key=key, **values)


def kinds(case):
    return [str(one.kind) for one in queries.missing_in_log(case)]


def test_a_missing_picture_is_set_aside_with_the_reason_and_pointed_out_again(vasko, case):
    assert kinds(case) == ["identification", "scale"]
    kept = aside(vasko, case)
    assert kept.words == "No identification photograph."
    event = AuditEvent.objects.get(table="lacking_setaside")
    assert (event.act, event.actor_name) == ("set_aside", "Dr. I. Vasko")
    assert (event.reason, kinds(case)) == ("Known to all present", ["scale"])
    keys = {"case_id": case.pk, "record_id": kept.pk}
    with pytest.raises(StaleRecord):
        actions.point_out_again(vasko, **keys, version=4, reason="asked for")
    actions.point_out_again(vasko, **keys, version=1, reason="asked for")
    assert kinds(case) == ["identification", "scale"]
    aside(vasko, case)
    assert kinds(case) == ["scale"]


def test_the_same_request_twice_is_one_and_another_reason_is_a_conflict(vasko, case):
    key = new_id()
    assert aside(vasko, case, record_id=key) == aside(vasko, case, record_id=key)
    with pytest.raises(Conflict):
        aside(vasko, case, record_id=key, reason="Another")
    with pytest.raises(Refused, match="no longer pointed out"):
        aside(vasko, case)
    assert SetAside.objects.count() == 1


def test_it_is_refused_by_role_without_reason_and_when_the_case_is_signed(vasko, case):
    with pytest.raises(NotAllowed):
        aside(make_staff(Role.RECORDS_CLERK), case)
    with pytest.raises(Refused, match="Say why"):
        aside(vasko, case, reason=" ")
    with pytest.raises(Refused, match="no longer pointed out"):
        aside(vasko, case, key="injury:nothing")
    with pytest.raises(NotAllowed, match="signed and locked"):
        aside(vasko, make_case(state=CaseState.SIGNED))


def test_a_proposed_series_is_set_aside_until_another_photograph_joins_it(vasko, case):
    (proposal,) = queries.proposed_series(case)
    kept = aside(vasko, case, key=proposal.key)
    assert kept.words.startswith("Proposed series ")
    assert queries.proposed_series(case) == []
    finding = case.finding_set.get()
    add(vasko, case, picture_bytes(9), view="mid-range", finding_ids=[finding.pk])
    assert len(queries.proposed_series(case)) == 1


def test_the_pages_set_aside_list_and_point_out_again(client, vasko, case):
    client.force_login(vasko)
    log = client.get(reverse("evidence:photographs", kwargs={"case_id": case.pk}))
    page = f"{reverse('gaps:set-aside', kwargs={'case_id': case.pk})}?key=identification%3Acase"
    assert page in log.content.decode()
    assert "No identification photograph." in client.get(page).content.decode()
    form = {"record_id": str(new_id()), "version": 0}
    wrong = client.post(page, {**form, "reason": ""})
    assert (wrong.status_code, SetAside.objects.count()) == (422, 0)
    done = client.post(f"{page}&from=report", {**form, "reason": "Identified by sight"})
    assert done["Location"] == reverse("review:report", kwargs={"case_id": case.pk})
    again = client.get(f"{page.replace('identification', 'nothing')}")
    assert again.status_code == 422
    listed = reverse("gaps:all", kwargs={"case_id": case.pk})
    assert "Identified by sight" in client.get(listed).content.decode()
    back = reverse("gaps:again", kwargs={"case_id": case.pk, "record_id": form["record_id"]})
    assert client.get(back).status_code == 200
    assert client.post(back, {"version": 1, "reason": "asked for"}).status_code == 302
    assert "Nothing is set aside" in client.get(listed).content.decode()


@pytest.mark.parametrize("role", [Role.RECORDS_CLERK, Role.SUPERVISOR])
def test_readers_see_what_was_set_aside_and_change_nothing(client, vasko, case, role):
    aside(vasko, case)
    client.force_login(make_staff(role))
    page = client.get(reverse("gaps:all", kwargs={"case_id": case.pk})).content.decode()
    assert "Known to all present" in page
    assert "Point out again" not in page
    address = reverse("gaps:set-aside", kwargs={"case_id": case.pk})
    assert client.get(f"{address}?key={FACE}").status_code == 403


def test_the_same_by_the_api(client, vasko, case):
    client.force_login(vasko)
    root = f"/api/cases/{case.pk}/"
    found = client.get(f"{root}missing-pictures/").json()
    assert [one["kind"] for one in found] == ["identification", "scale"]
    body = {"id": str(new_id()), "key": found[0]["key"], "reason": "Identified by sight"}
    made = client.post(f"{root}set-aside/", body, "application/json")
    assert (made.status_code, made.json()["words"]) == (201, "No identification photograph.")
    assert client.get(f"{root}set-aside/").json() == [made.json()]
    assert len(client.get(f"{root}missing-pictures/").json()) == 1
    back = f"{root}set-aside/{body['id']}/void/"
    again = client.post(back, {"version": 1, "reason": "asked for"}, "application/json")
    assert (again.status_code, again.json()["void_reason"]) == (200, "asked for")
    wrong = client.post(f"{root}set-aside/", {**body, "key": "x"}, "application/json")
    assert wrong.status_code == 409


def test_a_reviewer_sees_what_is_missing_beside_the_draft(client, vasko, case):
    client.force_login(make_staff(Role.SUPERVISOR))
    page = reverse("gaps:missing", kwargs={"case_id": case.pk})
    log = reverse("evidence:photographs", kwargs={"case_id": case.pk})
    assert client.get(page).headers["Location"] == f"{log}#missing"
    part = {"HTTP_HX_REQUEST": "true"}
    assert "No identification photograph." in client.get(page, **part).content.decode()
    aside(vasko, case)
    said = client.get(page, **part).content.decode()
    assert "No identification photograph." not in said
    assert "1 set aside with a reason" in said
