"""What ends a person's sign-ins, and that an ended one never lives again."""

from __future__ import annotations

import time
from types import SimpleNamespace
from typing import Any

import pytest
from allauth.mfa.models import Authenticator
from allauth.mfa.totp.internal import auth as totp
from allauth.mfa.totp.internal.auth import TOTP
from django.core.cache import cache
from django.test import Client

from me_office.accounts import actions
from me_office.accounts.backends import StaffBackend
from me_office.accounts.models import Staff, TryCount
from me_office.accounts.roles import Role
from me_office.audit.models import AuditEvent
from tests.builders import PASSWORD, make_staff, with_password
from tests.shell.test_way_in import one_time_code

pytestmark = pytest.mark.django_db
SECRET = "JBSWY3DPEHPK3PXP"


@pytest.fixture(autouse=True)
def _quick_hash(settings: Any) -> None:
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]


@pytest.fixture
def birch() -> Staff:
    return make_staff(Role.ADMINISTRATOR, name="A. Birch")


@pytest.fixture
def clerk() -> Staff:
    return with_password(make_staff(Role.RECORDS_CLERK, username="ostrander", name="R. Ostrander"))


def device_of(person: Staff) -> Client:
    visitor = Client()
    visitor.force_login(person, backend="me_office.accounts.backends.StaffBackend")
    assert is_in(visitor)
    return visitor


def is_in(visitor: Client) -> bool:
    return visitor.get("/account/").status_code == 200


def entry(person: Staff, *roles: Role) -> dict[str, Any]:
    return {"display_name": person.display_name, "roles": roles}


def test_a_closed_account_s_old_sign_in_does_not_live_again(birch: Staff, clerk: Staff) -> None:
    old = device_of(clerk)
    actions.close_account(birch, staff_id=clerk.pk, version=1, reason="Left the office.")
    actions.reopen_account(birch, staff_id=clerk.pk, version=2, reason="Came back.")
    assert not is_in(old)
    assert old.get("/api/cases/").status_code == 401
    clerk.refresh_from_db()
    assert is_in(device_of(clerk))


ENDING = {
    "closed": (actions.close_account, lambda person: {}),
    "other roles": (
        actions.change_account,
        lambda person: {"entry": entry(person, Role.RECORDS_CLERK, Role.SUPERVISOR)},
    ),
    "fewer roles": (
        actions.change_account, lambda person: {"entry": entry(person, Role.INVESTIGATOR)},
    ),
    "a new password": (actions.replace_password, lambda person: {"password": "kelo-sapi"}),
    "no second factor": (actions.reset_second_factor, lambda person: {}),
}  # fmt: skip


@pytest.mark.parametrize("act", ENDING)
def test_an_administrator_s_act_ends_every_sign_in(birch: Staff, clerk: Staff, act: str) -> None:
    TOTP.activate(clerk, SECRET)
    devices = [device_of(clerk), device_of(clerk)]
    own, other = device_of(birch), device_of(make_staff(Role.SUPERVISOR))
    done, more = ENDING[act]
    done(birch, staff_id=clerk.pk, version=1, reason="Because.", **more(clerk))
    assert [is_in(device) for device in devices] == [False, False]
    assert (is_in(own), is_in(other)) == (True, True)


def test_another_name_with_the_same_roles_ends_nothing(birch: Staff, clerk: Staff) -> None:
    device = device_of(clerk)
    named = {**entry(clerk, Role.RECORDS_CLERK), "display_name": "R. Ostrander-Lee"}
    actions.change_account(birch, staff_id=clerk.pk, version=1, entry=named, reason="Married.")
    assert is_in(device)


def test_an_own_new_password_ends_the_other_sign_ins(clerk: Staff) -> None:
    here, elsewhere = device_of(clerk), device_of(clerk)
    new = "two herons at the weir"
    sent = {"oldpassword": PASSWORD, "password1": new, "password2": new}
    assert here.post("/account/password/change/", sent).status_code == 302
    assert (is_in(here), is_in(elsewhere)) == (True, False)


