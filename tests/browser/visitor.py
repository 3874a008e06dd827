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
# Only what is found comes back, not all that was looked at, and which looks have passed.
FOUND = """async ([options, passed]) => {
    axe.passed = new Set(JSON.parse(passed));
    const { violations } = await axe.run(options);
    const found = violations.map(
        ({ id, nodes }) => [id, nodes.map(({ html }) => html.slice(0, 120))]);
    return [found, JSON.stringify([...axe.passed])];
}"""
# Texts that look alike, on what looks alike, differ in nothing that the rule of contrast asks: once
# one of them has passed, on this page or another, the others of the same look are not measured.
# What has its place by itself may lie over anything, and is measured on each page unless it hides
# what it lies on; so is all that has not passed. The rule passes over what is no field and has no
# words of its own, but only after it has looked for labels everywhere.
EACH_LOOK_ONCE = """() => {
    const rule = axe._audit.rules.find(({ id }) => id === "color-contrast");
    const check = axe._audit.checks["color-contrast"];
    // What a text lies on, of each that it lies in, and what the text is itself.
    const BEHIND = {
        backgroundColor: "rgba(0, 0, 0, 0)", backgroundImage: "none", opacity: "1",
        filter: "none", mixBlendMode: "normal", clipPath: "none", gridRow: "auto",
    };
    const USUAL = Object.values(BEHIND);
    const OWN = ["color", "textShadow", "fontSize", "fontWeight"];
    const MAY_HAVE_WORDS = "input, select, textarea, slot";
    const applies = rule.matches;
    let behind, onlyHere;
    const behindOf = (element) => {
        if (!element) return "";
        if (!behind.has(element)) {
            const style = getComputedStyle(element);
            const outer = behindOf(element.parentElement);
            const own = Object.keys(BEHIND).map((name) => style[name]);
            const apart = ["absolute", "fixed", "sticky"].includes(style.position);
            const [color, ...others] = own.map((one, i) => one === USUAL[i]);
            const hides = own[0].startsWith("rgb(") && others.slice(0, -1).every(Boolean);
            const plain = color && others.every(Boolean);
            const here = apart && !hides ? `here ${behind.size}` : plain ? "" : own.join(" ");
            behind.set(element, here ? `${outer} / ${here}` : outer);
        }
        return behind.get(element);
    };
    const lookOf = (element) => {
        const style = getComputedStyle(element);
        return `${OWN.map((name) => style[name]).join(" ")} on${behindOf(element)}`;
    };
    const hasWords = ({ childNodes }) => [...childNodes].some(
        (one) => one.nodeType === Node.TEXT_NODE && one.data.trim());
    const asking = { data() {}, relatedNodes() {} };
    const passes = (element, virtual, context) =>
        check.evaluate.call(asking, element, check.options, virtual, context) === true;
    rule.matches = function (element, virtual, context) {
        const words = hasWords(element);
        if (!words && !element.shadowRoot && !element.matches(MAY_HAVE_WORDS)) return false;
        const look = words && lookOf(element);
        const passed = look && (look.includes("/ here") ? onlyHere : axe.passed);
        if (look && passed.has(look)) return false;
        if (!applies.call(this, element, virtual, context)) return false;
        if (look && passes(element, virtual, context)) passed.add(look);
        return !(look && passed.has(look));
    };
    const run = axe.run;
    axe.run = (...asked) => {
        [behind, onlyHere] = [new Map(), new Set()];
        return run(...asked);
    };
}"""


def rules_as_a_file() -> str:
    """Return what a page needs to be held against the rules."""
    return f"{Axe().axe_script}\n;({EACH_LOOK_ONCE})();"


# The looks of texts, of any page, that have passed the rule of contrast.
passed_looks = "[]"
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
    global passed_looks
    page.wait_for_load_state("domcontentloaded")
    assert made_of[urlsplit(page.url).path] == template
    if not page.evaluate("'axe' in window"):
        page.evaluate(BRING, RULES)
    # A selector of each node that was looked at costs a fifth of it, and nobody asks for one.
    options = {"runOnly": list(rules), "resultTypes": ["violations"], "selectors": False}
    found, passed_looks = page.evaluate(FOUND, [options, passed_looks])
    return [(rule, html[:3]) for rule, html in found]


def barriers_in_both(page: Page, template: str) -> list[Any]:
    """Return what axe finds in the light page and, of what is its own, the colors, in the dark."""
    found = barriers(page, template)
    page.emulate_media(color_scheme="dark")
    found += [("dark", *one) for one in barriers(page, template, ["color-contrast"])]
    page.emulate_media(color_scheme="light")
    return found
