"""Photographs in a browser: taken in over a bad connection, veiled, turned by keys."""

from __future__ import annotations

import hashlib
import re
from datetime import UTC, datetime
from typing import Any

import pytest
from django.urls import reverse
from playwright.sync_api import Page, Route, expect

from cases.models import Case
from evidence import store
from evidence.intake.models import PhotographUpload
from evidence.photographs import tasks
from evidence.photographs.models import Photograph
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from tests.browser.visitor import barriers, enter, seen
from tests.builders import make_staff
from tests.evidence.items import take
from tests.evidence.pictures import add, make_finding, picture_bytes

pytestmark = pytest.mark.django_db(transaction=True)
# A lost connection is waited for, and the machine may be busy.
PATIENCE_MS = 60_000


def address(name: str, case: Case, **keys: Any) -> str:
    return reverse(name, kwargs={"case_id": case.pk, **keys})


def card(how_many: int, **broken: bytes) -> list[dict[str, Any]]:
    """A camera's card: file names and bytes."""
    files = {f"DSC_{n:04}.jpg": picture_bytes(n) for n in range(how_many)}
    files |= {f"{name}.jpg": content for name, content in broken.items()}
    return [
        {"name": name, "mimeType": "image/jpeg", "buffer": content}
        for name, content in files.items()
    ]


def lose(page: Page, *, requests: set[int], answers: set[int]) -> list[str]:
    """Lose some requests before they arrive and some answers after they were given."""
    sent: list[str] = []

    def on_the_way(route: Route) -> None:
        if route.request.method == "GET":
            route.continue_()
            return
        sent.append(f"{route.request.method} {route.request.url}")
        if len(sent) in requests:
            route.abort("connectionreset")
        elif len(sent) in answers:
            route.fetch()
            route.abort("connectionreset")
        else:
            route.continue_()

    page.route("**/api/cases/*/photograph-uploads/**", on_the_way)
    return sent


def test_a_card_is_taken_in_over_a_connection_that_breaks(
    page, vasko, case, live_server, complaints
):
    enter(page, vasko, live_server)
    page.goto(address("evidence:photographs-add", case))
    files = card(4, empty=b"", notes=b"these are notes")
    lose(page, requests={2, 7}, answers={4, 9})
    page.get_by_label("Files", exact=True).set_input_files(files)
    page.get_by_role("group", name="View").get_by_text("close-up").click()
    page.get_by_label("A scale is in the picture").check()
    page.get_by_role("button", name="Add 6 photographs").click()
    expect(seen(page, "4 added, 2 refused")).to_be_visible(timeout=PATIENCE_MS)
    expect(page).to_have_title(re.compile("^Not all added: 4 added, 2 refused · Add photographs"))
    expect(seen(page, "This file is empty (0 bytes).")).to_be_visible()
    # The four connections that were cut, and nothing else.
    assert len(complaints) == 4
    assert all("ERR_CONNECTION_RESET" in complaint for complaint in complaints)
    complaints.clear()
    stored = list(Photograph.objects.filter(case=case).select_related("file").order_by("number"))
    assert [each.number for each in stored] == [1, 2, 3, 4]
    assert {each.view for each in stored} == {"close-up"}
    assert all(each.with_scale for each in stored)
    given = {file["name"]: hashlib.sha256(file["buffer"]).hexdigest() for file in files}
    assert {each.original_name: each.file.sha256 for each in stored} == {
        name: digest for name, digest in given.items() if name.startswith("DSC")
    }
    assert all(store.is_whole(each.file) for each in stored)


def test_who_is_at_the_end_of_the_page_stays_there_while_a_card_is_sent(
    page, vasko, case, live_server
):
    page.set_viewport_size({"width": 390, "height": 600})
    enter(page, vasko, live_server)
    page.goto(address("evidence:photographs-add", case))
    page.get_by_label("Files", exact=True).set_input_files(card(12))
    page.get_by_role("group", name="View").get_by_text("close-up").click()
    page.evaluate("scrollTo(0, document.body.scrollHeight)")
    page.get_by_role("button", name="Add 12 photographs").click()
    expect(seen(page, "12 added")).to_be_visible(timeout=PATIENCE_MS)
    expect(page.get_by_role("link", name="Back to the log")).to_be_in_viewport()
    lines = page.get_by_role("list", name="Chosen files")
    assert lines.evaluate("lines => lines.scrollTop") > 0, "the list goes along by itself"


