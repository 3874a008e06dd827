"""Narrow and enlarged windows, text spacing, fingers, the colors of the system, motion and paper.

WCAG 2.2: 1.4.1 (use of color), 1.4.10 (reflow), 1.4.12 (text spacing), 2.5.8 (target size).
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.urls import reverse
from playwright.sync_api import Page, expect

from cases.exhibits.models import ExhibitSet
from me_office.accounts.roles import Role
from tests.browser.visitor import enter, seen
from tests.builders import make_case, make_staff
from tests.exhibits.builders import link_contusion, make_exhibit, make_photograph, make_set

pytestmark = pytest.mark.django_db(transaction=True)
PAGES = (
    *("cases:case", "cases:scene", "cases:edit-scene", "cases:body", "findings:chart"),
    *("findings:organs", "evidence:photographs", "evidence:photographs-add", "evidence:series"),
    *("evidence:specimen-take", "custody:case", "review:report", "history:case-history"),
)
# What a reader may set for the text of any page, and nothing may be lost by it.
SPACING = """() => {
    const sheet = new CSSStyleSheet();
    sheet.replaceSync(`* { line-height: 1.5 !important; letter-spacing: 0.12em !important;
        word-spacing: 0.16em !important; } p { margin-block-end: 2em !important; }`);
    document.adoptedStyleSheets = [sheet];
}"""
# How far the page is wider than the window, and the end of which name is cut off.
LOST = """() => {
    const wide = document.documentElement.scrollWidth - document.documentElement.clientWidth;
    const cut = [...document.querySelectorAll(".head-name, .head-facts, h1, h2")]
        .filter((one) => getComputedStyle(one).overflowX === "hidden"
            && !one.classList.contains("hidden-words") && one.scrollWidth > one.clientWidth + 1)
        .map((one) => one.textContent.trim());
    const search = document.getElementById("search-words")?.getBoundingClientRect().width ?? 0;
    return [wide > 0 ? `${wide} px wider` : "", ...cut, search < 160 ? `search ${search} px` : ""]
        .filter(Boolean);
}"""
# What stands alone and is smaller than it has to be; a link in a sentence is as high as its line.
# It is measured once drawn: a cell far from sight is laid out only with the first frames.
SMALL = """async (least) => {
    const frame = () => new Promise((drawn) => requestAnimationFrame(drawn));
    await frame();
    await frame();
    const inSentence = (one) => one.localName === "a" && getComputedStyle(one).display === "inline"
        && [...one.parentElement.childNodes].some((near) => near.nodeType === 3
            && near.textContent.trim().length > 1);
    const box = (one) => (one.closest("label") ?? one).getBoundingClientRect();
    return [...document.querySelectorAll("main :is(a[href], button, summary, select, textarea, "
        + "input:not([type=hidden], [type=radio], [type=checkbox])), aside a[href]")]
        .filter((one) => one.checkVisibility({ visibilityProperty: true }) && !one.disabled)
        .filter((one) => !inSentence(one))
        .filter((one) => !one.closest(".row-title, .chart-work, .passage-words"))
        .filter((one) => box(one).height < least - 0.5 || box(one).width < least - 0.5)
        .map((one) => [one.textContent.trim().slice(0, 30), one.name, one.className,
            box(one).width, box(one).height].join(" "));
}"""
# Of what is chosen and of its neighbor: what is left without colors.
BARE = """(one) => {
    const said = getComputedStyle(one);
    return [said.outlineStyle, said.textDecorationLine, said.borderInlineStartColor].join(" ");
}"""


@pytest.fixture
def shown() -> ExhibitSet:
    """A set of one exhibit in a case whose decedent has a long name."""
    vasko = make_staff(Role.PATHOLOGIST, Role.INVESTIGATOR, name="Dr. I. Vasko")
    case = make_case(by=vasko, given_names="Maximiliane", family_name="Oberlechner-Wettersteiner")
    photograph = make_photograph(vasko, case, 1, graphic=False)
    link_contusion(vasko, case, photograph)
    made = make_set(vasko, case)
    make_exhibit(vasko, made, photograph, caption="Right chest, contusion with a long description")
    return made


def test_pages_lose_nothing_when_narrow_spaced_or_pressed_by_a_finger(
    new_page: Callable[..., Page], live_server: Any, shown: ExhibitSet
) -> None:
    page = new_page(viewport={"width": 320, "height": 640}, has_touch=True)
    enter(page, shown.created_by, live_server)
    exhibit_set = reverse("exhibits:set", args=[shown.case_id, shown.pk])
    addresses = [reverse(name, args=[shown.case_id]) for name in PAGES]
    lost: dict[str, list[str]] = {}
    small: dict[str, list[str]] = {}
    for address in ["/", *addresses, exhibit_set]:
        answer = page.goto(address, wait_until="domcontentloaded")
        assert answer is not None and answer.status == 200, address
        small[address] = page.evaluate(SMALL, 44)
        page.evaluate(SPACING)
        for width in (320, 640, 720):
            page.set_viewport_size({"width": width, "height": 450 if width == 720 else 640})
            lost[f"{address} at {width}"] = page.evaluate(LOST)
        page.set_viewport_size({"width": 320, "height": 640})
    assert {where: what for where, what in lost.items() if what} == {}
    assert {where: what for where, what in small.items() if what} == {}


def test_at_a_desk_what_is_chosen_is_told_without_color_and_a_picture_opens(
    page: Page, live_server: Any, shown: ExhibitSet
) -> None:
    enter(page, shown.created_by, live_server)
    small = {}
    for name in ("cases:case", "findings:organs", "evidence:series", "review:report"):
        page.goto(reverse(name, args=[shown.case_id]))
        small[name] = page.evaluate(SMALL, 24)
    assert {where: what for where, what in small.items() if what} == {}

    page.goto(reverse("custody:case", args=[shown.case_id]))
    page.emulate_media(forced_colors="active")
    current = page.get_by_role("navigation", name="Course of the case").get_by_role("link")
    step = current.and_(page.locator("[aria-current]"))
    assert step.evaluate(BARE) != current.first.evaluate(BARE)
    choice = page.get_by_role("navigation", name="Which items").get_by_role("link")
    chosen = choice.and_(page.locator("[aria-current]")).first
    other = choice.and_(page.locator(":not([aria-current])")).first
    assert chosen.evaluate(BARE) != other.evaluate(BARE)
    seen(page, "Dr. I. Vasko").first.click()
    pressed = page.get_by_role("button", name="Device setting")
    assert pressed.evaluate(BARE) != page.get_by_role("button", name="Dark").evaluate(BARE)
    page.emulate_media(forced_colors="none")

    page.goto(reverse("evidence:photographs", args=[shown.case_id]))
    assert page.evaluate(SMALL, 24) == []
    page.get_by_role("listitem").locator("img").first.click(position={"x": 60, "y": 30}, force=True)
    expect(page.get_by_role("heading", name="Photograph 1", exact=True)).to_be_visible()
