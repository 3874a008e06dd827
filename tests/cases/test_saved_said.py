"""The office tells the device which submission was saved, so that what was typed may go."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from cases import actions
from cases.models import Case
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from me_office.audit.middleware import MOST_SAVED, SAVED_FOR_S
from tests.cases.browsing import page, sign_in, typed
from tests.cases.entries import first_call, logged_case

pytestmark = pytest.mark.django_db
LOG = reverse("cases:log-report")


def said(answer: Any) -> list[str]:
    """The keys of which an answer says that they were saved."""
    prefix, cookies = "saved-", answer.cookies.items()
    return [
        name.removeprefix(prefix) for name, one in cookies if name.startswith(prefix) and one.value
    ]


def test_what_was_saved_is_said_once_with_its_key_and_to_no_other_site(client: Client):
    sign_in(client, Role.INVESTIGATOR)
    sent = typed(first_call())
    for _ in range(2):  # a request that is answered again was saved, too
        answer = client.post(LOG, sent)
        assert answer.status_code == 302
        assert said(answer) == [str(sent["request_key"])]
    cookie = answer.cookies[f"saved-{sent['request_key']}"]
    assert (cookie["samesite"], cookie["path"], cookie["httponly"]) == ("Strict", "/", "")
    assert cookie["max-age"] == SAVED_FOR_S == 600
    assert Case.objects.count() == 1
    for secure in (True, False):  # where the office speaks HTTPS, it is said over no plain line
        sent = typed(first_call())
        cookie = client.post(LOG, sent, secure=secure).cookies[f"saved-{sent['request_key']}"]
        assert bool(cookie["secure"]) is secure


def test_what_was_refused_is_not_said_to_be_saved(client: Client):
    case = logged_case()
    quill = sign_in(client, Role.INVESTIGATOR)
    wrong = client.post(LOG, typed(first_call(called_at="")))
    assert (wrong.status_code, said(wrong)) == (422, [])
    sent = typed(first_call(caller_phone="555 0001"), version=1) | {"reason": "read back"}
    actions.correct_report_of_death(
        quill, case_id=case.pk, version=1, entry={"caller_phone": "555 0002"}, reason="typing"
    )
    stale = client.post(page("edit-report", case), sent)
    assert (stale.status_code, said(stale)) == (409, [])
    # What was typed goes on under another key, and the page says under which it lay before.
    assert f'data-former-key="{sent["request_key"]}"' in stale.content.decode()
    now = re.search(r'name="request_key" value="([^"]+)"', stale.content.decode())
    assert now and now[1] != str(sent["request_key"])
    client.logout()
    away = client.post(LOG, typed(first_call()))
    assert away.url.startswith("/sign-in/")
    assert said(away) == []


def test_a_reading_page_and_a_program_are_told_nothing(client: Client):
    case = logged_case()
    sign_in(client, Role.INVESTIGATOR)
    assert said(client.get(page("report", case))) == []
    key = {"HTTP_IDEMPOTENCY_KEY": str(new_id())}
    body = {"version": 1, "sex": "male"}
    answer = client.put(f"/api/cases/{case.pk}/decedent/", body, "application/json", **key)
    assert (answer.status_code, said(answer)) == (200, [])


@pytest.mark.parametrize("there", [MOST_SAVED - 1, MOST_SAVED, MOST_SAVED + 3])
def test_few_are_told_at_a_time_and_the_oldest_go_first(client: Client, there: int):
    sign_in(client, Role.INVESTIGATOR)
    before = [f"saved-{new_id()}" for _ in range(there)]
    for name in before:
        client.cookies[name] = "1"
    sent = typed(first_call())
    answer = client.post(LOG, sent)
    assert said(answer) == [str(sent["request_key"])]
    taken = sorted(name for name, one in answer.cookies.items() if one.value == "")
    assert taken == sorted(before)[: max(0, there - MOST_SAVED + 1)]


def test_names_that_the_office_never_gave_are_left_alone(client: Client):
    sign_in(client, Role.INVESTIGATOR)
    forged = "; ".join(f"saved-({n})=1" for n in range(MOST_SAVED + 1))
    answer = client.post(LOG, sent := typed(first_call()), HTTP_COOKIE=cookies_and(client, forged))
    assert (answer.status_code, said(answer)) == (302, [str(sent["request_key"])])
    assert [name for name, one in answer.cookies.items() if one.value == ""] == []


def cookies_and(client: Client, more: str) -> str:
    """The cookies of a browser, and others that somebody put beside them."""
    return "; ".join([*(f"{name}={one.value}" for name, one in client.cookies.items()), more])