def test_a_file_that_is_there_is_answered_with_its_number_once_there_is_room_for_files(
    page, vasko, case, live_server, complaints
):
    add(vasko, case, picture_bytes(0))
    enter(page, vasko, live_server)
    page.goto(address("evidence:photographs-add", case))
    page.get_by_label("Files", exact=True).set_input_files(card(1))
    full: list[Route] = []

    def no_room_at_first(route: Route) -> None:
        if route.request.method == "GET" or full:
            route.continue_()
            return
        full.append(route)
        route.fulfill(status=507, json={"code": "full", "message": "No room."})

    page.route("**/api/cases/*/photograph-uploads/**", no_room_at_first)
    page.get_by_role("button", name="Add 1 photograph").click()
    line = page.get_by_role("list", name="Chosen files").get_by_role("listitem")
    expect(line).to_contain_text("The office has no room for files: tell an administrator.")
    expect(line).to_contain_text("already in the case as photograph 1", timeout=PATIENCE_MS)
    assert len(complaints) == 1 and "507" in complaints.pop()
    line.get_by_role("link", name="photograph 1").click()
    expect(page.get_by_role("heading", name="Photograph 1", exact=True)).to_be_visible()
    assert Photograph.objects.count() == 1


def test_no_photograph_goes_out_under_the_name_of_who_signed_in_since(
    page, vasko, case, live_server
):
    enter(page, vasko, live_server)
    page.goto(address("evidence:photographs-add", case))
    enter(page, make_staff(Role.PATHOLOGIST, name="A. Amadi"), live_server)
    page.get_by_label("Files", exact=True).set_input_files(card(1))
    page.get_by_role("button", name="Add 1 photograph").click()
    said = f"This page was opened by {vasko}. You are signed in as A. Amadi. Nothing was saved."
    line = page.get_by_role("list", name="Chosen files").get_by_role("listitem")
    expect(line).to_contain_text(said)
    expect(page.get_by_role("region", name="Another person is signed in")).to_contain_text(said)
    assert not PhotographUpload.objects.exists()
    enter(page, vasko, live_server)
    page.get_by_role("button", name="Add 1 photograph").click()
    expect(seen(page, "1 added")).to_be_visible(timeout=PATIENCE_MS)
    assert Photograph.objects.get().created_by == vasko


def test_files_dropped_on_the_page_are_taken_in(page, vasko, case, live_server):
    enter(page, vasko, live_server)
    page.goto(address("evidence:photographs-add", case))
    seen(page, "or drop files or a folder here").wait_for()
    held = page.evaluate_handle(
        """(bytes) => {
            const held = new DataTransfer();
            held.items.add(new File([new Uint8Array(bytes)], "a.jpg", { type: "image/jpeg" }));
            return held;
        }""",
        list(picture_bytes()),
    )
    page.dispatch_event("[data-part=drop]", "drop", {"dataTransfer": held})
    # Half a moment is said beside its field, and sends nothing.
    clock = page.get_by_label("Taken at, time")
    page.get_by_label("Taken at", exact=True).fill("11/01/2026")
    page.get_by_role("button", name="Add 1 photograph").click()
    expect(clock).to_be_focused()
    expect(clock).to_have_accessible_description(re.compile("Add the time."))
    expect(page.locator("#said")).to_contain_text("Add the time.")
    assert Photograph.objects.count() == 0
    clock.fill("01:30:15")
    clock.blur()
    page.get_by_label("Taken at, first or second time").select_option(index=2)
    page.get_by_role("button", name="Add 1 photograph").click()
    expect(seen(page, "1 added")).to_be_visible(timeout=PATIENCE_MS)
    added = Photograph.objects.get()
    assert added.original_name == "a.jpg"
    assert added.taken_at == datetime(2026, 11, 1, 6, 30, 15, tzinfo=UTC)


def test_without_scripts_the_plain_form_does_the_same(new_page, vasko, case, live_server):
    page = new_page(java_script_enabled=False)
    enter(page, vasko, live_server)
    page.goto(address("evidence:photographs-add", case))
    page.get_by_label("Files", exact=True).set_input_files(card(3, notes=b"these are notes"))
    page.get_by_role("button", name="Add photographs").click()
    expect(seen(page, "notes.jpg: This is not a picture").first).to_be_visible()
    expect(seen(page, "Choose only the remaining files again")).to_be_visible()
    assert Photograph.objects.filter(case=case).count() == 3


