"""Counsel and further cases of a request, and the parts of its form."""

from __future__ import annotations

import pytest
from django.urls import reverse

from cases.court import actions
from cases.court.counseling import (
    add_request_case,
    record_counsel,
    remove_request_case,
    withdraw_counsel,
)
from cases.court.models import Counsel, Demand, RecordsRequest, RequestCase
from cases.court.timeline import _records
from cases.models import Case
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, Invalid, NotAllowed, NotKnown, Refused, StaleRecord
from me_office.audit.ids import new_id
from tests.builders import make_case, make_staff
from tests.court.builders import counsel, counsel_entry, demanded, keys_of, url
from tests.court.test_pages import form_of
from tests.packets.builders import asked_for, make_request

pytestmark = pytest.mark.django_db


def test_counsel_is_added_corrected_and_withdrawn(signed_in, clerk):
    asked = make_request(make_case(state="signed"), clerk)
    with pytest.raises(NotAllowed):
        counsel(make_staff(Role.INVESTIGATOR), asked)
    with pytest.raises(Invalid) as wrong:
        counsel(clerk, asked, name="", email="nobody")
    assert set(wrong.value.errors) == {"name", "email"}
    key = {**keys_of(asked), "record_id": new_id()}
    made = record_counsel(clerk, **key, entry=counsel_entry())
    assert record_counsel(clerk, **key, entry=counsel_entry()).pk == made.pk
    with pytest.raises(Conflict):
        record_counsel(clerk, **key, entry=counsel_entry(name="C. Drake"))
    page = signed_in.get(url("request", asked)).content.decode()
    assert "A. Merrow, Office of the County Attorney" in page
    assert "for the State" in page
    with pytest.raises(Refused, match="Say why"):
        record_counsel(clerk, **key, version=1, entry=counsel_entry(firm=""))
    record_counsel(clerk, **key, version=1, entry=counsel_entry(firm=""), reason="left it")
    with pytest.raises(StaleRecord):
        withdraw_counsel(clerk, **key, version=1, reason="no longer appears")
    gone = url("withdraw-counsel", asked, record_id=made.pk)
    assert signed_in.post(gone, {"version": "2", "reason": "replaced"}).status_code == 302
    assert not Counsel.objects.active().exists()
    other = make_request(make_case(), clerk)
    with pytest.raises(NotKnown):
        withdraw_counsel(clerk, **key | keys_of(other), version=3, reason="of another")


def test_a_request_is_shown_on_each_case_that_it_asks_for(signed_in, clerk):
    asked, other = make_request(make_case(), clerk), make_case()
    assert (
        "ask for this one"
        not in signed_in.get(reverse("court:requests", args=[other.pk])).content.decode()
    )
    form = {"record_id": str(new_id()), "case_number": other.number}
    for _ in range(2):
        assert signed_in.post(url("add-case", asked), form).status_code == 302
    (tied,) = RequestCase.objects.all()
    page = signed_in.get(reverse("court:requests", args=[other.pk])).content.decode()
    assert f'href="{url("request", asked)}"' in page
    assert other.number in signed_in.get(url("request", asked)).content.decode()
    again = signed_in.post(url("add-case", asked), {**form, "record_id": str(new_id())})
    assert again.status_code == 422
    own = signed_in.post(
        url("add-case", asked), {"record_id": str(new_id()), "case_number": asked.case.number}
    )
    assert "under this case already" in own.content.decode()
    remove_request_case(clerk, **keys_of(asked), record_id=tied.pk, version=1, reason="misread")
    assert other.number not in signed_in.get(url("request", asked)).content.decode()


