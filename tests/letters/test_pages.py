"""Pages and API of letters."""

from __future__ import annotations

from copy import copy

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from cases.letters.models import Letter, LetterSending, LetterTemplate
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from tests.builders import as_person, make_case, make_staff
from tests.letters.builders import WORDS, made, sent, written
from tests.packets.builders import make_request

pytestmark = pytest.mark.django_db


@pytest.fixture
def asked(clerk):
    return make_request(make_case(), clerk)


def at(name, asked, **keys):
    return reverse(f"letters:{name}", kwargs={"case_id": asked.case_id, **keys})


def test_a_clerk_writes_makes_and_sends_a_letter_by_its_pages(clerk, asked):
    browser = as_person(clerk)
    new = at("write", asked, request_id=asked.pk, kind="fee")
    page = browser.get(new).content.decode()
    assert "amount of the invoice" in page.lower() and "Have counsel read it" in page
    form = {**WORDS, "record_id": str(new_id()), "enclosures": ""}
    form["dated_on"] = str(timezone.localdate())
    answer = browser.post(new, {**form, "body": "Due {fill in: day}."}, follow=True)
    letter = Letter.objects.latest("number")
    assert answer.redirect_chain[-1][0] == at("letter", asked, letter_id=letter.pk)
    assert "Fill in or strike what stands in braces: day" in answer.content.decode()
    draft = at("letter", asked, letter_id=letter.pk)
    preview = browser.get(at("preview", asked, letter_id=letter.pk))
    assert preview.content.startswith(b"%PDF")
    make = at("make", asked, letter_id=letter.pk)
    refused = browser.post(make, {"version": 1, "record_id": str(letter.pk)})
    assert refused.status_code == 422
    browser.post(draft, {**form, "version": 1, "record_id": str(letter.pk), "body": "Due today."})
    browser.post(make, {"version": 2, "record_id": str(letter.pk)})
    letter.refresh_from_db()
    assert letter.is_made
    send = at("send", asked, letter_id=letter.pk)
    wrong = browser.post(send, {"way": "fax", "to_name": "A. Pell", "record_id": str(new_id())})
    assert wrong.status_code == 422
    assert {"address", "sent_at"} <= set(wrong.context["form"].errors)
    browser.post(
        send,
        {"way": "email", "to_name": "A. Pell", "address": "pell@hale.invalid",
         "record_id": str(new_id())},
    )  # fmt: skip
    assert LetterSending.objects.get().waits
    shown = browser.get(draft).content.decode()
    assert "waits to be mailed to pell@hale.invalid" in shown and letter.file.sha256 in shown
    assert b"".join(browser.get(at("pdf", asked, letter_id=letter.pk))).startswith(b"%PDF")
    assert "waits to be mailed" in browser.get(at("letters", asked)).content.decode()
    side = reverse("court:request", args=[asked.case_id, asked.pk])
    assert "waits to be mailed" in browser.get(side).content.decode()


def test_who_only_reads_sees_letters_and_no_act(clerk, asked):
    letter, draft = made(asked, clerk), written(asked, clerk)
    reader = as_person(make_staff(Role.PATHOLOGIST))
    for name, one in (("letter", letter), ("letter", draft)):
        page = reader.get(at(name, asked, letter_id=one.pk))
        assert page.status_code == 200 and b"Withdraw the letter" not in page.content
    for name in ("make", "send", "withdraw"):
        assert reader.get(at(name, asked, letter_id=letter.pk)).status_code == 403
    stranger = as_person(make_staff(Role.ADMINISTRATOR))
    assert stranger.get(at("letter", asked, letter_id=letter.pk)).status_code in {403, 404}
    assert stranger.get(reverse("letters:templates")).status_code == 403


def test_a_restricted_cases_letters_are_known_to_nobody_outside_its_team(clerk):
    boss = make_staff(Role.SUPERVISOR)
    asked = make_request(make_case(), clerk)
    letter = made(asked, clerk)
    from cases.actions import restrict_case

    restrict_case(boss, case_id=asked.case_id, version=asked.case.version, reason="press")
    browser = as_person(clerk)
    for name in ("letter", "pdf", "preview", "make", "send", "withdraw"):
        assert browser.get(at(name, asked, letter_id=letter.pk)).status_code == 404, name


