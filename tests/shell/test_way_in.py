"""Sign-in, lock-out, second factor, recovery codes, and what stays closed.

The codes are made here from RFC 6238 (TOTP) and RFC 4226 (HOTP), not by the library under test.
"""

from __future__ import annotations

import base64
import hashlib
import hmac
import re
import struct
import time
from typing import Any

import pytest
from django.core.cache import cache
from django.test import Client

from me_office.accounts.models import Staff, TryCount
from me_office.accounts.roles import Role
from tests.builders import PASSWORD, make_staff, with_password

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _fresh_counters_and_a_quick_hash(settings: Any) -> None:
    cache.clear()
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]


@pytest.fixture
def clerk() -> Staff:
    return with_password(make_staff(Role.RECORDS_CLERK, username="ostrander", name="R. Ostrander"))


def one_time_code(secret: str, moment: float) -> str:
    """RFC 6238 with its defaults: SHA-1, 30 seconds, six digits."""
    key = base64.b32decode(secret + "=" * (-len(secret) % 8))
    digest = hmac.new(key, struct.pack(">Q", int(moment // 30)), hashlib.sha1).digest()
    offset = digest[-1] & 0xF
    number = struct.unpack(">I", digest[offset : offset + 4])[0] & 0x7FFFFFFF
    return f"{number % 10**6:06d}"


def test_the_codes_of_this_test_are_those_of_the_standard() -> None:
    # RFC 6238, appendix B, SHA-1, shortened to six digits.
    secret = base64.b32encode(b"12345678901234567890").decode()
    assert one_time_code(secret, 59) == "287082"
    assert one_time_code(secret, 1111111109) == "081804"


def sign_in(client: Client, password: str = PASSWORD, follow: bool = True) -> Any:
    return client.post("/sign-in/", {"login": "ostrander", "password": password}, follow=follow)


def test_a_visitor_is_sent_to_the_one_sign_in_page(client: Client) -> None:
    answer = client.get("/cases/")
    assert answer.status_code == 302
    assert answer["Location"] == "/sign-in/?next=/cases/"


def test_the_library_s_own_address_leads_to_the_sign_in_page(client: Client) -> None:
    answer = client.get("/account/login/?next=/cases/")
    assert answer["Location"] == "/sign-in/?next=/cases/"


def test_signing_in_leads_to_what_was_asked_for(client: Client, clerk: Staff) -> None:
    answer = client.post("/sign-in/?next=/account/", {"login": "ostrander", "password": PASSWORD})
    assert answer.status_code == 302
    assert answer["Location"] == "/account/"


def test_a_wrong_password_says_so_and_not_which_half_is_wrong(client: Client, clerk: Staff) -> None:
    page = sign_in(client, "wrong").content.decode()
    assert "The user name or password is incorrect." in page
    assert "Not signed in" in page


def test_after_five_wrong_passwords_a_stranger_waits_even_with_the_right_one(
    client: Client, clerk: Staff
) -> None:
    for _ in range(5):
        sign_in(client, "wrong")
    page = sign_in(client).content.decode()
    assert re.search(r"Too many wrong passwords. Wait \d+ seconds, then try again.", page)
    assert "_auth_user_id" not in client.session


def test_a_closed_account_does_not_get_in(client: Client, clerk: Staff) -> None:
    clerk.is_active = False
    clerk.save()
    answer = sign_in(client)
    assert "_auth_user_id" not in client.session
    assert "closed" in answer.content.decode()


@pytest.mark.parametrize("address", ["signup/", "email/", "password/reset/", "password/set/"])
def test_nobody_signs_up_or_comes_in_by_mail(client: Client, clerk: Staff, address: str) -> None:
    client.force_login(clerk)
    assert client.get(f"/account/{address}").status_code == 404


def set_up_second_factor(client: Client) -> str:
    client.post("/account/reauthenticate/", {"password": PASSWORD})
    page = client.get("/account/2fa/totp/activate/").content.decode()
    secret = re.search(r'second-factor-key">\s*([A-Z2-7]+)', page)
    assert secret
    answer = client.post(
        "/account/2fa/totp/activate/", {"code": one_time_code(secret[1], time.time())}
    )
    assert answer.status_code == 302
    assert answer["Location"] == "/account/2fa/recovery-codes/"
    return secret[1]


def test_a_second_factor_is_set_up_and_then_asked_for(client: Client, clerk: Staff) -> None:
    sign_in(client)
    secret = set_up_second_factor(client)
    client.post("/sign-out/")
    # A code works once; the next of the same half minute is this test's own.
    cache.clear()
    TryCount.objects.all().delete()
    answer = sign_in(client)
    page = answer.content.decode()
    assert "Enter the code your app shows now" in page
    assert "_auth_user_id" not in client.session
    client.post("/account/2fa/authenticate/", {"code": one_time_code(secret, time.time())})
    assert client.session["_auth_user_id"] == str(clerk.pk)


def test_a_wrong_code_does_not_let_in(client: Client, clerk: Staff) -> None:
    sign_in(client)
    set_up_second_factor(client)
    client.post("/sign-out/")
    sign_in(client)
    answer = client.post("/account/2fa/authenticate/", {"code": "abcdef"})
    assert "Not confirmed" in answer.content.decode()
    assert "_auth_user_id" not in client.session


def test_who_has_no_code_at_hand_can_start_the_sign_in_again(client: Client, clerk: Staff) -> None:
    sign_in(client)
    set_up_second_factor(client)
    client.post("/sign-out/")
    sign_in(client)
    client.post("/account/logout/", {"next": "/sign-in/"})
    page = client.get("/sign-in/").content.decode()
    assert 'name="password"' in page


def test_a_recovery_code_works_once(client: Client, clerk: Staff) -> None:
    sign_in(client)
    set_up_second_factor(client)
    page = client.get("/account/2fa/recovery-codes/").content.decode()
    codes = re.findall(r'<li class="digest">([^<]+)</li>', page)
    assert len(codes) == 10
    client.post("/sign-out/")
    sign_in(client)
    client.post("/account/2fa/authenticate/", {"code": codes[0]})
    assert client.session["_auth_user_id"] == str(clerk.pk)
    client.post("/sign-out/")
    sign_in(client)
    client.post("/account/2fa/authenticate/", {"code": codes[0]})
    assert "_auth_user_id" not in client.session


def test_where_it_is_required_nothing_else_opens_before_it_is_set_up(
    client: Client, clerk: Staff, settings: Any
) -> None:
    settings.REQUIRE_SECOND_FACTOR = True
    sign_in(client)
    answer = client.get("/")
    assert answer.status_code == 302
    assert answer["Location"] == "/account/2fa/totp/activate/"


def test_the_account_page_says_how_the_person_signs_in(client: Client, clerk: Staff) -> None:
    sign_in(client)
    page = client.get("/account/").content.decode()
    assert "Not set up." in page
    set_up_second_factor(client)
    page = client.get("/account/").content.decode()
    assert "In use." in page
    assert "10 left" in page


def test_a_password_is_changed_with_the_old_one(client: Client, clerk: Staff) -> None:
    sign_in(client)
    new = "two herons at the weir"
    entry = {"oldpassword": "wrong", "password1": new, "password2": new}
    page = client.post("/account/password/change/", entry).content.decode()
    assert "This is not your current password." in page
    client.post("/account/password/change/", {**entry, "oldpassword": PASSWORD})
    clerk.refresh_from_db()
    assert clerk.check_password(new)


def test_how_one_signs_in_is_changed_only_after_the_password_again(
    client: Client, clerk: Staff
) -> None:
    sign_in(client)
    answer = client.get("/account/2fa/totp/activate/", follow=True)
    page = answer.content.decode()
    assert "Confirm your identity" in page
    assert "Forgot your password?" not in page


@pytest.mark.parametrize(
    "address",
    [
        "/account/2fa/",
        "/account/2fa/recovery-codes/",
        "/account/2fa/recovery-codes/generate/",
        "/account/2fa/totp/deactivate/",
        "/account/reauthenticate/",
        "/account/2fa/reauthenticate/",
        "/account/password/change/",
        "/sign-out/",
    ],
)
def test_every_page_of_the_account_is_the_office_s_own(
    client: Client, clerk: Staff, address: str
) -> None:
    sign_in(client)
    set_up_second_factor(client)
    answer = client.get(address, follow=True)
    assert answer.status_code == 200
    assert "shell/css/every_page.css" in answer.content.decode()
