"""A subpoena with five demands, from its log to the packet: nothing that is kept back is in it."""

from __future__ import annotations

import csv
import json
import re
import subprocess
import zipfile
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import Any

import pypdf
import pytest
from django.db import connection
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import Page, expect

from cases.answers.build import write_answer
from cases.answers.chosen import chosen_items
from cases.answers.models import Answer, NumberedPages, PageRun
from cases.court.models import RecordsRequest
from cases.decisions.actions import Picked
from cases.decisions.models import Ground
from cases.decisions.queries import standing_of
from cases.decisions.rules import Outcome
from cases.exhibits import redacting
from cases.exhibits.models import Redaction
from cases.redaction.models import RedactionReason
from me_office.accounts.models import Staff
from me_office.audit.ids import new_id
from tests.answers import large
from tests.answers.large import Large, large_case
from tests.answers.traces import traces
from tests.browser.visitor import enter, seen
from tests.court.builders import fee
from tests.decisions.builders import decide, ground_numbered, reaching
from tests.packets.builders import make_clerk, make_people
from tests.packets.reading import complaint_of
from tests.redaction.builders import make_reason

pytestmark = pytest.mark.django_db(transaction=True)
WORDS = [large.NAME, *large.IN_CAMERA, *large.WITHHELD]
COLORS = [large.FACE, large.ON_PAPER, large.WITHHELD_COLOR]
DEMANDS = [
    ("The report of examination", "documents"),
    ("All photographs", "documents"),
    ("Earlier statements", "documents"),
    ("Documents of the clinic, custody, history of the file", "documents"),
    ("Testimony of I. Vasko", "testimony"),
]


def save(page: Page, name: str) -> None:
    page.get_by_role("button", name=name, exact=True).click()


def at(page: Page, name: str, *keys: object) -> None:
    page.goto(reverse(name, args=keys))


def log_subpoena(page: Page, there: Large) -> RecordsRequest:
    at(page, "court:log-request", there.case.pk)
    today = timezone.localdate()
    for label, value in {
        "Court": "Tarn County Superior Court", "Cause number": "CR-26-01388",
        "Requesting party": "Office of the county attorney",
        "Send the answer to": "4 Assize Square, Tarnford", "Served or received on": f"{today}",
        "Due on": f"{today + timedelta(days=10)}", "What is requested": "What the schedule lists.",
    }.items():  # fmt: skip
        page.get_by_label(label, exact=True).fill(value)
    for number, (title, kind) in enumerate(DEMANDS, start=1):
        if number > 1:
            page.get_by_text(f"Add another demand, number {number}", exact=True).click()
        page.get_by_label(f"Demand, in short (demand {number})").fill(title)
        page.get_by_label(f"Kind (demand {number})").select_option(kind)
    save(page, "Log the request")
    expect(page.get_by_role("heading", name="Subpoena CR-26-01388")).to_be_visible()
    asked: RecordsRequest = RecordsRequest.objects.get()
    return asked


def draw(page: Page, left: float, top: float, right: float, bottom: float) -> None:
    """Draw from corner to corner, in shares of what is shown."""
    box = page.get_by_role("application").bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + box["width"] * left, box["y"] + box["height"] * top)
    page.mouse.down()
    across, down = box["x"] + box["width"] * right, box["y"] + box["height"] * bottom
    page.mouse.move(across, down, steps=2)
    page.mouse.up()


def hide_faces(page: Page, there: Large, clerk: Staff) -> None:
    """Hide one by hand, and the others at once."""
    left, top, right, bottom = large.PART
    drawn, *others = there.hidden
    at(page, "exhibits:redact", there.case.pk, drawn.pk)
    draw(page, left - 0.03, top - 0.03, right + 0.03, bottom + 0.03)
    expect(seen(page, "Region 1: rectangle").first).to_be_visible()
    page.get_by_label("Reason").fill("Face")
    save(page, "Make the redacted copy")
    width, height = large.SIZE
    corners = [[round(width * (left - 0.03)), round(height * (top - 0.03))],
               [round(width * (right + 0.03)), round(height * (bottom + 0.03))]]  # fmt: skip
    for one in others:
        redacting.ask(
            clerk, case_id=there.case.pk, photograph_id=one.pk, record_id=new_id(), version=0,
            entries=[{"shape": "rectangle", "manner": "cover", "points": corners}], reason="Face",
        )  # fmt: skip


