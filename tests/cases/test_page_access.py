"""The access table, walked once through the pages of the case file."""

from __future__ import annotations

import pytest
from django.urls import reverse

from me_office.accounts.roles import CASE_ROLES, Role
from me_office.audit.ids import new_id
from me_office.audit.models import AccessEvent
from tests.builders import make_case
from tests.cases.browsing import READ_PAGES, page, sign_in, typed, words
from tests.cases.entries import open_case

pytestmark = pytest.mark.django_db

# Who may open the page that changes something, in an open case.
WORK_PAGES = {
    "edit-report": {Role.INVESTIGATOR, Role.SUPERVISOR},
    "edit-scene": {Role.INVESTIGATOR, Role.SUPERVISOR},
    "edit-receipt": {Role.INVESTIGATOR, Role.SUPERVISOR, Role.EVIDENCE_TECHNICIAN},
    "edit-decedent": {Role.INVESTIGATOR, Role.SUPERVISOR, Role.PATHOLOGIST},
    "restriction": {Role.SUPERVISOR},
}
ENTRY_PAGES = {
    "readings": {Role.INVESTIGATOR, Role.SUPERVISOR},
    "medication": {Role.INVESTIGATOR, Role.SUPERVISOR},
    "places": {Role.INVESTIGATOR, Role.SUPERVISOR},
    "people": {Role.INVESTIGATOR, Role.PATHOLOGIST, Role.SUPERVISOR},
    "identifications": {Role.INVESTIGATOR, Role.SUPERVISOR, Role.PATHOLOGIST},
}


@pytest.mark.parametrize("role", sorted(CASE_ROLES))
def test_every_role_reads_and_only_some_change(client, role):
    case = open_case()
    sign_in(client, role)
    for name in READ_PAGES:
        assert client.get(page(name, case)).status_code == 200, name
    for name, roles in WORK_PAGES.items():
        expected = 200 if role in roles else 403
        assert client.get(page(name, case)).status_code == expected, name
        if expected == 403:
            assert client.post(page(name, case), typed({})).status_code == 403, name
    for kind, roles in ENTRY_PAGES.items():
        expected = 200 if role in roles else 403
        assert client.get(page("add-entry", case, kind=kind)).status_code == expected, kind
    log = 200 if role in {Role.INVESTIGATOR, Role.SUPERVISOR} else 403
    assert client.get(reverse("cases:log-report")).status_code == log
    for name in ("list", "search"):
        assert client.get(reverse(f"cases:{name}")).status_code == 200


@pytest.mark.parametrize("role", sorted(CASE_ROLES))
def test_an_act_that_is_not_allowed_is_not_offered(client, role):
    case = open_case()
    sign_in(client, role)
    for shown_on, name, roles in (
        ("report", "edit-report", WORK_PAGES["edit-report"]),
        ("scene", "edit-scene", WORK_PAGES["edit-scene"]),
        ("body", "edit-receipt", WORK_PAGES["edit-receipt"]),
        ("body", "edit-decedent", WORK_PAGES["edit-decedent"]),
        ("assignment", "restriction", WORK_PAGES["restriction"]),
    ):
        offered = page(name, case) in words(client.get(page(shown_on, case)))
        assert offered == (role in roles), (shown_on, name)


def test_a_restricted_case_and_none_give_the_same_answer(client):
    case = make_case(restricted=True)
    sign_in(client, Role.SUPERVISOR)
    for name in (*READ_PAGES, *WORK_PAGES, "scene-caution", "add-team-member"):
        secret = client.get(page(name, case))
        nothing = client.get(reverse(f"cases:{name}", kwargs={"case_id": new_id()}))
        assert (secret.status_code, nothing.status_code) == (404, 404), name


def test_an_administrator_sees_no_case(client):
    case = make_case()
    sign_in(client, Role.ADMINISTRATOR)
    assert client.get(page("case", case)).status_code == 404
    for name in ("list", "export", "search", "log-report"):
        assert client.get(reverse(f"cases:{name}")).status_code == 403, name


def test_looking_is_noted(client):
    case = make_case()
    clerk = sign_in(client, Role.RECORDS_CLERK)
    client.get(page("scene", case))
    seen = AccessEvent.objects.get(case_id=case.pk)
    assert (seen.actor_id, seen.what) == (clerk.pk, "scene")