def test_templates_are_written_changed_and_withdrawn_by_their_pages(clerk):
    browser = as_person(clerk)
    new = reverse("letters:add-template", args=["fee"])
    form = {"title": "Fee", "subject": "Fee", "record_id": str(new_id())}
    wrong = browser.post(new, {**form, "body": "{fee.totl}"})
    assert "Do you mean {fee.total}?" in wrong.content.decode().replace("&#x27;", "'")
    browser.post(new, {**form, "body": "{fee.total}"})
    [template] = LetterTemplate.objects.all()
    one = reverse("letters:template", args=[template.pk])
    change = {**form, "record_id": str(new_id()), "version": 1, "body": "{fee.total}."}
    assert browser.post(one, change).status_code == 422, "the reason is lacking"
    browser.post(one, {**change, "reason": "a period"})
    newest = LetterTemplate.objects.active().get()
    assert newest.number == 2
    assert b"No longer in use" in browser.get(one).content
    gone = reverse("letters:void-template", args=[newest.pk])
    said = {"version": 1, "record_id": str(newest.pk), "reason": "unused"}
    led = browser.post(gone, said, follow=True)
    assert not LetterTemplate.objects.active().exists()
    # Not back to the template, which is none any more.
    assert led.redirect_chain == [(reverse("letters:templates"), 302)]
    assert "“Fee” is no longer offered." in led.content.decode()
    assert browser.get(reverse("letters:add-template", args=["sonnet"])).status_code == 404


def test_a_list_of_sixty_letters_takes_as_many_statements_as_one_of_three(clerk, asked):
    browser, counts = as_person(clerk), []
    letter = written(asked, clerk)
    for numbers in (range(2, 4), range(4, 61)):
        rows = [copy(letter) for _ in numbers]
        for number, row in zip(numbers, rows, strict=True):
            row.pk, row.number = new_id(), number
        Letter.objects.bulk_create(rows)
        with CaptureQueriesContext(connection) as statements:
            assert browser.get(at("letters", asked)).status_code == 200
        counts.append(len(statements))
    assert counts[0] == counts[1]


def test_the_api_does_what_the_pages_do(clerk, asked):
    client = as_person(clerk)

    def call(method, name, body=None, **keys):
        url = reverse(f"letters_api:{name}", kwargs=keys)
        return getattr(client, method)(url, body, content_type="application/json")

    of = {"case_id": str(asked.case_id)}
    body = {"id": str(new_id()), "request": str(asked.pk), "kind": "cover"}
    first = call("post", "letters", body, **of)
    assert first.status_code == 201, first.content
    assert "{fill in: what the release holds}" in first.json()["body"]
    assert call("post", "letters", body, **of).json()["number"] == 1
    one = {**of, "letter_id": body["id"]}
    assert call("post", "make-letter", {"version": 1}, **one).status_code == 422
    changed = call("put", "letter", {"version": 1, "body": "Enclosed."}, **one)
    assert changed.json()["version"] == 2
    done = call("post", "make-letter", {"version": 2}, **one).json()
    assert (done["state"], len(done["sha256"])) == ("made", 64)
    when = {"way": "mail", "to_name": "A. Pell", "sent_at": done["made_at"]}
    sending = call("post", "letter-sendings", {"id": str(new_id()), **when}, **one)
    assert sending.status_code == 201, sending.content
    void = {"version": 1, "reason": "not yet"}
    other = {
        **of,
        "letter_id": call("post", "letters", {**body, "id": str(new_id())}, **of).json()["id"],
    }
    astray = call("post", "withdraw-letter-sending", void, **other, sending_id=sending.json()["id"])
    assert astray.status_code == 404
    gone = call("post", "withdraw-letter-sending", void, **one, sending_id=sending.json()["id"])
    assert gone.status_code == 200 and gone.json()["voided_at"]
    assert len(call("get", "letters", **of).json()) == 2
    assert call("get", "letter", **one).json()["sendings"][0]["voided_at"]
    assert call("post", "withdraw-letter", {"version": 3, "reason": "x"}, **one).status_code == 200


def test_the_api_keeps_templates(clerk):
    client = as_person(clerk)
    body = {"id": str(new_id()), "kind": "fee", "title": "Fee", "subject": "S", "body": "B"}
    url = reverse("letters_api:letter-templates")
    assert client.post(url, body, content_type="application/json").status_code == 201
    assert [one["title"] for one in client.get(url).json()] == ["Fee"]
    one = reverse("letters_api:letter-template", args=[body["id"]])
    new = {"id": str(new_id()), "version": 1, "reason": "y", "title": "Fee", "subject": "S"}
    answer = client.put(one, {**new, "body": "C"}, content_type="application/json")
    assert (answer.status_code, answer.json()["number"]) == (200, 2)
    gone = reverse("letters_api:letter-template-void", args=[new["id"]])
    answer = client.post(gone, {"version": 1, "reason": "z"}, content_type="application/json")
    assert answer.json()["voided_at"]
    other = as_person(make_staff(Role.ADMINISTRATOR))
    assert other.get(url).status_code == 403


def test_a_letter_shows_how_each_sending_went(clerk, asked):
    letter = made(asked, clerk)
    sent(letter, clerk, note="Tracking 44")
    page = as_person(clerk).get(at("letter", asked, letter_id=letter.pk)).content.decode()
    assert "sent by mail to A. Pell" in page and "Tracking 44" in page