def hide_in_document(page: Page, there: Large, why: RedactionReason) -> None:
    def mark() -> None:
        page.get_by_label("Reason", exact=True).select_option(str(why))
        save(page, "Mark for removal")
        expect(seen(page, "1 place marked.")).to_be_visible()

    at(page, "redaction:document", there.case.pk, there.letter.pk)
    page.get_by_label("Words to find in all pages").fill(large.NAME)
    save(page, "Find")
    mark()
    at(page, "redaction:page", there.case.pk, there.letter.pk, large.DRAWN_ON)
    expect(page.locator("form[data-ready=yes]")).to_be_attached()
    page.get_by_label("an area").check()
    draw(page, 0.02, 0.42, 0.6, 0.98)
    expect(seen(page, "Area chosen.").first).to_be_visible()
    mark()
    save(page, "Make the redacted copy")
    expect(seen(page, "goes out in place of the document")).to_be_visible(timeout=60_000)


def decide_by_hand(page: Page, there: Large, asked: RecordsRequest) -> None:
    """What the first two demands reach: all at once, one after another, and one by itself."""

    def row(outcome: str, called: str, *, ground: bool = False) -> None:
        if ground:
            page.get_by_label(f"Ground for {called}").select_option(index=1)
        page.get_by_role("button", name=f"{outcome} {called}").click()

    first = asked.demands.get(number=1)
    at(page, "decisions:demand", there.case.pk, asked.pk, first.pk)
    save(page, "Add report of examination")
    row("Release", "Report of examination")
    page.get_by_role("navigation", name="Demands").get_by_role("link").nth(2).click()
    save(page, "Add photographs")
    page.get_by_text(f"Item by item, P 4 to {large.PHOTOGRAPHS}").click()
    page.get_by_role("link", name="P 4", exact=True).click()
    page.get_by_label("withhold", exact=True).check()
    page.get_by_label("Ground", exact=True).select_option(index=1)
    save(page, "Save the decision")
    row("Redact", "P 1 to 3", ground=True)
    row("Release", f"P 5 to {large.PHOTOGRAPHS}")


def decide_the_rest(there: Large, asked: RecordsRequest, clerk: Staff, ground: Ground) -> None:
    """What the next two demands reach: three kinds more that go out, and two that are kept back."""
    statements, papers = (asked.demands.get(number=number) for number in (3, 4))
    for demand, *kinds in (
        (statements, "statement"), (papers, "custody record", "history", "document")
    ):  # fmt: skip
        for kind in kinds:
            reaching(demand, clerk, kind)
    kept_back = {str(there.quay.pk): "withhold", str(there.letter.pk): "redact"}
    for demand in (statements, papers):
        for row in standing_of(asked).rows[demand.pk]:
            item = row.item
            kept = [outcome for key, outcome in kept_back.items() if key in item.key]
            decide(
                demand, clerk, kept[0] if kept else "release",
                items=[Picked(item.kind.value, item.key, item.digest, "")],
                **({"ground": ground.pk} if kept else {}),
            )  # fmt: skip


def all_is_decided(page: Page, there: Large, asked: RecordsRequest) -> None:
    at(page, "decisions:demand", there.case.pk, asked.pk, asked.demands.get(number=4).pk)
    told = page.get_by_role("navigation", name="Demands").locator(".demand-words")
    expect(told).to_have_text(
        ["1 of 1 decided", f"{large.PHOTOGRAPHS} of {large.PHOTOGRAPHS} decided",
         "2 of 2 decided", "3 of 3 decided", re.compile("testimony")]
    )  # fmt: skip


def write_letter_and_invoice(page: Page, there: Large, asked: RecordsRequest) -> None:
    at(page, "letters:write", there.case.pk, asked.pk, "cover")
    page.get_by_label("Addressed to").fill("Office of the county attorney")
    page.get_by_label("Address", exact=True).fill("4 Assize Square\nTarnford")
    page.get_by_label("Text", exact=True).fill("Enclosed is what was decided, item by item.")
    save(page, "Save the draft")
    page.get_by_role("link", name="Make the letter").click()
    save(page, "Make the letter")
    at(page, "court:issue-invoice", there.case.pk, asked.pk)
    page.get_by_label("Copy on paper").fill("300")
    page.get_by_label("Billed to").fill("Office of the county attorney")
    save(page, "Write the invoice")
    expect(seen(page, "300").first).to_be_attached()


