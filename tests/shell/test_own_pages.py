"""A page sends under the person who opened it, or not at all."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from evidence.intake.models import PhotographUpload
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from tests.builders import make_case, make_staff
from tests.conftest import ROOT
from tests.evidence.pictures import picture_bytes
from tests.evidence.tus import VERSION, Sender
from tests.shell import pages

SCRIPTS = [
    path
    for top in ("cases", "findings", "evidence", "me_office")
    for path in (ROOT / top).rglob("static/**/*.js")
    if not path.name.endswith(".min.js")
]
SENDS = re.compile(
    r"(?<![\w.])fetch\(|\.fetch\(|XMLHttpRequest|sendBeacon|EventSource|tus\.Upload\("
)
# What may send by itself, and why it needs no person or names them otherwise.
SEND_THEMSELVES = {
    "page_of.js": "names the person for all others",
    "connection.js": "asks only whether the office answers",
    "picking.js": "reads the body's surfaces, which are the same for everybody",
    "upload_line.js": "hands the headers of page_of.js to the library",
}
WORDS = "This page was opened by A. Amadi. You are signed in as B. Birch. Nothing was saved."


@pytest.fixture
def amadi(db: None) -> Staff:
    return make_staff(Role.PATHOLOGIST, name="A. Amadi")


@pytest.fixture
def birch(db: None) -> Staff:
    return make_staff(Role.INVESTIGATOR, name="B. Birch")


@pytest.fixture
def device(client: Client, birch: Staff) -> Client:
    """Return the browser in which one person's page stayed open, and another has signed in."""
    client.force_login(birch)
    return client


def test_no_photograph_is_sent_under_another_name(
    device: Client, amadi: Staff, birch: Staff
) -> None:
    sender = Sender(device, make_case(), picture_bytes())
    answer = sender.begin(headers={**VERSION, "HTTP_X_PAGE_OF": str(amadi.pk)})
    assert answer.status_code == 409
    assert answer.json() == {"code": "other_person", "message": WORDS}
    assert not PhotographUpload.objects.exists()
    assert sender.begin(headers={**VERSION, "HTTP_X_PAGE_OF": str(birch.pk)}).status_code == 201


@pytest.mark.urls("tests.shell.pages")
def test_no_form_is_sent_under_another_name(device: Client, amadi: Staff, birch: Staff) -> None:
    sent = {"position": "face down", "pressed": "fixed", "alive_certainty": "exact"}
    pages.received.clear()
    answer = device.post("/tests/scene/", {**sent, "page_of": str(amadi.pk)})
    assert answer.status_code == 409
    words = answer.content.decode()
    assert "This page was opened by someone else" in words
    assert WORDS in words
    assert pages.received == []
    assert device.post("/tests/scene/", {**sent, "page_of": str(birch.pk)}).status_code == 302
    assert device.post("/tests/scene/", sent).status_code == 302
    assert len(pages.received) == 2


def test_a_part_is_neither_fetched_nor_sent_and_leaves_the_page_as_it_is(
    device: Client, amadi: Staff
) -> None:
    headers: dict[str, Any] = {"HTTP_HX_REQUEST": "true", "HTTP_X_PAGE_OF": str(amadi.pk)}
    address = reverse("cases:case", args=[make_case().pk])
    for answer in (device.get(address, **headers), device.post(address, {}, **headers)):
        assert answer.status_code == 409
        assert answer["HX-Reswap"] == "none"
        assert answer.json()["message"] == WORDS


def test_nobody_is_signed_out_by_another_persons_page(device: Client, amadi: Staff) -> None:
    assert device.post("/sign-out/", {"page_of": str(amadi.pk)}).status_code == 409
    assert device.get("/account/").status_code == 200


def test_a_page_of_nobody_known_is_another_persons(device: Client) -> None:
    for said in ("somebody", "01990000-0000-7000-8000-000000000000"):
        answer = device.get("/account/", HTTP_X_PAGE_OF=said)
        assert answer.status_code == 409
        assert answer.json()["message"].startswith("This page was opened by someone else.")


def test_who_is_signed_out_is_led_to_the_sign_in(client: Client, amadi: Staff) -> None:
    answer = client.post("/account/theme/", {"page_of": str(amadi.pk)})
    assert answer["Location"].startswith("/sign-in/")
    assert client.get("/api/cases/", HTTP_X_PAGE_OF=str(amadi.pk)).status_code == 401
    # What somebody sends who is not signed in is not even read: this has no boundary.
    answer = client.post("/account/theme/", b"x", content_type="multipart/form-data")
    assert answer["Location"].startswith("/sign-in/")


def test_every_script_sends_through_the_one_that_names_the_person() -> None:
    senders = {path.name for path in SCRIPTS if SENDS.search(path.read_text())}
    assert senders == set(SEND_THEMSELVES)
    line = next(path.read_text() for path in SCRIPTS if path.name == "upload_line.js")
    assert "personHeaders(" in line
