"""The chart as a page: finding its parts, and marks by the mouse."""

from __future__ import annotations

import re
from typing import Any

from playwright.sync_api import Page, expect

from findings.models import Examination


def open_chart(page: Page, examination: Examination, asked: str = "") -> None:
    page.goto(f"/cases/{examination.case_id}/chart/{asked}")
    ready(page)


def ready(page: Page) -> None:
    """Wait until the body's surface is there to be picked."""
    expect(page.locator("[data-widget=body-chart][data-ready]")).to_be_attached()


def chart(page: Page) -> Any:
    return page.get_by_role("application", name=re.compile("^Body chart"))


def on_screen(page: Page, u: float, v: float) -> tuple[float, float]:
    """Where a page point of the drawing lies on the screen."""
    at = page.evaluate(
        """([u, v]) => {
            const svg = document.querySelector("[role=application] svg");
            const at = new DOMPoint(u, v).matrixTransform(svg.getScreenCTM());
            return [at.x, at.y];
        }""",
        [u, v],
    )
    return at[0], at[1]


def draw(page: Page, *points: tuple[float, float]) -> None:
    page.mouse.move(*on_screen(page, *points[0]))
    page.mouse.down()
    for point in points[1:]:
        page.mouse.move(*on_screen(page, *point), steps=2)
    page.mouse.up()


def placing(page: Page) -> Any:
    return page.locator("[data-widget=placing-words]")


def record(page: Page, term: str) -> None:
    page.get_by_label("Term").fill(term)
    page.get_by_role("button", name="Record the finding").click()
    expect(page.get_by_role("heading", name=re.compile(rf"\d+ · {term}"))).to_be_visible()


def marks(page: Page) -> str:
    return page.locator("input[name=marks]").input_value()


def width_of(mark: dict[str, Any]) -> float:
    across = [point[0] for point in mark["points"]]
    return float(max(across) - min(across))
