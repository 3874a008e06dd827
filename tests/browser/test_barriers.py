"""Which pages are looked at for barriers: one of each template, and the others by name."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Literal

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

from tests.browser.visitor import EACH_LOOK_ONCE, FOUND

THEMES: tuple[Literal["light", "dark"], ...] = ("light", "dark")
HERE = Path(__file__).resolve().parent
ROOT = HERE.parents[1]
FRAMES = {"shell/page.html", "shell/case_page.html"}
# No test looks at these with axe. A new page is looked at; nothing is added here.
NOT_LOOKED_AT = {
    "account/account_inactive.html",
    "account/logout.html",
    "account/password_change.html",
    "account/reauthenticate.html",
    "answers/ask.html",
    "answers/certificate.html",
    "answers/page_series.html",
    "cases/add_team_member.html",
    "cases/assignment.html",
    "cases/body.html",
    "cases/case.html",
    "cases/edit_receipt.html",
    "cases/edit_report.html",
    "cases/edit_scene.html",
    "cases/history.html",
    "cases/jurisdiction.html",
    "cases/list.html",
    "cases/list_readers.html",
    "cases/log_report.html",
    "cases/place.html",
    "cases/readers.html",
    "cases/report.html",
    "cases/restriction.html",
    "cases/scene.html",
    "cases/search.html",
    "clocks/clock.html",
    "clocks/clocks.html",
    "computing/docs.html",
    "court/office_requests.html",
    "court/request_form.html",
    "court/requests.html",
    "custody/hand_over.html",
    "custody/receipt.html",
    "evidence/move_part.html",
    "evidence/property_item.html",
    "evidence/receive_specimen.html",
    "evidence/record_kit.html",
    "evidence/specimen.html",
    "evidence/take_part_out.html",
    "findings/open.html",
    "fixity/store.html",
    "fixity/store_resolve.html",
    "gaps/set_aside.html",
    "measuring/use.html",
    "mfa/authenticate.html",
    "mfa/index.html",
    "mfa/reauthenticate.html",
    "mfa/recovery_codes/generate.html",
    "mfa/recovery_codes/index.html",
    "mfa/totp/activate_form.html",
    "mfa/totp/deactivate_form.html",
    "packets/packets.html",
    "packets/release.html",
    "people/change_account.html",
    "people/open_account.html",
    "people/password.html",
    "people/people.html",
    "people/person.html",
    "remains/cremation.html",
    "remains/decide.html",
    "remains/disposition.html",
    "remains/hold.html",
    "remains/release.html",
    "remains/remains.html",
    "remains/return.html",
    "results/record.html",
    "results/result.html",
    "results/results.html",
    "review/addenda.html",
    "review/amend.html",
    "review/close.html",
    "review/reopen.html",
    "review/report.html",
    "shell/denied.html",
    "shell/not_found.html",
    "shell/refused.html",
    "shell/server_error.html",
}


def pages() -> set[str]:
    """Return the templates of whole pages, by the names that views use."""
    found = set()
    for app in ("me_office", "cases", "evidence", "findings"):
        for path in (ROOT / app).rglob("templates/**/*.html"):
            name = path.as_posix().rpartition("/templates/")[2]
            whole = re.search("{% extends |<!doctype", path.read_text(), re.IGNORECASE)
            if whole and not path.name.startswith("_") and name not in FRAMES:
                found.add(name)
    return found


def looked_at() -> set[str]:
    """Return the templates that tests name; `barriers` holds the page against the name."""
    tests = [path.read_text() for path in HERE.rglob("test_*.py") if path != Path(__file__)]
    return set(re.findall(r'"([a-z_]+/[a-z_]+\.html)"', "\n".join(tests)))


def test_every_page_is_looked_at_for_barriers_or_named_here() -> None:
    assert pages() - looked_at() == NOT_LOOKED_AT
    assert looked_at() <= pages()


PALE = """<!doctype html><html lang="en"><title>Pale</title>
<style>
  :root { color-scheme: light dark; background: light-dark(#fff, #111); }
  .lying { position: absolute; inset-block-start: 0; color: light-dark(#444, #fff); }
  .hides { background: light-dark(#fff, #111); }
  .veils { background: rgb(255 255 255 / 10%); }
  .over { position: relative; block-size: 4rem; }
  .gray { background: #777; }
  .over div { block-size: 4rem; }
  .turns { color: light-dark(#000, #444); }
  .pales { color: light-dark(#bbb, #fff); }
</style>
<main><h1>Dark enough</h1>
<p style="color: #999">Pale at noon</p> <p>Read</p> <p>Read as well</p>
<p style="color: #777; background: #fff">I</p> <p style="color: #767676; background: #fff">It</p>
<p style="color: #777; background: #fff">Too pale by a shade</p>
<p style="color: rgb(0 0 0 / 40%); background: #ddd">Half there</p>
<p style="color: #000; background: #eee">Dark</p>
<p style="color: hsl(200 50% 60%); opacity: 0.7">Pale blue</p>
<section><p>Read a third time</p></section>
<section class="gray"><p>Read, on gray</p> <p>Read, on gray, again</p></section>
<section style="opacity: 0.3"><p>Read, through a veil</p></section>
<section class="over"><p class="lying">Lies on the page</p></section>
<section class="over"><div class="gray"></div><p class="lying">Lies on gray</p></section>
<section class="over"><div class="gray"></div><p class="lying hides">Hides the gray</p></section>
<section class="over"><p class="lying veils">Veils the page</p></section>
<section class="over"><div class="gray"></div><p class="lying veils">Veils the gray</p></section>
<section class="over"><p class="lying hides pales">Hides all, and is pale by day</p></section>
<input aria-label="Pale" value="Pale in a field" style="color: #999; background: #bbb">
<p class="turns">Gone by night</p> <p class="turns">Gone as well</p>
<section style="block-size: 0; overflow: hidden"><p class="pales">Folded away</p></section>
<section><p class="pales">Gone by day in here</p></section>
<p class="pales">Gone by day</p> <p class="pales">Gone by day as well</p>
<label><input disabled> <span class="pales">Not in use</span></label>
</main></html>"""


def test_looks_that_are_measured_once_are_judged_as_if_each_were_measured(page: Page) -> None:
    page.set_content(PALE)
    page.evaluate(Axe().axe_script)
    options = {"runOnly": ["color-contrast"], "resultTypes": ["violations"], "selectors": False}
    each_time = {}
    for theme in THEMES:
        page.emulate_media(color_scheme=theme)
        each_time[theme], _ = page.evaluate(FOUND, [options, "[]"])
    page.evaluate(EACH_LOOK_ONCE)
    found, passed = {}, "[]"
    for theme in (*THEMES, *THEMES):
        page.emulate_media(color_scheme=theme)
        again, passed = page.evaluate(FOUND, [options, passed])
        assert again == each_time[theme]
        [(_, places)] = each_time[theme]
        found[theme] = [place.partition(">")[2].partition("<")[0] for place in places]
    assert len(set(json.loads(passed))) == len(json.loads(passed)) > 5
    always, field = ["Too pale by a shade", "Half there", "Pale blue"], ""
    assert found["light"] == [
        "Pale at noon", *always, "Read, through a veil", "Lies on gray",
        "Veils the gray", "Hides all, and is pale by day", field,
        "Gone by day in here", "Gone by day", "Gone by day as well",
    ]  # fmt: skip
    assert found["dark"] == [
        *always, "Read, on gray", "Read, on gray, again", "Read, through a veil", "Lies on gray",
        "Veils the gray", field, "Gone by night", "Gone as well",
    ]  # fmt: skip
