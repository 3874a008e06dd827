"""One's own single-key shortcuts: on or off, kept with the person, in the trail, in every page."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from me_office.audit.words import act_words
from tests.builders import make_case, make_staff

pytestmark = pytest.mark.django_db
OFF = 'data-single-keys="off"'


def test_shortcuts_are_switched_off_and_on_on_the_persons_own_page():
    clerk, other = make_staff(Role.RECORDS_CLERK), make_staff(Role.RECORDS_CLERK)
    desk, device, elsewhere = Client(), Client(), Client()
    for client, person in ((desk, clerk), (device, clerk), (elsewhere, other)):
        client.force_login(person)
    page = reverse("accounts:account")
    assert OFF not in desk.get(page).text
    for chosen, said in (("off", "off"), ("off", "off"), ("on", "on")):
        answer = desk.post(reverse("accounts:shortcuts"), {"single_keys": chosen}, follow=True)
        assert f"Single-key shortcuts are {said}." in answer.text
        assert (OFF in answer.text) == (OFF in device.get(page).text) == (chosen == "off")
        assert OFF not in elsewhere.get(page).text
    events = AuditEvent.objects.filter(record_id=str(clerk.pk), act="choose_own_shortcuts")
    # Choosing what is chosen already changes nothing.
    assert [event.changes["single_keys"] for event in events.order_by("pk")] == [
        [True, False], [False, True],
    ]  # fmt: skip
    assert {event.actor_id for event in events} == {clerk.pk}
    assert act_words("choose_own_shortcuts") == (
        "switched their own single-key shortcuts on or off"
    )


def test_the_api_reads_and_switches_ones_own():
    clerk = make_staff(Role.RECORDS_CLERK)
    client = Client()
    client.force_login(clerk)
    url = reverse("accounts_api:own-shortcuts")
    assert client.get(url).json() == {"single_keys": True}
    sent = {"content_type": "application/json"}
    assert client.put(url, {"single_keys": False}, **sent).json() == {"single_keys": False}
    assert client.get(url).json() == {"single_keys": False}
    assert client.put(url, {"single_keys": "perhaps"}, **sent).status_code == 422
    assert Client().get(url).status_code in {401, 403}
    clerk.refresh_from_db()
    assert clerk.single_keys is False


def test_a_request_that_is_answered_again_switches_nothing_back():
    clerk = make_staff(Role.RECORDS_CLERK)
    client = Client()
    client.force_login(clerk)
    url, (first, second) = reverse("accounts_api:own-shortcuts"), (new_id(), new_id())
    for key, on in ((first, False), (second, True), (first, False)):
        answer = client.put(
            url, {"single_keys": on}, "application/json", HTTP_IDEMPOTENCY_KEY=str(key)
        )
        assert answer.status_code == 200
    clerk.refresh_from_db()
    assert clerk.single_keys is True


def test_no_page_names_a_letter_that_does_not_act():
    clerk = make_staff(Role.RECORDS_CLERK)
    case = make_case()
    client = Client()
    client.force_login(clerk)
    page = reverse("evidence:photographs", args=[case.pk])
    assert "<kbd>C</kbd>" in client.get(page).text
    clerk.single_keys = False
    clerk.save()
    left = client.get(page).text
    assert "<kbd>Tab</kbd>" in left and "<kbd>Esc</kbd>" in left
    assert "Single-key shortcuts are off." in left
    for letter in "/?VC":
        assert f">{letter}</kbd>" not in left
