"""The work that every engine does, written once."""

from __future__ import annotations

import hashlib
import re
import time
from collections.abc import Callable

from me_office.demo.pictures import render
from tests.engines.visitor import NARROW, Visitor
from tests.production.people import Person

# The one of the invented office, whose own module wants a whole Django around it.
PASSWORD = "seven herons at dusk"
# Who sets up a second factor in which engine: in one office nobody does it twice.
WITH_A_SECOND_FACTOR = {"chromium": "sedge", "firefox": "renn", "webkit": "amadi"}
CHART_CASE = "Death in a holding cell"
SCENE_CASE = "Found in bed, Larch Street"
TRIAL_CASE, TRIAL = "Two-car collision, Moor Road", "Trial, who drove the car"
UPLOAD_SECONDS = 60
# What can be touched on the page and is not whole: beyond its edge, or cut by what holds it.
CUT = """page.all("button", "…").concat(page.all("link", "…")).filter((one) => {
    if (one.closest(".course, .skip-link")) return false;
    const place = page.place(one);
    const box = one.getBoundingClientRect();
    return !place.free || box.left < 0 || box.right > innerWidth;
}).map((one) => one.outerHTML.slice(0, 100))"""
REFUSED = """document.activeElement === page.all("field", given[0])[0]
    && page.all("words", given[1]).length > 0"""
WIDER = "page.all('image', given[0])[0]?.getBoundingClientRect().width > given[1] * 1.9"
UNDER_THE_VEIL = "page.all('image', '…').filter((one) => page.place(one).free).map(page.nameOf)"

STEPS: dict[str, Callable[[Visitor], None]] = {}


def step(words: str) -> Callable[[Callable[[Visitor], None]], Callable[[Visitor], None]]:
    """Put a step at the end of the work."""

    def put(taken: Callable[[Visitor], None]) -> Callable[[Visitor], None]:
        STEPS[words] = taken
        return taken

    return put


def enter(visitor: Visitor, username: str) -> None:
    """Come in by the sign-in page, after whoever was there before."""
    if visitor.who == username:
        return
    visitor.go("/")
    if visitor.who:
        leave(visitor)
    say_who(visitor, username)
    visitor.until("!page.all('button', 'Sign in').length", what="the first page")


def say_who(visitor: Visitor, username: str) -> None:
    """Fill in the sign-in page."""
    visitor.who = username
    visitor.fill("User name", username)
    visitor.fill("Password", PASSWORD)
    visitor.click("button", "Sign in")


def leave(visitor: Visitor) -> None:
    """Sign out."""
    visitor.asked("(document.querySelector('.top-line .menu').open = true)")
    visitor.click("button", "Sign out")
    visitor.sees("field", "User name")
    visitor.who = ""


@step("sign in with a second factor")
def second_factor(visitor: Visitor) -> None:
    person = Person(WITH_A_SECOND_FACTOR[visitor.engine.name], PASSWORD)
    enter(visitor, person.username)
    visitor.sees("link", "All cases")
    visitor.go("/account/2fa/totp/activate/")
    if "reauthenticate" in visitor.path():
        visitor.fill("Password", PASSWORD)
        visitor.click("button", "Confirm")
    visitor.sees("heading", "1. Give the app the key")
    key = visitor.asked("document.querySelector('.second-factor-key').textContent")
    person.secret = re.sub(r"\s", "", key)
    person.secret += "=" * (-len(person.secret) % 8)
    visitor.fill("2. Enter the code the app shows", person.code())
    visitor.click("button", "Use this second factor")
    visitor.until("!location.pathname.includes('activate')")
    leave(visitor)
    say_who(visitor, person.username)
    visitor.fill("Code", "000000")
    visitor.click("button", "Sign in")
    visitor.sees("heading", "Not confirmed")
    visitor.fill("Code", person.code())
    visitor.click("button", "Sign in")
    visitor.sees("link", "All cases")


@step("worklist")
def worklist(visitor: Visitor) -> None:
    enter(visitor, "vasko")
    visitor.go("/")
    visitor.photograph("worklist")


