"""Measuring in a browser: by pointer, by keys, kept, used, and the rules of accessibility."""

from __future__ import annotations

import io
import re
from typing import Any

import numpy as np
import pytest
from django.urls import reverse
from PIL import Image
from playwright.sync_api import Locator, Page, expect

from evidence.measuring.models import Measurement
from evidence.photographs import tasks
from evidence.photographs.models import Photograph
from findings.models import Finding
from me_office.accounts.models import Staff
from me_office.demo.pictures import Picture, render
from tests.browser.visitor import barriers, enter, seen
from tests.builders import make_case
from tests.evidence.pictures import add, make_finding
from tests.measuring.pictures import measured, straight

pytestmark = pytest.mark.django_db(transaction=True)
PATIENCE_MS = 60_000
SIZE = (1200, 800)


@pytest.fixture(scope="session")
def painted() -> Picture:
    return render("contusion", seed=5, width=SIZE[0], height=SIZE[1])


def taken_in(actor: Staff, content: bytes, name: str) -> Photograph:
    made = add(actor, make_case(), content, name=name, with_scale=True)
    tasks.derive_images(photograph_id=str(made.pk))
    return made


@pytest.fixture
def photograph(vasko: Staff, painted: Picture) -> Photograph:
    return taken_in(vasko, painted.jpeg(), "DSC_0001.jpg")


def address(photograph: Photograph) -> str:
    keys = {"case_id": photograph.case_id, "photograph_id": photograph.pk}
    return reverse("measuring:measure", kwargs=keys)


def open_picture(page: Page, photograph: Photograph) -> Locator:
    page.goto(address(photograph))
    picture = page.get_by_role("application")
    expect(picture).to_be_visible()
    # The lists are filled by the script: from then on it listens.
    expect(
        page.get_by_role("list", name="Points of the scale").get_by_role("listitem")
    ).to_have_count(2)
    return picture


def click(page: Page, picture: Locator, place: Any) -> None:
    box = picture.bounding_box()
    assert box
    each = min(box["width"] / SIZE[0], box["height"] / SIZE[1])
    left = box["x"] + (box["width"] - SIZE[0] * each) / 2
    top = box["y"] + (box["height"] - SIZE[1] * each) / 2
    page.mouse.click(left + place[0] * each, top + place[1] * each)


def test_a_painted_contusion_is_measured_kept_and_put_into_its_finding(
    page, vasko, painted, photograph, live_server
):
    finding = make_finding(photograph.case, vasko)
    enter(page, vasko, live_server)
    picture = open_picture(page, photograph)
    arm = painted.truth["scale"]["arms"][0]
    for place in (arm["zero_px"], arm["end_px"]):
        click(page, picture, place)
    page.get_by_label("True distance between its two points").fill(str(arm["length_mm"]))
    page.get_by_label("Camera tilted by at most").select_option("20")
    page.get_by_label("The scale lies in the plane").check()
    for place in painted.truth["length_px"]:
        click(page, picture, place)
    result = page.get_by_role("region", name="Result")
    expect(result).to_contain_text("in the plane of the scale", timeout=PATIENCE_MS)
    expect(result).to_contain_text("the limits hold for a camera tilted up to 20 degrees")
    page.get_by_role("combobox", name="Finding").select_option(str(finding.pk))
    page.get_by_role("button", name="Save this measurement").click()
    expect(seen(page, "Measurement 1 saved")).to_be_visible(timeout=PATIENCE_MS)
    ends = painted.truth["length_px"]
    true_mm = float(np.hypot(*np.subtract(*ends))) * painted.truth["mm_per_px"]
    found = Measurement.objects.get().result["quantities"][0]
    assert found["value"] == pytest.approx(true_mm, rel=0.02)
    assert found["low"] <= true_mm <= found["high"]
    page.get_by_role("link", name="Use in a finding").click()
    page.get_by_role("button", name="Use in the finding").click()
    expect(seen(page, "takes its length from this")).to_be_visible(timeout=PATIENCE_MS)
    stands = Finding.objects.get()
    assert stands.measured_by == "photograph"
    assert float(stands.length_mm) == pytest.approx(found["value"], abs=0.06)


