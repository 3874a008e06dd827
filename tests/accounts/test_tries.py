"""Guessing a password or a code: slowed, recorded, and no way to keep somebody else out."""

from __future__ import annotations

import re
from datetime import timedelta
from typing import Any

import psycopg
import pytest
from django.core.cache import cache
from django.db.models import F
from django.test import Client
from django.urls import reverse

from me_office.accounts import actions, devices, tries
from me_office.accounts.models import Staff, TryCount
from me_office.accounts.roles import Role
from me_office.audit import actions as frame
from me_office.audit import queries, tasks
from me_office.audit.context import RequestFacts, current_request
from me_office.audit.errors import TooSoon
from me_office.audit.ids import new_id
from me_office.audit.looks import FAILED_TRY
from me_office.audit.models import AccessEvent, AuditEvent
from tests.builders import PASSWORD, make_case, make_staff, with_password

pytestmark = pytest.mark.django_db
HOME, OTHER, THIRD = "203.0.113.9", "198.51.100.7", "192.0.2.44"


@pytest.fixture(autouse=True)
def _quick_hash(settings: Any) -> None:
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]


def person_named(username: str, role: Role = Role.RECORDS_CLERK, **fields: Any) -> Staff:
    return with_password(make_staff(role, username=username, **fields))


@pytest.fixture
def clerk() -> Staff:
    return person_named("ostrander", name="R. Ostrander")


def sign_in(
    password: str = PASSWORD, *, device: Client | None = None, name: str = "ostrander",
    address: str = HOME,
) -> Any:  # fmt: skip
    device = device or Client()
    sent = {"login": name, "password": password}
    return device.post("/sign-in/", sent, REMOTE_ADDR=address)


def is_in(answer: Any) -> bool:
    return answer.status_code == 302


def is_held(answer: Any) -> bool:
    return answer.status_code == 200 and b"Too many wrong passwords. Wait " in answer.content


def told_to_wait(answer: Any, secret: str = "password") -> int:
    """The seconds a page says, 0 if it says nothing."""
    found = re.search(rf"Too many wrong {secret}s. Wait (\d+) seconds", answer.content.decode())
    return int(found[1]) if found else 0


def later(seconds: int) -> None:
    TryCount.objects.update(last_at=F("last_at") - timedelta(seconds=seconds))


def failures() -> list[dict[str, str]]:
    return [event.asked for event in AccessEvent.objects.filter(what=FAILED_TRY).order_by("id")]


def test_a_stranger_waits_after_five_and_then_longer_each_time(clerk: Staff) -> None:
    for _ in range(5):
        assert not is_held(sign_in("wrong"))
    assert 20 < told_to_wait(sign_in()) <= 30
    later(30)
    assert not is_held(sign_in("wrong"))
    assert 30 < told_to_wait(sign_in()) <= 60
    later(60)
    assert is_in(sign_in())
    assert not is_held(sign_in("wrong")), "the count begins anew"


def test_wrong_passwords_from_elsewhere_do_not_keep_a_person_out(clerk: Staff) -> None:
    known = Client()
    assert is_in(sign_in(device=known))
    known.post("/sign-out/")
    for n in range(24):
        sign_in("wrong", address=f"198.51.100.{n}")
    for _ in range(8):
        sign_in("wrong", address=HOME)
    assert is_held(sign_in(address=HOME)), "a stranger at the person's own address"
    assert is_in(sign_in(device=known, address=HOME)), "the device is known"
    assert is_in(sign_in(address=OTHER.replace(".7", ".240"))), "a new device elsewhere"


def test_a_name_under_attack_is_slowed_for_strangers_at_each_address(clerk: Staff) -> None:
    for n in range(19):
        sign_in("wrong", address=f"198.51.100.{n}")
    assert not is_held(sign_in("wrong", address=HOME))
    assert is_held(sign_in("wrong", address=HOME)), "the twentieth changed it"
    assert not is_held(sign_in("wrong", address=THIRD))
    assert is_held(sign_in("wrong", address=THIRD))
    assert not is_held(sign_in("wrong", name="somebody", address=THIRD))


