"""Photographs beside plain Python: how fast they come in and are checked; a long log in a browser.

Everything runs on the servers' main database, which is made anew for it, and on their file store,
from which it is removed again. What is taken in are files as large as a camera's.
"""

from __future__ import annotations

import io
import statistics
import threading
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

from django.contrib.staticfiles.handlers import StaticFilesHandler
from django.core.files.storage import default_storage
from django.db import connection, connections
from django.test import Client
from django.test.testcases import LiveServerThread
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from PIL import Image
from playwright.sync_api import Browser, sync_playwright

from cases.models import Case
from evidence import store
from evidence.photographs.models import DerivedImage, Photograph
from evidence.store import lying, marking
from evidence.store.models import StoredFile
from me_office import embedded
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from tests.bench.servers import EMPTY, Servers
from tests.browser import chromium
from tests.builders import make_case, make_staff
from tests.evidence.log_rows import fill_log
from tests.evidence.pictures import make_finding
from tests.evidence.speed import evidence_bench

INGEST = "ingest of photographs"
FIXITY = "fixity check of the store"
LOG = "log of 2,000 photographs"
SEARCH = "search within a case of 400 photographs and 300 findings"
MANY, SEARCHED, SEARCHED_FINDINGS = 2000, 400, 300
TITLES = (INGEST, FIXITY, LOG, SEARCH)
SEARCHES = ("contusion", "right chest", "P 12", "Sedge", "bruise behind the left ear", "nowhere")
LEAST = {INGEST: 0.5, FIXITY: 0.8}
MOST_SECONDS = 1.0
MOST_SEARCH_SECONDS = 0.3
# Open: the page is there, and every picture that can be seen without scrolling.
_OPEN = """() => new Promise((done) => {
  const seen = (image) => {
    const box = image.getBoundingClientRect();
    // A veiled picture is in a closed part, and is not fetched before it is asked for.
    return image.checkVisibility() && box.bottom > 0 && box.top < innerHeight;
  };
  const look = () => {
    const pictures = [...document.images].filter(seen);
    const whole = document.readyState === "complete" && pictures.every((each) => each.complete);
    if (!whole) requestAnimationFrame(look);
    else if (!pictures.length || pictures.some((each) => !each.naturalWidth)) done(NaN);
    else done(performance.now());
  };
  look();
})"""


@dataclass(frozen=True)
class Compared:
    """One measured value beside what is wanted of it."""

    title: str
    value: float
    unit: str
    wanted: str
    missed: str = ""


def evidence_times(servers: Servers, only: str = "", *, visits: int = 5) -> list[Compared]:
    """Measure what the title of which holds `only`, on a database made for it."""
    titles = [title for title in TITLES if only in title]
    if not titles:
        return []
    with fresh_database(servers):
        found = []
        if INGEST in titles or FIXITY in titles:
            found += [one for one in speeds(evidence_bench()) if one.title in titles]
        if LOG in titles:
            found += log_of(MANY, visits=visits)
        if SEARCH in titles:
            found.append(search_of(SEARCHED, SEARCHED_FINDINGS, visits=visits))
    return found


@contextmanager
def fresh_database(servers: Servers) -> Iterator[None]:
    """Use the database of the settings, a copy of the empty one: threads connect to that."""
    connections["default"].close()
    servers.drop_database(embedded.DATABASE)
    servers.copy_database(embedded.DATABASE, of=EMPTY)
    _mark_store()
    try:
        yield
    finally:
        for path in StoredFile.objects.values_list("path", flat=True):
            default_storage.delete(path)
        connections["default"].close()


def _mark_store() -> None:
    """Mark the store as this database's: rows without files come first, and it would seem lost."""
    marking.office_id.cache_clear()
    marking.this_database.cache_clear()
    default_storage.delete(lying.MARK)
    store.write_mark()


def speeds(found: dict[str, float]) -> list[Compared]:
    """Put the relative speeds beside what is wanted of them."""
    lines = []
    for title, name in ((INGEST, "ingest"), (FIXITY, "fixity")):
        value, least = found[name], LEAST[title]
        missed = "" if value >= least else "slow"
        unit = "of the speed of plain Python"
        lines.append(Compared(title, value, unit, f"at least {least}", missed))
    return lines