def test_points_are_placed_and_moved_by_keys_alone(page, vasko, photograph, live_server):
    enter(page, vasko, live_server)
    picture = open_picture(page, photograph)
    picture.focus()
    for keys in (
        ["Enter", "ArrowLeft", "ArrowLeft", "Shift+ArrowLeft", "Shift+ArrowDown", "n"],
        ["Enter", "ArrowRight", "ArrowUp", "n"],
    ):
        for key in keys:
            page.keyboard.press(key)
    scale = page.get_by_role("list", name="Points of the scale")
    expect(scale).to_contain_text("588.0, 410.0")
    expect(scale).to_contain_text("601.0, 399.0")
    first = page.get_by_role("list", name="Points of what is measured")
    page.keyboard.press("Enter")
    expect(first).to_contain_text("600.0, 400.0")
    page.keyboard.press("Delete")
    expect(first).not_to_contain_text("600.0")
    # Each step is said and can be taken back; a held arrow is one.
    said = page.locator("#said")
    expect(said).to_contain_text("First end removed.")
    page.keyboard.press("Control+z")
    expect(first).to_contain_text("600.0, 400.0")
    expect(said).to_contain_text("Taken back. First end: at 600.0, 400.0 px.")
    page.keyboard.press("Shift+ArrowUp")
    page.keyboard.press("ArrowUp")
    expect(said).to_contain_text("First end moved to 600.0, 389.0 px.")
    page.get_by_role("button", name="Undo").click()
    expect(first).to_contain_text("600.0, 390.0")
    page.get_by_role("button", name="Redo").click()
    expect(first).to_contain_text("600.0, 389.0")
    # What was picked is kept on the device, until somebody discards it.
    page.reload()
    expect(first).to_contain_text("600.0, 389.0")
    expect(scale).to_contain_text("588.0, 410.0")
    page.get_by_role("button", name="Discard").click()
    expect(first).not_to_contain_text("600.0")
    expect(scale).not_to_contain_text("588.0")


def test_a_refusal_leaves_the_points_where_they_were(page, vasko, photograph, live_server):
    enter(page, vasko, live_server)
    picture = open_picture(page, photograph)
    result = page.get_by_role("region", name="Result")
    click(page, picture, (200, 700))
    expect(result).to_contain_text("Pick 1 more point of the scale.")
    click(page, picture, (700, 700))
    expect(result).to_contain_text("Pick 2 more points of what is measured.")
    click(page, picture, (300, 400))
    expect(result).to_contain_text("Pick 1 more point of what is measured.")
    click(page, picture, (600, 400))
    expect(result).to_contain_text("does not lie in the plane", timeout=PATIENCE_MS)
    page.get_by_label("Note").fill("widest part")
    page.get_by_role("button", name="Save this measurement").click()
    expect(page.get_by_role("alert")).to_contain_text("does not lie in the plane")
    expect(page.get_by_label("Note")).to_have_value("widest part")
    expect(page.get_by_role("list", name="Points of the scale")).not_to_contain_text("not picked")
    page.get_by_label("The scale lies in the plane").check()
    page.get_by_label("Camera tilted by at most").select_option("20")
    page.get_by_role("button", name="Save this measurement").click()
    expect(seen(page, "Measurement 1 saved")).to_be_visible(timeout=PATIENCE_MS)


def test_a_corner_is_proposed_and_taken_only_when_confirmed(page, vasko, live_server):
    gray = np.full((SIZE[1], SIZE[0]), 60, np.uint8)
    gray[300:600, 400:900] = 225
    buffer = io.BytesIO()
    Image.fromarray(gray).save(buffer, "PNG")
    card = taken_in(vasko, buffer.getvalue(), "DSC_0002.png")
    enter(page, vasko, live_server)
    picture = open_picture(page, card)
    page.get_by_label("Card or label of known sides").check()
    click(page, picture, (402, 298))
    points = page.get_by_role("list", name="Points of the scale")
    points.get_by_role("button", name="Upper left corner").first.click()
    page.get_by_role("button", name="Find the corner near the chosen point").click()
    expect(seen(page, "A corner lies")).to_be_visible(timeout=PATIENCE_MS)
    exact = re.compile(r"400\.[01], 300\.[01]")
    expect(points).not_to_contain_text(exact)
    page.get_by_role("button", name="Use it").click()
    expect(points).to_contain_text(exact)


def test_the_page_keeps_the_accessibility_rules(page, vasko, photograph, live_server):
    measured(vasko, photograph, entry=straight())
    enter(page, vasko, live_server)
    page.goto(address(photograph))
    assert barriers(page, "measuring/measure.html") == []
