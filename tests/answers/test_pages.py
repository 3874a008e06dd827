"""Pages and API of answers: what they show, who may, and how many statements they ask."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from cases.answers import tasks
from cases.answers.actions import replace_certificate_wording
from cases.answers.models import Answer
from me_office.accounts.roles import Role
from me_office.audit.errors import StaleRecord
from me_office.audit.ids import new_id
from tests.answers.builders import lay_answer
from tests.answers.decided import asked_answer, decided_request
from tests.builders import make_case, make_staff
from tests.packets.builders import make_clerk, make_request

pytestmark = pytest.mark.django_db


@pytest.fixture
def signed_in(client):
    clerk = make_clerk()
    client.force_login(clerk)
    client.clerk = clerk
    return client


def test_an_answer_is_asked_for_on_its_page_and_shows_its_pages_once_built(signed, signed_in):
    asked = decided_request(signed, signed_in.clerk)
    page = reverse("answers:ask", args=[signed.pk, asked.pk])
    assert "4 items go out" in signed_in.get(page).content.decode()
    sent = {"record_id": new_id(), "version": 0, "with_certificate": "on", "camera_notes": "on"}
    made = signed_in.post(page, sent)
    answer = Answer.objects.get(request=asked)
    assert made.url == reverse("answers:answer", args=[signed.pk, answer.pk])
    assert "waiting in the queue" in signed_in.get(made.url).content.decode().lower()
    assert tasks.build_answer(request_id=str(answer.pk)) == "made"
    answer.refresh_from_db()
    told = signed_in.get(made.url).content.decode()
    assert "Report of examination, as signed" in told
    assert answer.sha256 in told
    fetched = signed_in.get(reverse("answers:download-answer", args=[signed.pk, answer.pk]))
    assert len(fetched.getvalue()) == answer.size_bytes
    beside = signed_in.get(reverse("court:request", args=[signed.pk, asked.pk])).content.decode()
    assert f"Answer {answer.number}<" in beside
    assert "Build another answer" in beside


def test_the_page_says_what_keeps_the_answer_from_being_built(signed, signed_in):
    asked = make_request(signed, signed_in.clerk)
    page = reverse("answers:ask", args=[signed.pk, asked.pk])
    assert "No demand for records" in signed_in.get(page).content.decode()
    refused = signed_in.post(page, {"record_id": new_id(), "version": 0})
    assert refused.status_code == 422


def test_who_may_not_build_sees_the_answer_and_fetches_nothing(answer, client):
    client.force_login(make_staff(Role.PATHOLOGIST))
    page = reverse("answers:answer", args=[answer.case_id, answer.pk])
    assert "Download" not in client.get(page).content.decode()
    zipped = reverse("answers:download-answer", args=[answer.case_id, answer.pk])
    assert client.get(zipped).status_code == 403
    assert (
        client.get(reverse("answers:ask", args=[answer.case_id, answer.request_id])).status_code
        == 403
    )
    other = make_case()
    assert client.get(reverse("answers:answer", args=[other.pk, answer.pk])).status_code == 404


def test_the_api_asks_for_an_answer_and_tells_how_far_it_is(signed, signed_in):
    asked = decided_request(signed, signed_in.clerk)
    address, key = f"/api/cases/{signed.pk}/answers/", str(new_id())
    sent = {"id": key, "request_id": str(asked.pk)}
    made = signed_in.post(address, sent, content_type="application/json")
    assert (made.status_code, made.json()["state"]) == (202, "waiting")
    assert signed_in.post(address, sent, content_type="application/json").json()["id"] == key
    assert signed_in.get(address).json()[0]["id"] == key
    assert signed_in.get(f"{address}{key}/").json()["percent"] == 0


def test_the_list_asks_as_many_statements_for_three_answers_as_for_sixty(signed_in):
    case = make_case()
    asked, counts, number = make_request(case, signed_in.clerk), [], 0
    for more in (3, 57):
        for _ in range(more):
            number += 1
            lay_answer(signed_in.clerk, asked=asked, number=number)
        for page in (
            reverse("answers:answers", args=[case.pk]),
            reverse("court:request", args=[case.pk, asked.pk]),
        ):
            with CaptureQueriesContext(connection) as queries:
                assert signed_in.get(page).status_code == 200
            counts.append(len(queries))
    assert counts[:2] == counts[2:]


def test_one_that_failed_is_tried_again_or_dismissed(signed, signed_in):
    answer = asked_answer(decided_request(signed, signed_in.clerk), signed_in.clerk)
    Answer.objects.filter(pk=answer.pk).update(state="failed", failure="The disk was full.")
    page = reverse("answers:answer", args=[signed.pk, answer.pk])
    assert "The disk was full." in signed_in.get(page).content.decode()
    again = reverse("answers:retry-answer", args=[signed.pk, answer.pk])
    assert signed_in.post(again, {"version": 1, "act": "leave"}).status_code == 302
    assert "Dismissed" in signed_in.get(page).content.decode()


def test_the_wording_of_the_certificate_is_replaced_by_editions(signed, signed_in):
    page = reverse("answers:certificate")
    assert "penalty of perjury" in signed_in.get(page).content.decode()
    sent = {"record_id": new_id(), "version": 0, "words": "Before {judge}"}
    wrong = signed_in.post(page, sent)
    assert wrong.status_code == 422
    assert "There is no {judge}" in wrong.content.decode()
    sent["edition"] = 0
    assert signed_in.post(page, {**sent, "words": "I certify for {office}."}).status_code == 302
    assert "Edition 1" in signed_in.get(page).content.decode()
    with pytest.raises(StaleRecord):
        replace_certificate_wording(
            signed_in.clerk, record_id=new_id(), edition=0, entry={"words": "Other."}
        )
    # Who read the wording before it was replaced is shown both, and then chooses knowingly.
    late = {**sent, "record_id": new_id(), "words": "I certify nothing."}
    stale = signed_in.post(page, late)
    assert stale.status_code == 409 and "I certify for {office}." in stale.content.decode()
    assert stale.context["form"]["edition"].value() == "1"
    assert signed_in.post(page, {**late, "edition": 1}).status_code == 302
    assert "Edition 2" in signed_in.get(page).content.decode()
    signed_in.force_login(make_staff(Role.INVESTIGATOR))
    assert signed_in.post(page, {**sent, "record_id": new_id(), "words": "X"}).status_code == 403
