"""Chromium, by Playwright, as in tests/browser."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from playwright.sync_api import Error, Page, Playwright, sync_playwright

from tests.browser import chromium
from tests.engines.engine import NotInstalled, PageGone

GOING = ("Execution context was destroyed", "Cannot find context", "navigation")


class Chromium:
    """The engine of tests/browser."""

    name = "chromium"
    version = ""
    page: Page

    def __init__(self) -> None:
        self._playwright: Playwright | None = None
        self._complaints: list[str] = []

    def start(self, folder: Path) -> None:
        program = chromium.find()
        if program is None:
            raise NotInstalled("apt-get install chromium-headless-shell")
        self._playwright = sync_playwright().start()
        browser = self._playwright.chromium.launch(executable_path=program, args=chromium.FLAGS)
        self.version = browser.version
        self.page = browser.new_page(locale="en-US", reduced_motion="reduce")
        self.page.on("pageerror", lambda error: self._complaints.append(str(error)))

    def stop(self) -> None:
        if self._playwright is not None:
            self._playwright.stop()
            self._playwright = None

    def go(self, url: str) -> None:
        self.page.goto(url)

    def run(self, function: str, *given: Any) -> Any:
        try:
            return self.page.evaluate(f"(given) => ({function})(...given)", list(given))
        except Error as error:
            if any(word in error.message for word in GOING):
                raise PageGone from error
            raise

    def click(self, x: float, y: float) -> None:
        self.page.mouse.click(x, y)

    def press(self, keys: str) -> None:
        self.page.keyboard.press(keys)

    def write(self, text: str) -> None:
        self.page.keyboard.type(text)

    def choose_files(self, find: str, given: list[Any], files: list[Path]) -> None:
        found = self.page.evaluate_handle(f"(given) => ({find})(...given)", given).as_element()
        assert found is not None
        found.set_input_files(files)

    def size(self, width: int, height: int) -> None:
        self.page.set_viewport_size({"width": width, "height": height})

    def picture(self) -> bytes:
        return self.page.screenshot()

    def complaints(self) -> list[str]:
        # The events of the page come while it is asked something.
        self.page.evaluate("0")
        told, self._complaints = self._complaints, []
        return told