def test_one_address_that_tries_many_names_is_slowed_without_reaching_known_devices(
    clerk: Staff,
) -> None:
    known = Client()
    sign_in(device=known)
    known.post("/sign-out/")
    for n in range(30):
        assert not is_held(sign_in("wrong", name=f"name{n}"))
    assert is_held(sign_in("wrong", name="name30"))
    assert is_in(sign_in(device=known))
    assert is_in(sign_in(address=OTHER))


def test_a_right_password_to_one_account_buys_no_guesses_at_others(clerk: Staff) -> None:
    person_named("mallard")
    for n in range(30):
        sign_in("wrong", name=f"name{n}")
        if n % 3 == 0:
            sign_in(name="mallard")
    assert is_held(sign_in("wrong", name="name31"))


def test_a_known_device_is_slowed_by_its_own_failures(clerk: Staff) -> None:
    known, second = Client(), Client()
    for device in (known, second):
        sign_in(device=device)
        device.post("/sign-out/")
    for _ in range(5):
        assert not is_held(sign_in("wrong", device=known))
    assert 0 < told_to_wait(sign_in(device=known)) <= 15
    assert is_in(sign_in(device=second))


def test_a_device_is_known_for_who_signed_in_on_it_only(clerk: Staff) -> None:
    person_named("mallard")
    known = Client()
    sign_in(device=known)
    known.post("/sign-out/")
    for _ in range(5):
        sign_in("wrong", name="mallard", address=HOME)
    assert is_held(sign_in("wrong", name="mallard", device=known, address=HOME))


def test_a_device_cookie_is_signed_and_kept_by_the_browser_alone(clerk: Staff) -> None:
    known = Client()
    assert devices.COOKIE not in sign_in("wrong", device=known).cookies
    cookie = sign_in(device=known).cookies[devices.COOKIE]
    assert (cookie["httponly"], cookie["samesite"]) == (True, "Lax")
    assert int(cookie["max-age"]) == 180 * 24 * 3600
    device = devices.known_device(cookie.value, clerk.pk)
    assert device
    assert not devices.known_device(cookie.value, new_id())
    for made_up in (cookie.value[:-1] + "x", "", "x:y:z", cookie.value.upper()):
        assert not devices.known_device(made_up, clerk.pk)
    second = person_named("mallard")
    both = devices.remembering(cookie.value, second.pk)
    assert devices.known_device(both, clerk.pk) == devices.known_device(both, second.pk) == device
    for _ in range(devices.MOST_PEOPLE - 1):
        both = devices.remembering(both, new_id())
    assert devices.known_device(both, second.pk)
    assert not devices.known_device(both, clerk.pk)


def test_between_password_and_code_a_device_is_not_known_yet(clerk: Staff, settings: Any) -> None:
    from allauth.mfa.totp.internal.auth import TOTP

    TOTP.activate(clerk, "JBSWY3DPEHPK3PXP")
    visitor = Client()
    assert devices.COOKIE not in sign_in(device=visitor).cookies
    page = "/account/2fa/authenticate/"
    for _ in range(5):
        assert b"Too many" not in visitor.post(page, {"code": "abcdef"}).content
        sign_in(device=visitor)
    assert 15 < told_to_wait(visitor.post(page, {"code": "abc"}), "code") <= 30
    assert [one["secret"] for one in failures()] == ["code"] * 6
    assert failures()[-1]["held_back"] == "yes"