def log_of(photographs: int, *, visits: int) -> list[Compared]:
    """Open a photograph log in a browser; count its statements beside those of a short one."""
    viewer = make_staff(Role.PATHOLOGIST)
    short, long = case_with(viewer, 3), case_with(viewer, photographs)
    few, many = _statements(viewer, short), _statements(viewer, long)
    missed = "" if few == many else f"{few} for 3 photographs"
    lines = [Compared(LOG, many, "statements", "as many as for 3", missed)]
    program = chromium.find()
    if program is None:
        return [*lines, Compared(LOG, float("nan"), "no Chromium to open it in", "", "browser")]
    client = Client()
    client.force_login(viewer)
    session, where = client.cookies["sessionid"].value, _address(long)
    took = in_browser(program, lambda browser, at: _visits(browser, at + where, session, visits))
    middle, worst = statistics.median(took), max(took)
    words = f"s until it is open, the middle of {visits} (longest {worst:.2f})"
    missed = "" if middle <= MOST_SECONDS else "slow"
    return [*lines, Compared(LOG, middle, words, f"at most {MOST_SECONDS:g}", missed)]


def search_of(photographs: int, findings: int, *, visits: int) -> Compared:
    """Search within a large case as its page does; the slowest of the searches counts."""
    viewer = make_staff(Role.PATHOLOGIST)
    case = case_with(viewer, photographs)
    for number in range(2, findings + 1):
        make_finding(case, viewer, number=number, seen_as="Oval, red-brown and dry, blurred edges.")
    client = Client()
    client.force_login(viewer)
    where = reverse("case_search:search", kwargs={"case_id": case.pk})
    took = {words: _middle(client, where, words, visits) for words in SEARCHES}
    slowest = max(took, key=lambda words: took[words])
    missed = "" if took[slowest] <= MOST_SEARCH_SECONDS else "slow"
    words = f"s for the slowest of {len(took)} searches, each the middle of {visits}"
    return Compared(SEARCH, took[slowest], words, f"at most {MOST_SEARCH_SECONDS:g}", missed)


def _middle(client: Client, where: str, words: str, visits: int) -> float:
    took = []
    for _ in range(visits):
        begun = time.perf_counter()
        if client.get(where, {"q": words}).status_code != 200:
            raise AssertionError(words)
        took.append(time.perf_counter() - begun)
    return statistics.median(took)


def case_with(by: Staff, photographs: int) -> Case:
    """Make a case with so many photographs; every other one is not veiled, and shows at once."""
    case = make_case()
    rows = fill_log(by, case, photographs, make_finding(case, by))
    noise, small = Image.effect_noise((400, 267), 60).convert("RGB"), io.BytesIO()
    noise.save(small, "JPEG", quality=85)
    small.seek(0)
    with store.receive(small, name="thumb") as incoming:
        kept = incoming.recognized(media_type="image/jpeg")
        file = store.publish(kept, folder=store.DERIVED)
    DerivedImage.objects.bulk_create(
        [DerivedImage(photograph=row, kind="thumb", file=file, method="noise") for row in rows]
    )
    Photograph.objects.filter(case=case, number__in=range(1, photographs, 2)).update(graphic=False)
    return case


def _address(case: Case) -> str:
    return reverse("evidence:photographs", kwargs={"case_id": case.pk})


def _statements(viewer: Staff, case: Case) -> int:
    client = Client()
    client.force_login(viewer)
    where = _address(case)
    client.get(where)
    with CaptureQueriesContext(connection) as asked:
        assert client.get(where).status_code == 200
    return len(asked)


def in_browser(program: Any, use: Callable[[Browser, str], list[float]]) -> list[float]:
    """Start a server and a browser, and use them."""
    others = set(threading.enumerate())
    server = LiveServerThread("127.0.0.1", StaticFilesHandler)
    server.daemon = True
    server.start()
    server.is_ready.wait()
    if server.error:
        raise server.error
    try:
        # In a thread of its own: whoever calls may have a browser and its loop already.
        with ThreadPoolExecutor(1) as beside:
            address = f"http://127.0.0.1:{server.port}"
            return beside.submit(_driven, program, use, address).result()
    finally:
        server.terminate()
        for thread in set(threading.enumerate()) - others:
            thread.join(5)  # each closes its connection to the database


def _driven(program: Any, use: Callable[[Browser, str], list[float]], address: str) -> list[float]:
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=program, args=chromium.FLAGS)
        try:
            return use(browser, address)
        finally:
            browser.close()


def _visits(browser: Browser, address: str, session: str, visits: int) -> list[float]:
    """Open the log so many times, each in a browser that has never seen the office."""
    cookie: Any = {"name": "sessionid", "value": session, "url": address}
    took = []
    for _ in range(visits + 1):
        context = browser.new_context(viewport={"width": 1440, "height": 900})
        context.add_cookies([cookie])
        page = context.new_page()
        page.goto(address)
        took.append(page.evaluate(_OPEN) / 1000)
        assert took[-1] > 0, "a picture of the log could not be shown"
        assert page.get_by_role("link", name="Photograph 1", exact=True).is_visible()
        context.close()
    return took[1:]  # the first one also makes the server read its templates