@pytest.fixture
def log_of_three(vasko: Staff, case: Case) -> Case:
    finding = make_finding(case, vasko)
    for number, graphic in enumerate((False, True, True), start=1):
        made = add(
            vasko, case, picture_bytes(number, size=(600, 400)), graphic=graphic,
            shows=f"Picture {number}", finding_ids=[finding.pk],
        )  # fmt: skip
        tasks.derive_images(photograph_id=str(made.pk))
    take(vasko, case)
    return case


def test_one_key_shows_and_hides_what_is_veiled(page, vasko, log_of_three, live_server):
    enter(page, vasko, live_server)
    page.goto(address("evidence:photographs", log_of_three))
    veiled = page.get_by_role("img", name="Overview, chest, Picture 2")
    expect(page.get_by_role("img", name="Overview, chest, Picture 1")).to_be_visible()
    expect(veiled).to_be_hidden()
    page.keyboard.press("v")
    expect(veiled).to_be_visible()
    page.keyboard.press("v")
    expect(veiled).to_be_hidden()


def test_arrows_go_from_photograph_to_photograph(page, vasko, log_of_three, live_server):
    enter(page, vasko, live_server)
    page.goto(address("evidence:photographs", log_of_three))
    # A photograph opens by its picture, too.
    page.get_by_role("img", name="Overview, chest, Picture 1").click(force=True)
    expect(page.get_by_role("heading", name="Photograph 1", exact=True)).to_be_visible()
    page.go_back()
    page.get_by_role("link", name="Photograph 1").focus()
    page.keyboard.press("ArrowRight")
    expect(page.get_by_role("link", name="Photograph 2")).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", name="Photograph 2", exact=True)).to_be_visible()
    # The page listens to keys once the picture says how large it is shown.
    expect(page.get_by_role("status", name="Size")).to_contain_text("%")
    page.keyboard.press("ArrowRight")
    expect(page.get_by_role("heading", name="Photograph 3", exact=True)).to_be_visible()
    expect(page.get_by_role("status", name="Size")).to_contain_text("%")
    # From a button, a field or a link the arrows are not the page's own.
    address_of_three = page.url
    for other in (
        page.get_by_role("button", name="Turn"),
        page.get_by_label("What it shows"),
        page.get_by_role("link", name="Download the original"),
    ):
        other.focus()
        page.keyboard.press("ArrowLeft")
        expect(other).to_be_focused()
        assert page.url == address_of_three
    page.get_by_role("main").focus()
    page.keyboard.press("ArrowLeft")
    expect(page.get_by_role("heading", name="Photograph 2", exact=True)).to_be_visible()


def test_a_preview_appears_by_itself_once_it_is_made(page, vasko, case, live_server):
    made = add(vasko, case, picture_bytes(), graphic=False, shows="The building")
    enter(page, vasko, live_server)
    page.goto(address("evidence:photographs", case))
    expect(seen(page, "The preview is being made.")).to_be_visible()
    tasks.derive_images(photograph_id=str(made.pk))
    picture = page.get_by_role("img", name="Overview, chest, The building")
    expect(picture).to_be_visible(timeout=PATIENCE_MS)


def test_the_pages_keep_the_accessibility_rules(page, vasko, log_of_three, live_server):
    enter(page, vasko, live_server)
    item_id = Photograph.objects.get(number=2).item_id
    for name, template, keys in (
        ("evidence:photographs", "evidence/photographs.html", {}),
        ("evidence:photographs-add", "intake/add_photographs.html", {}),
        ("case_search:search", "case_search/search.html", {}),
        ("evidence:specimens", "evidence/specimens.html", {}),
        ("evidence:specimen-take", "evidence/take_specimen.html", {}),
        ("evidence:property", "evidence/property.html", {}),
        ("evidence:property-record", "evidence/record_property.html", {}),
        ("custody:case", "custody/case.html", {}),
        ("custody:item", "custody/item.html", {"item_id": item_id}),
        ("custody:transfer", "custody/change.html", {"item_id": item_id}),
    ):
        page.goto(address(name, log_of_three, **keys))
        assert barriers(page, template) == [], name
