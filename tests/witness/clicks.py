"""Clicks and seconds from a set of exhibits to each answer, on ten exhibits of the demo office.

    python -m tests.witness.clicks http://127.0.0.1:8950

Beside an office that runs with the demonstration's cases. From a set's page each exhibit is opened
as a witness opens it; every answer that can be read then has cost that one click.
"""

from __future__ import annotations

import os
import sys
import tempfile
import time
from collections.abc import Iterator
from typing import Any

import django
from playwright.sync_api import Page, sync_playwright

from tests.browser import chromium


def measured(page: Page, name: str, numbers: tuple[int, ...]) -> Iterator[tuple[str, ...]]:
    """Yield a row for each exhibit and question: exhibit, question, clicks, seconds."""
    from tests.witness.asked import TWELVE, lacking, squeezed

    page.goto(f"/search/?q={name}")
    case = page.get_by_role("link", name=name).first.get_attribute("href").split("/")[2]
    page.goto(f"/cases/{case}/exhibits/")
    kept = page.request.get(f"/api/cases/{case}/exhibit-sets/").json()
    of = next(one for one in kept if one["request"] is None)["id"]
    exhibits = page.request.get(f"/api/cases/{case}/exhibit-sets/{of}/exhibits/").json()
    for exhibit in exhibits:
        if int(exhibit["number"]) not in numbers:
            continue
        page.goto(f"/cases/{case}/exhibits/{of}/")
        answers = page.request.get(f"/api/cases/{case}/exhibits/{exhibit['id']}/answers/").json()
        way = page.get_by_role("link", name=f"Answers to exhibit {exhibit['number']}", exact=True)
        begun = time.monotonic()
        way.click()
        page.wait_for_load_state("load")
        seconds = time.monotonic() - begun
        read = squeezed(page.locator("main").inner_text())
        away = lacking(answers, read)
        for question in TWELVE:
            clicks = f"not read: {away[question][0][:40]}" if question in away else "1"
            yield f"{name} {exhibit['number']}", question, clicks, f"{seconds:.1f}"


def rows(office: str) -> Iterator[tuple[str, ...]]:
    """Yield every row of the table from an office that runs."""
    from me_office.demo.office import PASSWORD
    from tests.witness.asked import SETS

    with sync_playwright() as playwright:
        started = playwright.chromium.launch(executable_path=chromium.find(), args=chromium.FLAGS)
        for who, name, numbers in SETS:
            session: Any = started.new_context(base_url=office, locale="en-US")
            page = session.new_page()
            page.goto("/sign-in/")
            page.fill("input[name=login]", who)
            page.fill("input[name=password]", PASSWORD)
            page.keyboard.press("Enter")
            page.wait_for_url(lambda url: "sign-in" not in url)
            yield from measured(page, name, numbers)
            session.close()
        started.close()


def main() -> None:
    """Print the table; the records' types are read from the office's own code."""
    with tempfile.TemporaryDirectory() as folder:
        os.environ |= {"DJANGO_SETTINGS_MODULE": "me_office.settings", "ME_DATA_DIR": folder}
        django.setup()
        print("| exhibit | question | clicks | seconds |\n| --- | --- | --- | --- |")
        for row in rows(sys.argv[1]):
            print(f"| {' | '.join(row)} |", flush=True)


if __name__ == "__main__":
    main()