def test_a_failure_is_recorded_without_what_was_typed(clerk: Staff, caplog: Any) -> None:
    sign_in("my secret 1")
    sign_in("my secret 2", name="my secret 3")
    event = AccessEvent.objects.get()
    assert (event.what, event.actor_id, event.address) == (FAILED_TRY, clerk.pk, HOME)
    assert event.asked == {"secret": "password", "place": "sign-in"}
    kept = str(list(AccessEvent.objects.values())) + str(list(TryCount.objects.values()))
    assert "my secret" not in kept + caplog.text + str(list(AuditEvent.objects.values()))
    assert f"no known name, from {HOME}" in caplog.text
    [told] = queries.failed_tries(clerk.pk)
    assert (told.what, told.address) == ("wrong password, at the sign-in", HOME)
    assert queries.list_readers().given == []


def test_an_administrator_and_the_person_see_wrong_passwords(clerk: Staff) -> None:
    for _ in range(7):
        sign_in("wrong")
    sign_in("wrong", address=OTHER)
    told = [(one.what, one.address, one.times) for one in queries.failed_tries(clerk.pk)]
    assert told == [
        ("wrong password, at the sign-in", OTHER, 1),
        ("told to wait after too many wrong passwords, at the sign-in", HOME, 1),
        ("wrong password, at the sign-in", HOME, 5),
    ]
    birch, own = Client(), Client()
    birch.force_login(person_named("birch", Role.ADMINISTRATOR))
    own.force_login(clerk)
    for page in (
        birch.get(reverse("people:person", args=[clerk.pk])),
        own.get(reverse("accounts:account")),
    ):
        words = page.content.decode()
        assert "Wrong password, at the sign-in · 5 times" in words
        assert f"from {HOME}" in words


def sign_by_api(visitor: Client, case: Any, password: str) -> Any:
    sent = {
        "id": str(new_id()), "draft_id": str(new_id()), "outcome": "signed", "sha256": "0" * 64,
        "password": password,
    }  # fmt: skip
    path = f"/api/cases/{case.pk}/decisions/"
    return visitor.post(path, sent, content_type="application/json")


def test_fifty_two_guesses_at_a_sign_off_are_slowed_and_in_the_record(clerk: Staff) -> None:
    thorne, case = person_named("thorne", Role.SUPERVISOR), make_case()
    visitor = Client()
    sign_in(device=visitor, name="thorne")
    answers = [sign_by_api(visitor, case, f"guess {n}") for n in range(52)]
    assert [answer.status_code for answer in answers] == [422] * 5 + [429] * 47
    said = answers[-1].json()
    assert (said["code"], said["field"]) == ("too_soon", "password")
    assert 0 < told_to_wait(answers[-1]) <= 15
    place = {"secret": "password", "place": "signing a report"}
    assert failures() == [place] * 5 + [{**place, "held_back": "yes"}]
    assert {event.actor_id for event in AccessEvent.objects.all()} == {thorne.pk}
    # Not by asking at another place, nor from another address; and the right one has to wait, too.
    change = {"oldpassword": PASSWORD, "password1": "a new long one", "password2": "a new long one"}
    held = visitor.post("/account/password/change/", change, REMOTE_ADDR=OTHER)
    assert b"Too many wrong passwords. Wait" in held.content
    again = visitor.post("/account/reauthenticate/", {"password": PASSWORD}, REMOTE_ADDR=THIRD)
    assert b"Too many wrong passwords. Wait" in again.content
    later(15)
    assert sign_by_api(visitor, case, PASSWORD).json().get("field") != "password"
    assert sign_by_api(visitor, case, "wrong").status_code == 422, "the count began anew"


PLACES = {
    "keeping accounts": lambda person: (
        reverse("people:open"), {"own_password": "wrong"}, 422,
    ),
    "changing the password": lambda person: (
        "/account/password/change/",
        {"oldpassword": "wrong", "password1": "a new long one", "password2": "a new long one"}, 200,
    ),
    "confirming who it is": lambda person: ("/account/reauthenticate/", {"password": "wrong"}, 200),
}  # fmt: skip