@step("a point on the body chart")
def chart_point(visitor: Visitor) -> None:
    enter(visitor, "vasko")
    visitor.go(f"{case_address(visitor, CHART_CASE)}/chart/")
    chart_ready(visitor)
    visitor.click("button", "Point")
    visitor.engine.click(*on_screen(visitor, -72.0, 290.0))
    visitor.until("document.querySelector('[data-widget=placing-words]')?.dataset.region")
    visitor.until("document.activeElement === page.all('field', 'Term')[0]", what="focus on Term")
    visitor.photograph("chart")
    visitor.fill("Term", "Contusion")
    visitor.press("Escape")
    visitor.click("button", "Record the finding")
    number = visitor.until(
        """page.all("heading", "…").map((one) => page.nameOf(one).match(/^(\\d+) · Contusion/))
            .find(Boolean)?.[1]""",
        what="the finding",
    )
    visitor.go(visitor.path())
    chart_ready(visitor)
    row = visitor.asked(
        "document.querySelector(given[0])?.textContent", f"#findings [data-number='{number}']"
    )
    assert "Contusion" in row, row


@step("pages at 320 px")
def narrow(visitor: Visitor) -> None:
    enter(visitor, "vasko")
    address = case_address(visitor, CHART_CASE)
    course = "[...document.querySelectorAll('nav.course a')].map((one) => one.pathname)"
    visitor.go(f"{address}/chart/")
    pages = visitor.asked(course)
    visitor.engine.size(*NARROW)
    for path in ["/", *pages, f"{address}/photographs/add/", f"{address}/chart/"]:
        visitor.go(path)
        wide, cut = visitor.asked(f"[document.documentElement.scrollWidth, {CUT}]")
        assert wide <= NARROW[0], f"{path} is {wide} px wide"
        assert cut == [], f"on {path}: {cut}"
    chart_ready(visitor)
    visitor.asked("window.scrollTo(0, 0)")
    visitor.photograph("chart-narrow")
    assert visitor.asked(CUT) == []
    visitor.click("button", "More")
    visitor.click("link", "Mouth")
    visitor.until("document.querySelector('[data-widget=body-chart]').dataset.view === 'mouth'")
    chart_ready(visitor)


@step("upload of a photograph")
def upload(visitor: Visitor) -> None:
    enter(visitor, "vasko")
    seed = time.time_ns() % 10**6
    file = visitor.pictures / f"{visitor.engine.name}.jpg"
    file.write_bytes(render("contusion", seed=seed, width=1200, height=800, label="1").jpeg())
    address = case_address(visitor, CHART_CASE)
    visitor.go(f"{address}/photographs/add/")
    visitor.choose_files("Files", file)
    visitor.click("field", "examination", of="Place")
    visitor.click("field", "close-up", of="View")
    visitor.fill("What it shows", f"Taken in by {visitor.engine.name}")
    visitor.fill("Taken at", "03/04")
    visitor.click("button", "Add 1 photograph")
    visitor.until(REFUSED, "Taken at", "Write the date as 11/29/2026.")
    visitor.photograph("upload")
    visitor.fill("Taken at", "")
    visitor.click("button", "Add 1 photograph")
    visitor.sees("words", "1 added", patience=UPLOAD_SECONDS)
    number = visitor.asked(
        """fetch(`/api${given[0]}/photographs/`).then((answer) => answer.json()).then((all) =>
            (all.results ?? all).find((one) => one.sha256 === given[1])?.id)""",
        address,
        hashlib.sha256(file.read_bytes()).hexdigest(),
    )
    assert number, "the office has no file with this digest"
    visitor.go(f"{address}/photographs/{number}/")
    visitor.until(
        "[...document.images].some((one) => one.naturalWidth > 300)", what="the picture",
        patience=UPLOAD_SECONDS,
    )  # fmt: skip
    visitor.photograph("photograph")