def test_a_second_factor_set_up_stopped_or_with_new_codes_ends_the_other_sign_ins(
    clerk: Staff,
) -> None:
    here, elsewhere = device_of(clerk), device_of(clerk)
    here.post("/account/reauthenticate/", {"password": PASSWORD})
    here.get("/account/2fa/totp/activate/")
    assert is_in(elsewhere), "looking at the page ends nothing"
    assert here.post("/account/2fa/totp/activate/", {"code": "abcdef"}).status_code == 200
    assert is_in(elsewhere), "a wrong code ends nothing"
    secret = here.session["mfa.totp.secret"]
    sent = {"code": one_time_code(secret, time.time())}
    assert here.post("/account/2fa/totp/activate/", sent).status_code == 302
    assert (is_in(here), is_in(elsewhere)) == (True, False)
    event = AuditEvent.objects.filter(table="accounts_staff").latest("id")
    assert (event.act, event.actor_id) == ("set_up_second_factor", clerk.pk)

    for page in ("/account/2fa/recovery-codes/generate/", "/account/2fa/totp/deactivate/"):
        clerk.refresh_from_db()
        elsewhere = device_of(clerk)
        here.get("/account/2fa/recovery-codes/")
        assert is_in(elsewhere), "codes that are shown end nothing"
        assert here.post(page).status_code == 302
        assert (is_in(here), is_in(elsewhere)) == (True, False), page
    assert not Authenticator.objects.filter(user=clerk).exists()


def sign_in(code: str) -> bool:
    visitor = Client()
    visitor.post("/sign-in/", {"login": "ostrander", "password": PASSWORD})
    visitor.post("/account/2fa/authenticate/", {"code": code})
    return is_in(visitor)


@pytest.mark.parametrize("second", [0, 29], ids=["first second", "last second"])
@pytest.mark.parametrize(
    ("step", "taken"), [(-2, False), (-1, True), (0, True), (1, True), (2, False)]
)
def test_a_code_is_taken_one_step_before_and_after_its_own_and_once(
    clerk: Staff, monkeypatch: Any, step: int, taken: bool, second: int
) -> None:
    # RFC 6238, section 5.2, from memory: one step at most for what the way takes.
    moment = 1_900_000_020 + second
    monkeypatch.setattr(totp, "time", SimpleNamespace(time=lambda: float(moment)))
    TOTP.activate(clerk, SECRET)
    code = one_time_code(SECRET, moment + 30 * step)
    assert sign_in(code) is taken
    # The library's own memory of it ends before the code does.
    cache.clear()
    assert not sign_in(code)


def test_a_code_from_an_app_works_once_while_the_cache_is_away(
    clerk: Staff, monkeypatch: Any
) -> None:
    # What the office's cache answers while it is away: nobody else has set it.
    monkeypatch.setattr(cache, "add", lambda *_, **__: True)
    TOTP.activate(clerk, SECRET)
    code = one_time_code(SECRET, time.time())
    assert sign_in(code)
    assert not sign_in(code)
    assert not sign_in(f"{code[:3]} {code[3:]}")
    # Forgotten when it has long been invalid: the same six digits may come again.
    TryCount.objects.all().delete()
    monkeypatch.setattr(TOTP, "validate_code", lambda *_: True)
    assert sign_in(code)


def test_an_account_that_is_not_active_any_more_is_nobody_on_the_next_page(clerk: Staff) -> None:
    # Also where the account was closed past the action that ends its sign-ins.
    backend = StaffBackend()
    assert backend.get_user(clerk.pk) == clerk
    client = Client()
    client.force_login(clerk, backend="me_office.accounts.backends.StaffBackend")
    assert client.get("/cases/").status_code == 200
    Staff.objects.filter(pk=clerk.pk).update(is_active=False)
    assert backend.get_user(clerk.pk) is None
    assert client.get("/cases/").status_code == 302
    assert client.get("/api/cases/").status_code in {401, 403}
