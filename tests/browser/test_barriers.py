"""Which pages are looked at for barriers: one of each template, and the others by name."""

from __future__ import annotations

import re
from pathlib import Path

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

from tests.browser.visitor import EACH_COLOR_READ_ONCE, FOUND

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
    "cases/not_done.html",
    "cases/place.html",
    "cases/readers.html",
    "cases/remove_team_member.html",
    "cases/report.html",
    "cases/restriction.html",
    "cases/scene.html",
    "cases/search.html",
    "cases/void.html",
    "clocks/clock.html",
    "clocks/clocks.html",
    "computing/docs.html",
    "computing/void.html",
    "court/office_requests.html",
    "court/request_form.html",
    "court/requests.html",
    "court/withdraw.html",
    "custody/hand_over.html",
    "custody/receipt.html",
    "evidence/move_part.html",
    "evidence/property_item.html",
    "evidence/receive_specimen.html",
    "evidence/record_kit.html",
    "evidence/specimen.html",
    "evidence/take_part_out.html",
    "evidence/withdraw.html",
    "findings/open.html",
    "findings/void_term.html",
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
    "people/final_act.html",
    "people/open_account.html",
    "people/password.html",
    "people/people.html",
    "people/person.html",
    "remains/cremation.html",
    "remains/decide.html",
    "remains/disposition.html",
    "remains/hold.html",
    "remains/lift.html",
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


PALE = """<!doctype html><html lang="en"><title>Pale</title><main><h1>Dark enough</h1>
<p style="color: #999">Pale</p>
<p style="color: rgb(0 0 0 / 40%); background: #ddd">Half there</p>
<p style="color: #000; background: #eee">Dark</p>
<p style="color: hsl(200 50% 60%); opacity: 0.7">Pale blue</p></main></html>"""


def test_a_color_that_is_read_once_is_judged_as_one_that_is_read_each_time(page: Page) -> None:
    page.set_content(PALE)
    page.evaluate(Axe().axe_script)
    options = {"runOnly": ["color-contrast"], "resultTypes": ["violations"], "selectors": False}
    each_time = page.evaluate(FOUND, options)
    page.evaluate(EACH_COLOR_READ_ONCE)
    assert page.evaluate(FOUND, options) == page.evaluate(FOUND, options) == each_time
    [(_, places)] = each_time
    assert [place.partition(">")[2] for place in places] == [
        "Pale</p>",
        "Half there</p>",
        "Pale blue</p>",
    ]
