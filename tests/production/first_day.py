"""The first day: set up, five people, one case from the first call to the released packet."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

from playwright.sync_api import Browser, Page

from tests.production.office import Failed, Office
from tests.production.people import PASSWORD, Person, enter, everybody
from tests.production.told import told

PICTURES = 30


def set_up(office: Office) -> Person:
    """Follow the page up to the first administrator; return who that is."""
    with told("servers over TCP, two plain roles"):
        office.start_servers()
        office.make_roles()
    with told("migrate, grant_app_role, collectstatic"):
        office.set_up()
    with told("web, workers, beat, proxy"):
        office.start()
    shown = office.manage("first_administrator", "birch", "A. Birch")
    password = re.search(r"Password:\s+(\S+)", shown)
    if password is None:
        raise Failed(f"no password was shown: {shown}")
    return Person("birch", password.group(1))


def work(office: Office, browser: Browser, first: Person, folder: Path) -> list[str]:
    """Let the five begin, and four of them do a whole case with thirty photographs more.

    Returns the addresses of the two cases.
    """
    from tests.browser import test_whole_line as line

    with told("five people, each with a second factor"):
        people = everybody(browser, office.address, first)

    def new_page(**options: object) -> Page:
        context = browser.new_context(
            base_url=office.address, ignore_https_errors=True, locale="en-US",
            viewport={"width": 1440, "height": 900}, **options,
        )  # fmt: skip
        return context.new_page()

    _as_here(line, people)
    with told("one case from the first call to the released packet"):
        address, packet = line.whole_line(new_page)
        line.check_report(line.check_bag(packet, folder / "packet"))
    with told(f"{PICTURES} photographs more, in a second case"):
        other = _photographs(line, new_page, people)
    print(f"    {address}: a packet of {len(packet):,} bytes, checked by the bagit library")
    return [address, other]


def _as_here(line: object, people: dict[str, Person]) -> None:
    """Let the line's people sign in as this office's do: with a second factor."""

    def sign_in(page: Page, username: str) -> Page:
        enter(page, people[username])
        page.get_by_role("search").wait_for()
        return page

    line.PASSWORD, line.sign_in = PASSWORD, sign_in  # type: ignore[attr-defined]


def _photographs(line: object, new_page: Callable[..., Page], people: dict[str, Person]) -> str:
    quill = line.sign_in(new_page(), "quill")  # type: ignore[attr-defined]
    address = line.investigate(quill)  # type: ignore[attr-defined]
    quill.goto(f"{address}/photographs/add/")
    quill.get_by_label("Files", exact=True).set_input_files(
        [line.picture("scene_yard", number) for number in range(10, 10 + PICTURES)]  # type: ignore[attr-defined]
    )
    line.choose(quill, "scene", of="Place")  # type: ignore[attr-defined]
    line.choose(quill, "overview", of="View")  # type: ignore[attr-defined]
    quill.get_by_label("What it shows").fill("The grain store")
    quill.get_by_role("button", name=f"Add {PICTURES} photographs").click()
    quill.get_by_text(f"{PICTURES} added").first.wait_for(timeout=120_000)
    return str(address)
