"""A real browser for whole jobs: pages are found by role and label, never by class."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from django.contrib.staticfiles.handlers import StaticFilesHandlerMixin
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from playwright.sync_api import (
    Browser,
    BrowserContext,
    ConsoleMessage,
    Error,
    Page,
    sync_playwright,
)

from tests.browser import chromium
from tests.browser.kept import KeptSession
from tests.browser.visitor import RULES, rules_as_a_file

DESK = {"width": 1440, "height": 900}
TABLET = {"width": 1024, "height": 1366}
PATIENCE_MS = 15_000
WITHOUT_SNAPSHOTS = Path(__file__).with_name("without_snapshots.cjs")


@pytest.fixture(scope="session", autouse=True)
def _orm_beside_the_browser() -> Iterator[None]:
    """Let tests read the database while Playwright's event loop runs in the same thread."""
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "1"
    yield
    del os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"]


@pytest.fixture(scope="session", autouse=True)
def _static_files_are_asked_for_once() -> Iterator[None]:
    """Let a browser keep the static files for as long as its session, as it does in an office.

    The server of a test says nothing of it, and the browser asks for each file on each page. One
    file more is what a page is held against.
    """
    plain = StaticFilesHandlerMixin.serve

    def serve(self: StaticFilesHandlerMixin, request: HttpRequest) -> HttpResponseBase:
        answer: HttpResponseBase
        if request.path == RULES:
            answer = HttpResponse(rules_as_a_file(), content_type="text/javascript")
        else:
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
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("NODE_OPTIONS", f"--require {WITHOUT_SNAPSHOTS}")
        playwright = sync_playwright().start()
    started = playwright.chromium.launch(executable_path=program, args=chromium.FLAGS)
    yield started
    started.close()
    playwright.stop()


@pytest.fixture
def complaints() -> list[str]:
    """Collect what pages complain of: errors on the console, exceptions in scripts."""
    return []


@pytest.fixture(scope="session")
def kept_sessions() -> list[KeptSession]:
    """Hold the sessions that are lent from test to test, as many as one test asked for at once."""
    return []


@pytest.fixture
def new_page(
    browser: Browser, live_server: Any, complaints: list[str], kept_sessions: list[KeptSession]
) -> Iterator[Callable[..., Page]]:
    """Open a page in a session as of one person at one screen; nothing of another test is in it.

    `new_page(viewport=TABLET, java_script_enabled=False)`; paths are relative to the server. The
    test fails if a script on it fails. Pages without options but for size and time zone are kept:
    they are for what `KeptSession` takes back. Who adds a script to every page of a session, a
    function, headers or listeners asks for `own=True`.
    """
    made: list[BrowserContext] = []
    lent: list[KeptSession] = []

    def listen(message: ConsoleMessage) -> None:
        # A refused form answers 422, which the browser notes on its console.
        if message.type == "error" and "status of 4" not in message.text:
            complaints.append(message.text)

    def fall(error: Error) -> None:
        complaints.append(str(error))

    def new_context(**options: Any) -> BrowserContext:
        # Nobody watches anything move.
        usual = {"viewport": DESK, "locale": "en-US", "reduced_motion": "reduce"}
        context = browser.new_context(base_url=live_server.url, **{**usual, **options})
        context.set_default_timeout(PATIENCE_MS)
        return context

    def kept_page(size: Any, zone: str) -> Page:
        if len(lent) == len(kept_sessions):
            kept_sessions.append(KeptSession(new_context(), live_server.url, DESK))
        lent.append(next(one for one in kept_sessions if one not in lent))
        page = lent[-1].page
        if zone:
            lent[-1].keep_time_of(zone)
        if size != DESK:
            page.set_viewport_size(size)
        return page

    def make(*, own: bool = False, **options: Any) -> Page:
        if own or set(options) - {"viewport", "timezone_id"}:
            made.append(new_context(**options))
            page = made[-1].new_page()
        else:
            page = kept_page(options.get("viewport", DESK), options.get("timezone_id", ""))
        page.on("console", listen)
        page.on("pageerror", fall)
        return page

    yield make
    found = list(complaints)
    for context in made:
        context.close()
    for kept in lent:
        kept.page.remove_listener("console", listen)
        kept.page.remove_listener("pageerror", fall)
        if not kept.take_back():
            kept_sessions.remove(kept)
    assert found == []


@pytest.fixture
def page(new_page: Callable[..., Page]) -> Page:
    """Return one page at a desk's screen size."""
    return new_page()
