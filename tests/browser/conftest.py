"""A real browser for whole jobs: pages are found by role and label, never by class."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from django.contrib.staticfiles.handlers import StaticFilesHandlerMixin
from django.http import HttpRequest
from django.http.response import HttpResponseBase
from playwright.sync_api import Browser, BrowserContext, ConsoleMessage, Page, sync_playwright

from tests.browser import chromium

DESK = {"width": 1440, "height": 900}
TABLET = {"width": 1024, "height": 1366}
PATIENCE_MS = 15_000


@pytest.fixture(scope="session", autouse=True)
def _orm_beside_the_browser() -> Iterator[None]:
    """Let tests read the database while Playwright's event loop runs in the same thread."""
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "1"
    yield
    del os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"]


@pytest.fixture(scope="session", autouse=True)
def _static_files_are_asked_for_once() -> Iterator[None]:
    """Let a browser keep the static files for as long as its session, as it does in an office.

    The server of a test says nothing of it, and the browser asks for each file on each page.
    """
    plain = StaticFilesHandlerMixin.serve

    def serve(self: StaticFilesHandlerMixin, request: HttpRequest) -> HttpResponseBase:
        answer = plain(self, request)
        answer["Cache-Control"] = "max-age=3600"
        return answer

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(StaticFilesHandlerMixin, "serve", serve)
        yield


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Return the one Chromium of the run."""
    program = chromium.find()
    if program is None:
        pytest.fail(chromium.ADVICE)
    with sync_playwright() as playwright:
        started = playwright.chromium.launch(executable_path=program, args=chromium.FLAGS)
        yield started
        started.close()


@pytest.fixture
def new_context(browser: Browser, live_server: Any) -> Iterator[Callable[..., BrowserContext]]:
    """Make a browser session of its own, as of one person at one screen.

    `new_context(viewport=TABLET, java_script_enabled=False)`; paths are relative to the server.
    """
    made: list[BrowserContext] = []

    def make(**options: Any) -> BrowserContext:
        # Nobody watches anything move.
        usual = {"viewport": DESK, "locale": "en-US", "reduced_motion": "reduce"}
        context = browser.new_context(base_url=live_server.url, **{**usual, **options})
        context.set_default_timeout(PATIENCE_MS)
        made.append(context)
        return context

    yield make
    for context in made:
        context.close()


@pytest.fixture
def complaints() -> list[str]:
    """Collect what pages complain of: errors on the console, exceptions in scripts."""
    return []


@pytest.fixture
def new_page(
    new_context: Callable[..., BrowserContext], complaints: list[str]
) -> Iterator[Callable[..., Page]]:
    """Open a page in a session of its own; the test fails if a script on it fails."""

    def listen(message: ConsoleMessage) -> None:
        # A refused form answers 422, which the browser notes on its console.
        if message.type == "error" and "status of 4" not in message.text:
            complaints.append(message.text)

    def make(**options: Any) -> Page:
        page = new_context(**options).new_page()
        page.on("console", listen)
        page.on("pageerror", lambda error: complaints.append(str(error)))
        return page

    yield make
    assert complaints == []


@pytest.fixture
def page(new_page: Callable[..., Page]) -> Page:
    """Return one page at a desk's screen size."""
    return new_page()
