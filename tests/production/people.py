"""Five people set up their accounts in a real browser, each with a second factor."""

from __future__ import annotations

import hashlib
import hmac
import re
import struct
import time
from base64 import b32decode
from dataclasses import dataclass

from playwright.sync_api import Browser, Page, expect

PASSWORD = "seven herons at dusk, and one more"
STAFF = (
    ("quill", "L. Quill", "investigator"),
    ("vasko", "Dr. I. Vasko", "pathologist"),
    # The chief is a pathologist too: only a physician signs the review.
    ("thorne", "M. Thorne", "supervisor, pathologist"),
    ("ostrander", "R. Ostrander", "records clerk"),
)


@dataclass
class Person:
    """Somebody who can sign in."""

    username: str
    password: str
    secret: str = ""
    used: int = 0

    def code(self) -> str:
        """Return a code of the time (RFC 6238: SHA-1, 30 s, six digits) that was not used yet."""
        while (step := int(time.time()) // 30) <= self.used:
            time.sleep(0.5)
        self.used = step
        digest = hmac.new(b32decode(self.secret), struct.pack(">Q", step), hashlib.sha1).digest()
        (number,) = struct.unpack_from(">I", digest, digest[-1] & 15)
        return f"{(number & 0x7FFFFFFF) % 10**6:06d}"


def enter(page: Page, person: Person, address: str = "/") -> Page:
    """Sign in with the password, and a code where a second factor is set up."""
    page.goto(address)
    page.get_by_label("User name").fill(person.username)
    page.get_by_label("Password").fill(person.password)
    page.get_by_role("button", name="Sign in").click()
    if person.secret:
        # A code is made once it can be typed: it holds for half a minute.
        asked = page.get_by_label("Code")
        asked.wait_for()
        asked.fill(person.code())
        page.get_by_role("button", name="Sign in").click()
    return page


def begin(page: Page, person: Person) -> Page:
    """Sign in for the first time: an own password, then a second factor."""
    enter(page, person)
    expect(page).to_have_url(re.compile("/account/password/change/"))
    page.get_by_label("Current password").fill(person.password)
    page.get_by_label("New password", exact=True).fill(PASSWORD)
    page.get_by_label("Repeat new password").fill(PASSWORD)
    page.get_by_role("button", name="Change password").click()
    person.password = PASSWORD
    page.goto("/")
    expect(page).to_have_url(re.compile("/account/2fa/totp/activate/|/reauthenticate/"))
    if "reauthenticate" in page.url:
        page.get_by_label("Password").fill(PASSWORD)
        page.get_by_role("button", name="Confirm").click()
    secret = page.locator(".second-factor-key").inner_text().replace(" ", "")
    person.secret = secret + "=" * (-len(secret) % 8)
    page.get_by_label("2. Enter the code the app shows").fill(person.code())
    page.get_by_role("button", name="Use this second factor").click()
    page.goto("/")
    expect(page.locator("h1")).to_be_visible()
    return page


def open_account(page: Page, username: str, name: str, roles: str) -> Person:
    """Open somebody's account as the administrator; return the person with the first password."""
    page.goto("/people/")
    page.get_by_role("link", name="Open an account").click()
    page.get_by_label("User name").fill(username)
    page.get_by_label("Name as printed").fill(name)
    for role in roles.split(", "):
        page.get_by_label(role, exact=True).check()
    page.get_by_label("Reason").fill("Begins on Monday")
    page.get_by_label("Your password").fill(PASSWORD)
    page.get_by_role("button", name="Open the account").click()
    shown = page.locator(".first-password")
    expect(shown).to_be_visible()
    # Its scripts take the draft of the form away, which the next account would find otherwise.
    page.wait_for_load_state()
    return Person(username, shown.inner_text())


def everybody(browser: Browser, address: str, first: Person) -> dict[str, Person]:
    """Let the administrator begin and open four accounts, and each of the four begin."""

    def page() -> Page:
        return browser.new_context(
            base_url=address, ignore_https_errors=True, locale="en-US"
        ).new_page()

    birch = begin(page(), first)
    people = {
        username: open_account(birch, username, name, roles) for username, name, roles in STAFF
    }
    for person in people.values():
        begin(page(), person).context.close()
    birch.context.close()
    return people | {first.username: first}