def build(page: Page, there: Large, asked: RecordsRequest, folder: Path) -> Path:
    at(page, "answers:ask", there.case.pk, asked.pk)
    save(page, "Build the answer")
    download = page.get_by_role("link", name="Download", exact=True)
    expect(download).to_be_visible(timeout=60_000)
    with page.expect_download() as fetched:
        download.click()
    with zipfile.ZipFile(fetched.value.path()) as packed:
        packed.extractall(folder)
    (bag,) = folder.iterdir()
    return bag


def lay_open(answer: Answer, folder: Path) -> Path:
    """Write of the answer what is kept back, as if nothing of it were."""
    chosen = [
        replace(one, outcome=Outcome.RELEASE, copy_digest="")
        for one in chosen_items(answer.request)
        if one.outcome in {Outcome.REDACT, Outcome.WITHHOLD}
    ]
    run = PageRun.objects.select_related("series").get(answer=answer)
    try:
        write_answer(
            answer, chosen, folder,
            give=lambda count: PageRun(series=run.series, answer=answer, first=1, last=count),
        )  # fmt: skip
    finally:
        connection.close()
    (bag,) = (one.parent for one in folder.glob("*/bagit.txt"))
    return bag


def rows_of(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_five_demands_are_answered_and_nothing_that_is_kept_back_is_in_the_packet(
    new_page: Callable[..., Page], live_server: Any, worker: Any, tmp_path: Path
) -> None:
    (vasko, thorne), clerk = make_people(), make_clerk()
    ground = ground_numbered(3, clerk, words="Privacy of a living person")
    why = make_reason(clerk)
    fee(clerk)
    there = large_case(vasko, thorne, clerk)
    worker.start()
    page = new_page(own=True)
    # The worker has much to do beside it.
    page.set_default_timeout(60_000)
    enter(page, clerk, live_server)
    asked = log_subpoena(page, there)
    hide_faces(page, there, clerk)
    hide_in_document(page, there, why)
    assert Redaction.objects.count() == 3
    decide_by_hand(page, there, asked)
    decide_the_rest(there, asked, clerk, ground)
    all_is_decided(page, there, asked)
    second = new_page(own=True)
    enter(second, thorne, live_server)
    at(second, "decisions:approve", there.case.pk, asked.pk)
    save(second, "Approve what goes out")
    write_letter_and_invoice(page, there, asked)
    bag = build(page, there, asked, tmp_path / "sent")
    data = bag / "data"

    assert complaint_of(bag) == ""
    # As the packet itself tells its reader to check it.
    sums = ["sha256sum", "--strict", "-c", "manifest-sha256.txt", "tagmanifest-sha256.txt"]
    subprocess.run(sums, cwd=bag, check=True, capture_output=True)
    answer = Answer.objects.get()
    assert (answer.photographs, answer.withheld) == (large.PHOTOGRAPHS - 1, 2)
    assert len(list((data / "photographs").iterdir())) == large.PHOTOGRAPHS - 1
    assert answer.pages is not None and answer.pages >= large.PAGES + large.ADDED_PAGES + 8
    assert len(pypdf.PdfReader(data / "answer.pdf").pages) == answer.pages
    assert (data / "cover-letter.pdf").exists()
    kinds = set(NumberedPages.objects.filter(answer=answer).values_list("label", flat=True))
    assert any("ertificate" in one for one in kinds)
    log = [(one["Demand"], one["Item"]) for one in rows_of(data / "withholding-log.csv")]
    assert sorted(log) == [
        ("2", "P 1"), ("2", "P 2"), ("2", "P 3"), ("2", "P 4"), ("3", "Earlier statement"),
        ("4", "Document 1"),
    ]  # fmt: skip
    demands = {one["demand"] for one in json.loads((data / "answer.json").read_text())["pages"]}
    assert {1, 3, 4} <= demands

    found = traces(bag, [*WORDS, large.TOLD], COLORS)
    assert {told for told, _ in found} == {large.TOLD}, "what is sent is read, and nothing else"
    assert {kind for _, kind in found} >= {"first reader", "second reader"}
    opened = tmp_path / "opened"
    opened.mkdir()
    # The browser has a loop in this thread, and the library that signs wants one of its own.
    with ThreadPoolExecutor(1) as apart:
        found = traces(apart.submit(lay_open, answer, opened).result(), WORDS, COLORS)
    # The name that a camera's file came with goes out with nothing, whatever is decided.
    assert {told for told, _ in found} == {*WORDS, *map(str, COLORS)} - {large.WITHHELD[3]}