@step("a date and a time")
def moment(visitor: Visitor) -> None:
    enter(visitor, "quill")
    visitor.go(f"{case_address(visitor, SCENE_CASE)}/readings/new/")
    visitor.click("field", "air beside the body")
    # The office refuses what was read before at the same minute.
    visitor.fill("Temperature", f"{time.time_ns() % 300 / 10:.1f}")
    visitor.fill("Read with", f"Thermometer of {visitor.engine.name}")
    visitor.fill("Read at", "03/04")
    visitor.click("button", "Save")
    visitor.until(REFUSED, "Read at", "Write the date as 11/29/2026.")
    visitor.fill("Read at", "03/04/2026")
    visitor.fill("Read at, time", "2:05")
    visitor.click("button", "Save")
    visitor.until(REFUSED, "Read at, time", "Write 02:05 or 14:05, or add AM or PM.")
    visitor.photograph("half-typed")
    visitor.fill("Read at, time", "2:05 pm")
    visitor.sees("words", "Wednesday, March 4, 2026, 14:05 EST…")
    visitor.click("button", "Choose date, Read at")
    visitor.until("page.nameOf(document.activeElement) === given[0]", "Wednesday, March 4, 2026")
    visitor.photograph("day-chooser")
    visitor.press("ArrowDown", "ArrowRight", "ArrowRight", "Enter")
    visitor.sees("words", "Friday, March 13, 2026, 14:05 EDT…")
    visitor.click("button", "Save")
    visitor.sees("words", f"Thermometer of {visitor.engine.name}…")


@step("the courtroom")
def courtroom(visitor: Visitor) -> None:
    enter(visitor, "ostrander")
    visitor.go(f"{case_address(visitor, TRIAL_CASE)}/exhibits/")
    visitor.click("link", TRIAL)
    visitor.click("link", "Present")
    visitor.sees("words", "Press H to show the exhibit")
    visitor.misses("heading", "Exhibit S-21")
    # What the page says by itself is there before its keys are.
    visitor.until(
        "document.querySelector('[data-part=ahead]').textContent", what="the screen's keys"
    )
    visitor.press("h")
    visitor.sees("heading", "Exhibit S-21")
    visitor.until(
        "page.all('image', 'Exhibit S-21…')[0]?.naturalWidth", what="the exhibit's picture"
    )
    visitor.photograph("courtroom")
    visitor.press("n")
    visitor.sees("heading", "Exhibit S-22")
    visitor.misses("heading", "Exhibit S-21")
    before = exhibit_width(visitor, "Exhibit S-22…")
    visitor.press("z")
    visitor.until(WIDER, "Exhibit S-22…", before)
    visitor.press("z", "z", "h")
    visitor.sees("words", "Press H to show the exhibit")
    assert visitor.asked(UNDER_THE_VEIL) == []
    visitor.press("h", "p")
    visitor.sees("heading", "Exhibit S-21")
    visitor.press("Tab")
    visitor.click("button", "Next")
    visitor.sees("heading", "Exhibit S-22")
    visitor.click("button", "Zoom in")
    visitor.until(WIDER, "Exhibit S-22…", before)
    visitor.photograph("courtroom-buttons")
    visitor.click("button", "Fit")
    visitor.click("button", "Hide")
    visitor.sees("words", "Press H to show the exhibit")
    visitor.press("h")
    visitor.click("button", "End")
    visitor.sees("link", "Present")


def exhibit_width(visitor: Visitor, name: str) -> float:
    """How wide the picture of an exhibit is on the screen, once it is there."""
    width: float = visitor.until(
        "page.all('image', given[0])[0]?.naturalWidth"
        " && page.all('image', given[0])[0].getBoundingClientRect().width",
        name,
    )
    return width


def case_address(visitor: Visitor, heading: str) -> str:
    """Find a case by its heading, as a person does; return its address."""
    visitor.go("/")
    visitor.fill("Find a case", heading)
    visitor.press("Enter")
    visitor.sees("heading", f"One case for “{heading}”")
    found: str = visitor.asked(
        "document.querySelector('main .rows a').pathname.replace(/\\/$/, '')"
    )
    return found


def chart_ready(visitor: Visitor) -> None:
    """Wait until the body's surface is there to be picked."""
    visitor.until(
        "!!document.querySelector('[data-widget=body-chart][data-ready]')", what="the chart"
    )


def on_screen(visitor: Visitor, u: float, v: float) -> tuple[float, float]:
    """Where a page point of the drawing lies on the screen."""
    at = visitor.asked(
        """((svg) => {
            const at = new DOMPoint(...given).matrixTransform(svg.getScreenCTM());
            return [at.x, at.y];
        })(document.querySelector("[role=application] svg"))""",
        u,
        v,
    )
    return at[0], at[1]
