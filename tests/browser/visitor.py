"""What every browser test does: come in as somebody, and ask for barriers on the page."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any, Protocol
from urllib.parse import urlsplit

from axe_playwright_python.sync_playwright import Axe
from django.template import Template
from django.template.context import RequestContext
from django.test import Client
from django.test.signals import template_rendered
from playwright.sync_api import Locator, Page

from me_office.accounts.models import Staff

# axe-core's names for the levels A and AA of WCAG 2.0, 2.1 and 2.2, and for what it advises beyond.
STANDARDS = ("wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice")
# The rules as a file of the server's, which the browser keeps with all that it made of it.
RULES = "/static/rules-of-pages.js"
BRING = """(address) => new Promise((done, failed) => {
    const script = document.createElement("script");
    Object.assign(script, { src: address, onload: done, onerror: failed });
    document.head.append(script);
    script.remove();
})"""
# Only what is found comes back, not all that was looked at.
FOUND = """async (options) => (await axe.run(options)).violations.map(
    ({ id, nodes }) => [id, nodes.map(({ html }) => html.slice(0, 120))])"""


# Half of what the rule of contrast takes goes into reading the same few colors some thousand times.
EACH_COLOR_READ_ONCE = """() => {
    const { Color } = axe.commons.color;
    const read = Color.prototype.parseString;
    const known = new Map();
    Color.prototype.parseString = function (words) {
        if (!known.has(words)) {
            const { r, g, b, alpha } = read.call(this, words);
            known.set(words, { r, g, b, alpha });
        }
        return Object.assign(this, known.get(words));
    };
}"""


def rules_as_a_file() -> str:
    """Return what a page needs to be held against the rules."""
    return f"{Axe().axe_script}\n;({EACH_COLOR_READ_ONCE})();"


# Of which template the server last made the page at a path.
made_of: dict[str, str] = {}


def _note(template: Template, context: RequestContext, **_: object) -> None:
    if context.request is not None:
        made_of[context.request.path] = template.name or ""


template_rendered.connect(_note)


class Server(Protocol):
    """Anything with an address."""

    @property
    def url(self) -> str: ...


def enter(page: Page, staff: Staff, server: Server) -> None:
    """Sign somebody in without the sign-in page; all pages of the same session come in."""
    client = Client()
    client.force_login(staff)
    session = client.cookies["sessionid"].value
    page.context.add_cookies([{"name": "sessionid", "value": session, "url": server.url}])


def seen(page: Page, text: str | re.Pattern[str], *, exact: bool = False) -> Locator:
    """Find words on the page, and not where they are said to whoever hears it, a moment later."""
    return page.get_by_text(text, exact=exact).and_(page.locator(":not(#said *)"))


def barriers(page: Page, template: str, rules: Sequence[str] = STANDARDS) -> list[Any]:
    """Return what axe finds against rules or sets of rules: which rule, and where.

    One page of a template is looked at, as its others have the same barriers; test_barriers.py
    reads the names given here.
    """
    assert made_of[urlsplit(page.url).path] == template
    if not page.evaluate("'axe' in window"):
        page.evaluate(BRING, RULES)
    # A selector of each node that was looked at costs a fifth of it, and nobody asks for one.
    options = {"runOnly": list(rules), "resultTypes": ["violations"], "selectors": False}
    found: list[Any] = page.evaluate(FOUND, options)
    return [(rule, html[:3]) for rule, html in found]


def barriers_in_both(page: Page, template: str) -> list[Any]:
    """Return what axe finds in the light page and, of what is its own, the colors, in the dark."""
    found = barriers(page, template)
    page.emulate_media(color_scheme="dark")
    found += [("dark", *one) for one in barriers(page, template, ["color-contrast"])]
    page.emulate_media(color_scheme="light")
    return found