def test_a_restricted_case_is_neither_added_nor_told_by_who_may_not_know_of_it(
    signed_in, clerk, client
):
    hidden = make_case(restricted=True)
    asked = make_request(make_case(), clerk)
    keys = {**keys_of(asked), "record_id": new_id(), "further_case": hidden.pk}
    with pytest.raises(NotKnown):
        add_request_case(clerk, **keys)
    with pytest.raises(NotKnown):
        actions.log_request(
            clerk,
            case_id=asked.case_id,
            record_id=new_id(),
            entry=asked_for(),
            further=[hidden.pk],
        )
    refused = signed_in.post(
        url("add-case", asked), {"record_id": str(new_id()), "case_number": hidden.number}
    )
    assert "that you can open" in refused.content.decode()
    tied = RequestCase.objects.create(
        case=hidden, request=asked, created_by=clerk, changed_by=clerk
    )
    page = signed_in.get(url("request", asked)).content.decode()
    assert hidden.number not in page
    listed = reverse("court_api:further-cases", kwargs=keys_of(asked))
    assert signed_in.get(listed).json() == []
    with pytest.raises(NotKnown):
        remove_request_case(clerk, **keys_of(asked), record_id=tied.pk, version=1, reason="x")
    # Nor is it in the time line, which is read from all that hangs on the request.
    for restricted in (False, True):
        Case.objects.filter(pk=hidden.pk).update(restricted=restricted)
        known = ("court_requestcase", str(tied.pk)) in _records(clerk, asked)
        assert known is not restricted
    # The other way: a request of a restricted case is not told on a case that it asks for.
    home = RecordsRequest.objects.create(
        case=hidden, created_by=clerk, changed_by=clerk, **asked_for(party="The hidden party")
    )
    RequestCase.objects.create(case=asked.case, request=home, created_by=clerk, changed_by=clerk)
    page = signed_in.get(reverse("court:requests", args=[asked.case_id])).content.decode()
    assert "The hidden party" not in page
    assert hidden.number not in page


def test_a_request_is_logged_with_its_demands_and_further_cases(signed_in):
    case, other = make_case(), make_case()
    filled = form_of(kind="subpoena") | {
        "wants": "both",
        "served_how": "hand",
        "served_on_whom": "R. Ostrander",
        "demand_1_title": "The report",
        "demand_1_kind": "documents",
        "demand_1_page": "1",
        "demand_2_words": "Testimony on 14 December",
        "demand_2_kind": "testimony",
        "further_cases": f"{other.number}, 1999-0001",
    }
    address = reverse("court:log-request", args=[case.pk])
    wrong = signed_in.post(address, filled)
    assert wrong.status_code == 422
    assert set(wrong.context["form"].errors) == {"demand_2_title", "further_cases"}
    filled |= {"demand_2_title": "Testimony", "further_cases": other.number}
    for _ in range(2):
        assert signed_in.post(address, filled).status_code == 302
    (asked,) = RecordsRequest.objects.all()
    assert (asked.wants, asked.served_how, asked.asked_under) == ("both", "hand", "")
    assert list(Demand.objects.values_list("number", "title", "kind")) == [
        (1, "The report", "documents"),
        (2, "Testimony", "testimony"),
    ]
    assert RequestCase.objects.get().case == other
    # The same key, but other demands: the first answer is not given.
    more = filled | {"demand_3_title": "Slides", "request_key": str(new_id())}
    assert signed_in.post(address, more).status_code == 409


def test_what_belongs_to_other_kinds_is_not_kept(signed_in):
    case = make_case()
    sent = form_of(kind="records request") | {"wants": "testimony", "asked_under": "family"}
    assert signed_in.post(reverse("court:log-request", args=[case.pk]), sent).status_code == 302
    asked = RecordsRequest.objects.get()
    assert (asked.wants, asked.asked_under) == ("documents", "family")


def test_a_request_comes_with_its_demands_by_the_api_and_a_retry_with_others_is_refused(
    signed_in,
):
    case, other = make_case(), make_case()
    many = reverse("court_api:requests", args=[case.pk])
    sent = {
        "id": str(new_id()),
        **asked_for(),
        "demands": [demanded()],
        "further": [str(other.pk)],
    }
    for _ in range(2):
        assert signed_in.post(many, sent, content_type="application/json").status_code == 201
    for changed in ({"demands": []}, {"demands": [demanded(title="x")]}, {"further": []}):
        answer = signed_in.post(many, sent | changed, content_type="application/json")
        assert answer.status_code == 409, changed
    bad = sent | {"id": str(new_id()), "demands": [demanded(page=0)]}
    assert signed_in.post(many, bad, content_type="application/json").status_code == 422
    assert RecordsRequest.objects.count() == 1