@pytest.mark.parametrize("place", PLACES)
def test_wherever_the_password_is_asked_it_is_slowed_and_recorded(place: str) -> None:
    birch = person_named("birch", Role.ADMINISTRATOR)
    visitor = Client()
    sign_in(device=visitor, name="birch")
    address, sent, status = PLACES[place](birch)
    pages = [visitor.post(address, sent) for _ in range(7)]
    assert [page.status_code for page in pages] == [status] * 7
    told = [0 < told_to_wait(page) <= 15 for page in pages]
    assert told == [False] * 5 + [True] * 2
    assert [one["place"] for one in failures()] == [place] * 6
    visitor.post(address, dict.fromkeys(sent, ""))
    assert len(failures()) == 6


def test_setting_a_second_factor_up_counts_wrong_codes(clerk: Staff) -> None:
    visitor = Client()
    sign_in(device=visitor)
    visitor.post("/account/reauthenticate/", {"password": PASSWORD})
    pages = [visitor.post("/account/2fa/totp/activate/", {"code": "abcdef"}) for _ in range(6)]
    assert 0 < told_to_wait(pages[-1], "code") <= 15
    assert failures()[0] == {"secret": "code", "place": "setting up a second factor"}


def test_counts_do_not_need_the_cache(clerk: Staff, monkeypatch: Any) -> None:
    for name in ("get", "set", "add"):
        monkeypatch.setattr(cache, name, lambda *_, **__: None)
    for _ in range(5):
        sign_in("wrong")
    assert is_held(sign_in())


def test_a_try_inside_an_action_is_a_mistake(clerk: Staff, monkeypatch: Any) -> None:
    @frame.action
    def ask(actor: Staff) -> None:
        tries.wrong_own_password(actor, "wrong", place="somewhere")

    with pytest.raises(RuntimeError, match="before the action"):
        ask(clerk)


def guess(actor: Staff) -> str:
    token = current_request.set(RequestFacts(address=HOME))
    try:
        tried = tries.begin(
            place="sign-in", kind="password", name="ostrander", person=actor, signed_in=False
        )
    finally:
        current_request.reset(token)
    tried.failed()
    return "tried"


def test_guesses_at_the_same_moment_count_like_guesses_in_a_row(at_once: Any) -> None:
    clerk = person_named("ostrander")
    outcomes = at_once(guess, by=[clerk] * 8, meet_after="me_office.accounts.tries._is_attacked")
    codes = sorted(outcome.code for outcome in outcomes)
    assert codes == ["done"] * 5 + [TooSoon.code] * 3


def test_counts_are_cleared_when_no_limit_remembers_them(clerk: Staff) -> None:
    sign_in("wrong")
    before = TryCount.objects.count()
    assert tasks.clear_tries() == 0
    later(24 * 3600 + 1)
    sign_in("wrong", name="else", address=OTHER)
    assert tasks.clear_tries() == before
    assert TryCount.objects.count() == 3


@pytest.mark.django_db(transaction=True)
def test_the_application_role_may_count_and_clear(application_role: psycopg.Connection) -> None:
    application_role.execute("INSERT INTO accounts_trycount VALUES (DEFAULT, 'a', 1, 0, now())")
    application_role.execute("UPDATE accounts_trycount SET failures = 2")
    application_role.execute("DELETE FROM accounts_trycount")


def test_a_name_is_counted_however_it_is_written(clerk: Staff) -> None:
    for name in ("ostrander", "OSTRANDER", " ostrander ", "Ostrander", "ostrander\t"):
        sign_in("wrong", name=name)
    assert is_held(sign_in())


def test_an_administrator_s_new_password_does_not_count_as_a_guess(clerk: Staff) -> None:
    birch = person_named("birch", Role.ADMINISTRATOR)
    actions.replace_password(
        birch, staff_id=clerk.pk, version=1, password="kelo-sapi", reason="Forgotten."
    )
    assert is_in(sign_in("kelo-sapi"))
    assert failures() == []
