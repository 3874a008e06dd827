"""Run the office as production does and look at it from outside: `make production`."""

from __future__ import annotations

import os
import sys
import tempfile
from argparse import ArgumentParser
from pathlib import Path

from playwright.sync_api import sync_playwright

from tests.browser import chromium
from tests.production import bucket, drill, faults, first_day, load, older, samples
from tests.production.office import Failed, Office
from tests.production.told import steps

PARTS = {
    "older": older.pull_up,
    "faults": faults.plant,
    "drill": drill.worst_day,
    "bucket": bucket.worst_day,
}


def main() -> int:
    """Do everything in order; return 1 at the first thing that is not as it should be."""
    parser = ArgumentParser(prog="python -m tests.production", description=__doc__)
    parser.add_argument("--only", choices=PARTS, help="only one part, set up bare")
    parser.add_argument("--home", type=Path, help="keep the office in this folder")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory(prefix="office-production-", dir="/tmp") as folder:
        office = Office(asked.home or Path(folder))
        try:
            if asked.only:
                first_day.set_up(office)
                PARTS[asked.only](office)
            else:
                _run(office)
        except (Failed, AssertionError) as error:
            print(f"FAILED: {error}", file=sys.stderr)
            return 1
        finally:
            office.stop()
    print("\n".join(f"{took:8.1f} s  {what}" for what, took in steps))
    return 0


def _run(office: Office) -> None:
    samples.check(office.home / "samples")
    first = first_day.set_up(office)
    # The line of work reads dates in the office's zone, as this process' settings say them.
    os.environ |= office.environment | {"DJANGO_SETTINGS_MODULE": "me_office.settings"}
    import django

    django.setup()
    program = chromium.find()
    if program is None:
        raise Failed(chromium.ADVICE)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=program, args=chromium.FLAGS)
        try:
            cases = first_day.work(office, browser, first, office.home)
            sessions = [
                f"{one['name']}={one['value']}"
                for context in browser.contexts
                for one in context.cookies()
                if one.get("name") == "sessionid"
            ]
        except Exception:
            _photograph(browser, office.home)
            raise
        finally:
            browser.close()
    paths = ["/", "/cases/", "/cases/?q=hallstead"]
    for case in cases:
        paths += [f"{case}/", f"{case}/history/", f"{case}/photographs/", f"{case}/scene/"]
    older.pull_up(office)
    drill.worst_day(office)
    faults.plant(office)
    load.rounds(office.address, sessions, paths, (20, 60, 120), 60)
    bucket.worst_day(office)


def _photograph(browser: object, home: Path) -> None:
    """Keep what the people saw when something went wrong."""
    for context in browser.contexts:  # type: ignore[attr-defined]
        for number, page in enumerate(context.pages):
            print(page.url, file=sys.stderr)
            page.screenshot(path=str(home / f"seen-{number}.png"), full_page=True)


if __name__ == "__main__":
    sys.exit(main())
