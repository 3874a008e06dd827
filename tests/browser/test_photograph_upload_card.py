"""A whole card over a line that is cut twice, to a server that is killed once."""

from __future__ import annotations

import hashlib
import os
import re
import signal
import socket
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.core.files.storage import default_storage
from playwright.sync_api import Page, expect

from cases.models import Case
from evidence.intake.models import PhotographUpload
from evidence.photographs.models import Photograph
from evidence.store.models import StoredFile
from me_office.accounts.models import Staff
from me_office.run import answers
from tests.apart import Apart, as_web_server
from tests.browser.bad_line import BadLine
from tests.browser.visitor import enter, seen
from tests.conftest import LONGEST_WAIT
from tests.evidence.pictures import picture_bytes

pytestmark = pytest.mark.django_db(transaction=True)
# A whole one takes a while: FILES=60 in the environment fills it.
FILES = int(os.environ.get("FILES", "20"))
SOME = FILES * 2 // 5
PATIENCE_MS = 120_000


class WebServer:
    """The office's web process as in production, on the test's database."""

    def __init__(self) -> None:
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            self.port = probe.getsockname()[1]
        self.process: Apart | None = None

    def start(self) -> None:
        """Start, and return once it answers."""
        self.process = Apart(as_web_server, f"127.0.0.1:{self.port}", "--threads=4")
        address = f"http://127.0.0.1:{self.port}/health/"
        for _ in range(LONGEST_WAIT * 10):
            if answers(address):
                return
            self.process.process.join(0.1)
            assert self.process.poll() is None, "it ended"
        pytest.fail("the web server did not answer")

    def kill(self) -> None:
        """End it and all its workers as a power cut would."""
        if self.process is not None and self.process.poll() is None:
            assert self.process.process.pid is not None
            os.killpg(self.process.process.pid, signal.SIGKILL)
            self.process.wait()


@pytest.fixture
def server(transactional_db: None) -> Iterator[WebServer]:
    started = WebServer()
    started.start()
    yield started
    started.kill()


@pytest.fixture
def line(server: WebServer) -> Iterator[BadLine]:
    between = BadLine(server.port)
    yield between
    between.close()


@pytest.fixture
def card(tmp_path: Path) -> Path:
    """A camera's card: its photographs, some large enough to be cut in the middle, and an index."""
    folder = tmp_path / "DCIM" / "100TARN"
    folder.mkdir(parents=True)
    for n in range(FILES):
        content = picture_bytes(n)
        if n % 10 == 0:
            # Behind the end mark, where telephones keep more: the picture itself stays small.
            content += hashlib.sha256(str(n).encode()).digest() * 20_000
        (folder / f"DSC_{n:04}.JPG").write_bytes(content)
    (folder / "INDEX.BDM").write_bytes(b"no photograph")
    return tmp_path / "DCIM"


def open_page(browser: Any, line: BadLine, staff: Staff, case: Case) -> Page:
    context = browser.new_context(base_url=line.url, locale="en-US")
    page = context.new_page()
    enter(page, staff, line)
    page.goto(f"/cases/{case.pk}/photographs/add/")
    return page


def taken_in(page: Page, at_least: int) -> None:
    page.wait_for_function(
        """(least) => {
            const words = document.querySelector('[data-part="sum"]').textContent;
            return Number((words.match(/(\\d+) added/) || [0, 0])[1]) >= least;
        }""",
        arg=at_least,
        timeout=PATIENCE_MS,
    )


def test_a_whole_card_comes_in_though_the_line_is_cut_and_the_server_killed(
    browser, server, line, vasko, case, card
):
    page = open_page(browser, line, vasko, case)
    page.get_by_label("Or a whole card or folder").set_input_files(card)
    page.get_by_role("button", name=f"Add {FILES} photographs").click()
    taken_in(page, FILES // 6)
    assert line.cut() > 0
    taken_in(page, FILES * 2 // 5)
    server.kill()
    server.start()
    taken_in(page, FILES * 2 // 3)
    assert line.cut() > 0
    expect(seen(page, f"{FILES} added, 1 left out")).to_be_visible(timeout=PATIENCE_MS)
    on_the_card = {
        path.name: hashlib.sha256(path.read_bytes()).hexdigest() for path in card.rglob("*.JPG")
    }
    stored = list(Photograph.objects.filter(case=case).select_related("file").order_by("number"))
    assert [each.number for each in stored] == list(range(1, FILES + 1))
    assert {each.original_name: each.file.sha256 for each in stored} == on_the_card
    for each in stored:
        kept = Path(default_storage.path(each.file.path)).read_bytes()
        assert hashlib.sha256(kept).hexdigest() == on_the_card[each.original_name]
    assert StoredFile.objects.count() == FILES
    assert set(PhotographUpload.objects.values_list("state", flat=True)) == {"taken in"}
    page.context.close()


def test_the_list_survives_a_reload_and_the_rest_goes_on(browser, line, vasko, case, card):
    page = open_page(browser, line, vasko, case)
    some = sorted(card.rglob("*.JPG"))[:SOME]
    page.get_by_label("Files", exact=True).set_input_files(some)
    page.get_by_role("button", name=f"Add {SOME} photographs").click()
    taken_in(page, SOME // 3)
    page.get_by_role("button", name="Pause").click()
    expect(page.get_by_role("button", name="Continue")).to_be_visible()
    expect(page.get_by_role("button", name=re.compile("Add .* photographs"))).to_be_enabled()
    page.wait_for_function("() => !document.querySelector('[data-state=\"sending\"]')")
    page.reload()
    # A file whose last byte came just before the pause may be added at any moment: the page
    # says how many it knows of.
    listed = seen(page, re.compile(r"^\d+ added"))
    expect(listed).to_be_visible()
    assert int(listed.inner_text().split()[0]) >= SOME // 3
    page.get_by_label("Files", exact=True).set_input_files(some)
    expect(seen(page, re.compile(r"\d+ added, \d+ waiting"))).to_be_visible()
    page.get_by_role("button", name=re.compile(r"Add \d+ photographs")).click()
    expect(seen(page, f"{SOME} added")).to_be_visible(timeout=PATIENCE_MS)
    names = Photograph.objects.filter(case=case).values_list("original_name", flat=True)
    assert sorted(names) == [path.name for path in some]
    page.context.close()
