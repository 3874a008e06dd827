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
TRIAL_CASE, TRIAL = "Two-car collision, Moor Road", "Trial, who drove the car"
UPLOAD_SECONDS = 60
# What can be touched on the page and is not whole: beyond its edge, or cut by what holds it.
CUT = """page.all("button", "…").concat(page.all("link", "…")).filter((one) => {
    if (one.closest(".course, .skip-link")) return false;
    const place = page.place(one);
    const box = one.getBoundingClientRect();
    return !place.free || box.left < 0 || box.right > innerWidth;
}).map((one) => one.outerHTML.slice(0, 100))"""
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


@step("the chart at 320 px")
def narrow_chart(visitor: Visitor) -> None:
    enter(visitor, "vasko")
    address = case_address(visitor, CHART_CASE)
    visitor.engine.size(*NARROW)
    visitor.go(f"{address}/chart/")
    chart_ready(visitor)
    visitor.photograph("chart-narrow")
    assert visitor.asked("innerWidth") == NARROW[0]
    wide = visitor.asked("document.documentElement.scrollWidth")
    assert wide <= NARROW[0], f"the page is {wide} px wide"
    cut = visitor.asked(CUT)
    assert cut == [], cut
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
    visitor.photograph("upload")
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
        "page.all('image', '…').some((one) => one.naturalWidth > 300)", what="the picture",
        patience=UPLOAD_SECONDS,
    )  # fmt: skip
    visitor.photograph("photograph")


@step("the courtroom")
def courtroom(visitor: Visitor) -> None:
    enter(visitor, "ostrander")
    visitor.go(f"{case_address(visitor, TRIAL_CASE)}/exhibits/")
    visitor.click("link", TRIAL)
    visitor.click("link", "Present")
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
    visitor.until("page.all('image', given[0])[0].getBoundingClientRect().width > given[1] * 1.9",
                  "Exhibit S-22…", before)  # fmt: skip
    visitor.press("z", "z", "h")
    visitor.sees("words", "Press H to show again")
    assert visitor.asked(UNDER_THE_VEIL) == []
    visitor.press("h", "p")
    visitor.sees("heading", "Exhibit S-21")
    visitor.press("Escape")
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
