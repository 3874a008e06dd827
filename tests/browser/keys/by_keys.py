"""One case from first call to released packet, by keys alone, held against docs/by-keys.md."""

from __future__ import annotations

import os
import re
from collections.abc import Callable
from typing import Any

import pytest
from django.contrib.auth.models import Group
from playwright.sync_api import Page, expect

from cases.exhibits.models import ExhibitSet
from cases.models import Case
from evidence.photographs.models import Photograph
from evidence.photographs.tasks import derive_images
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from tests.browser import test_whole_line as line
from tests.browser.keys.keyed import KeyedPage, Walk, keyed_pages
from tests.browser.test_measuring import address
from tests.browser.visitor import seen
from tests.builders import make_case
from tests.conftest import ROOT
from tests.exhibits.builders import make_exhibit, make_photograph, make_set
from tests.measuring.pictures import photograph_with_scale

KEPT = ROOT / "docs" / "by-keys.md"
PEOPLE = ["Investigator", "Supervisor", "Pathologist", "Records clerk"]
BESIDE = ["Pathologist, measuring in a photograph", "Records clerk, exhibits and the courtroom"]
# What is on the drawing is said while the crosshair moves; each step would be a page of its own.
FAR = {"left": "Shift+ArrowLeft", "right": "Shift+ArrowRight", "down": "Shift+ArrowDown"}


def point_on_chart_by_keys(page: KeyedPage, u: float, v: float) -> None:
    """The crosshair, moved by arrow keys from where it begins, and set with Enter."""
    page.get_by_role("button", name="Point").click()
    page.go_to(page.locator("[role=application]"))
    for _ in range(6):
        page.press("ArrowUp")
    page.press("Enter", "On the drawing: arrow keys move the crosshair, Enter places the mark.")


def put_point(page: KeyedPage, line: str, **steps: int) -> None:
    """Set the next point in the middle of the picture, and move it by tens of pixels."""
    page.press("Enter")
    for way, times in steps.items():
        for _ in range(times):
            page.press(FAR[way])
    page.press("Enter", f"On the picture: {line}; Enter.")


def measure(page: KeyedPage, photograph: Photograph) -> None:
    """Two points of the scale, two of what is measured, and what is known of the scale."""
    line.sign_in(page, "vasko")
    page.goto(address(photograph))
    page.go_to(page.get_by_role("application"))
    put_point(page, "Enter sets a point, Shift and arrows move it", left=30, down=30)
    put_point(page, "the scale's other end", right=10, down=30)
    put_point(page, "one end of what is measured", left=30)
    put_point(page, "its other end")
    page.get_by_label("The scale lies in the plane").check()
    page.get_by_label("Camera tilted by at most").select_option("20")
    page.get_by_role("button", name="Save this measurement").click()
    expect(seen(page, "Measurement 1 saved")).to_be_visible(timeout=line.PATIENCE_MS)


def show_and_redact(page: KeyedPage, trial: ExhibitSet) -> None:
    """Order a set, cover a region in a copy, and show the set in court."""
    line.sign_in(page, "ostrander")
    root = f"/cases/{trial.case_id}/exhibits/{trial.pk}/"
    page.goto(root)
    page.get_by_role("button", name="Move exhibit 3 up").click()
    last = trial.exhibits.get(number="3").photograph
    page.goto(f"/cases/{trial.case_id}/exhibits/photographs/{last.pk}/redact/")
    page.go_to(page.get_by_role("application"))
    page.press("Shift+ArrowDown")
    page.press("Enter", "On the picture: arrow keys move the crosshair, Enter sets a corner.")
    for key in ("Shift+ArrowRight", "Shift+ArrowDown"):
        page.press(key)
    page.press("Enter", "On the picture: move on, Enter sets the opposite corner.")
    page.get_by_label("Reason").fill("Badge number of a bystander")
    page.get_by_role("button", name="Make the redacted copy").click()
    page.goto(root)
    page.get_by_role("link", name="Present").click()
    loaded = re.compile("^All pictures loaded")
    expect(page.locator("#said p").last).to_have_text(loaded)
    for key, line_ in COURT:
        page.press(key, line_)


COURT = [
    ("h", "H: show the first exhibit."),
    ("PageDown", "Page Down: the next exhibit."),
    ("ArrowRight", "Right arrow: the next exhibit."),
    ("PageUp", "Page Up: the one before."),
    ("h", "H: hide."),
    ("h", "H: show again."),
    ("Escape", "Escape: back to the set."),
]


@pytest.fixture
def people(transactional_db: None) -> None:
    for role, username, name in (
        (Role.INVESTIGATOR, "quill", "L. Quill"),
        (Role.PATHOLOGIST, "vasko", "Dr. I. Vasko"),
        (Role.SUPERVISOR, "thorne", "M. Thorne"),
        (Role.RECORDS_CLERK, "ostrander", "R. Ostrander"),
    ):
        line.person(role, username, name)
    # The chief is a pathologist too: only a physician signs the review.
    chief = Staff.objects.get(username="thorne")
    chief.groups.add(Group.objects.get(name=Role.PATHOLOGIST.value))


@pytest.mark.django_db(transaction=True)
def test_one_case_by_keys(
    new_page: Callable[..., Page], people: None, worker: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    worker.start()
    monkeypatch.setattr(line, "point_on_chart", point_on_chart_by_keys)
    walks: list[Walk] = []
    line.whole_line(keyed_pages(new_page, walks))
    assert Case.objects.get().state == "signed"
    compare(walks, PEOPLE)


@pytest.mark.django_db(transaction=True)
def test_what_is_beside_the_line_by_keys(new_page: Callable[..., Page], people: None) -> None:
    vasko = Staff.objects.get(username="vasko")
    photograph = photograph_with_scale(vasko, make_case(by=vasko))
    derive_images(photograph_id=str(photograph.pk))
    made = make_set(vasko, photograph.case)
    for one in (photograph, *(make_photograph(vasko, photograph.case, n) for n in (2, 3))):
        make_exhibit(vasko, made, one)
    walks: list[Walk] = []
    pages = keyed_pages(new_page, walks)
    measure(pages(), photograph)
    show_and_redact(pages(), made)
    compare(walks, BESIDE)


def compare(walks: list[Walk], people: list[str]) -> None:
    """Find what was done now in the kept document, or write it there."""
    for person, walk in zip(people, walks, strict=True):
        part = "\n".join([f"## {person}", "", *walk.lines, ""])
        if "KEEP" in os.environ:
            keep(person, part)
        assert part in KEPT.read_text(), f"another for: {person} (KEEP=1 make keys)"


def keep(person: str, part: str) -> None:
    """Put a part of the document in its place."""
    kept = KEPT.read_text() if KEPT.exists() else HEAD
    parts = dict.fromkeys([*PEOPLE, *BESIDE], "")
    for one in kept.split("\n## ")[1:]:
        parts[one.partition("\n")[0]] = f"## {one}"
    parts[person] = part
    KEPT.write_text(HEAD + "\n".join(one for one in parts.values() if one))


HEAD = """# A case by keys alone

Written by `make keys`, which does all of it in a browser: what is pressed, the role and name that
the browser tells of what has the focus, and what is said in the page's live region. “…” stands for
what is another each time.

"""
