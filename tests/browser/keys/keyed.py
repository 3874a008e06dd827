"""A page that is used by its keys alone: what a test clicks, fills and chooses is reached by Tab.

`KeyedPage` and `KeyedLocator` take the place of Playwright's in a script that was written for a
mouse. Each act goes to its element by Tab from where the focus is, is done by the keys that a
person would press there, and is noted: what was pressed, the role and name that the browser's
accessibility tree gives the element that has the focus, and what the live region said since.
"""

from __future__ import annotations

import re
from typing import Any, Self, cast

from playwright.sync_api import Locator, Page, Request

MOST_TABS = 600
# Longer than say.js waits before a sentence and between two.
A_MOMENT_MS = 500
LONGEST_WAIT_MS = 30_000
# Names that Chromium keeps to itself, as a person would say them.
ROLES = {
    "textbox": "field", "searchbox": "field", "combobox": "choice", "menulist": "choice",
    "radio": "option", "checkbox": "box", "button": "button", "link": "link",
    "DisclosureTriangle": "button", "summary": "button", "spinbutton": "field",
    "Date": "field", "DateTime": "field", "InputTime": "field", "application": "drawing",
}  # fmt: skip
FOCUSABLE = """element => {
    const label = element.closest("label");
    if (label?.control) return label.control;
    return element.closest(
        "a[href], button, input, select, textarea, summary, [tabindex]:not([tabindex='-1'])"
    ) ?? element;
}"""
# A radio group is one stop: its chosen one, or the first or last where none is.
IS_THERE = """element => {
    const active = document.activeElement;
    return active === element || (element.type === "radio" && active.type === "radio"
        && active.name === element.name && active.form === element.form);
}"""
GROUP = """() => {
    const group = document.activeElement.closest("fieldset, [role=group], [role=radiogroup]");
    const by = document.getElementById(group?.getAttribute("aria-labelledby"));
    return (group?.ariaLabel ?? (by ?? group?.querySelector("legend"))?.textContent ?? "")
        .replace("required", "").trim();
}"""
LISTEN = """() => {
    const watch = () => {
        const said = document.getElementById("said");
        if (!said) return;
        // A page of many modules can speak before it is ready to be listened to.
        for (const one of said.children) window.heardByTheWalk(one.textContent, document.title);
        new MutationObserver((changes) => {
            for (const { addedNodes } of changes)
                for (const one of addedNodes)
                    window.heardByTheWalk(one.textContent, document.title);
        }).observe(said, { childList: true });
    };
    if (document.readyState === "loading") document.addEventListener("DOMContentLoaded", watch);
    else watch();
}"""


class Walk:
    """What one person pressed and heard, as lines that somebody can follow."""

    def __init__(self, person: str) -> None:
        self.person = person
        self.lines: list[str] = []
        self.presses = 0
        self.title = ""
        # While a key is held down only what is said last is heard to its end.
        self.passing = False
        self._last = ""

    def note(self, line: str) -> None:
        """Add what was done."""
        self.lines.append(f"- {plain(line)}")

    def heard(self, words: str, title: str = "") -> None:
        """Add what the live region said, after the title that the page had by then."""
        # A page that waits for a worker takes its new title as it speaks, and is heard later.
        if title:
            self.came_to(title)
        if self.passing:
            self._last = words
        else:
            self.lines.append(f"  - heard: “{plain(words)}”")

    def passed(self) -> None:
        """Add what was said last while keys were pressed one after another."""
        self.passing = False
        if self._last:
            self.heard(self._last)
        self._last = ""

    def came_to(self, title: str) -> None:
        """Add the page that opened."""
        if title != self.title:
            self.title = title
            self.lines.append(f"  - page: *{plain(title.split(' · ')[0])}*")


def plain(words: str) -> str:
    """Return words without what differs from run to run: days, times, keys."""
    words = re.sub(r"\s+", " ", words).strip()
    words = re.sub(r"\b(Mon|Tues|Wednes|Thurs|Fri|Satur|Sun)day\b", "…", words)
    words = re.sub(r"\b\d{4}-\d{2}-\d{2}(T| )?(\d{2}:\d{2})?", "…", words)
    words = re.sub(
        r"\b\d{1,2} [A-Z][a-z]{2,8} \d{4}\b|\b[A-Z][a-z]{2,8} \d{1,2}, \d{4}\b", "…", words
    )
    words = re.sub(r"\b\d{1,2}/\d{1,2}/\d{4}\b", "…", words)
    words = re.sub(r"\b\d{1,2}:\d{2}\b( E[SD]T| [AP]M)?", "…", words)
    return re.sub(r"\bS-[0-9a-f]{6}\b", "S-…", words)


class KeyedLocator(Locator):
    """An element that is reached and used by keys."""

    def __init__(self, plain_one: Locator, keys: KeyedPage) -> None:
        super().__init__(plain_one._impl_obj)
        self._keys = keys

    def _also(self, found: Locator) -> Self:
        return cast(Self, KeyedLocator(found, self._keys))

    def get_by_role(self, *args: Any, **more: Any) -> Self:  # type: ignore[override]
        return self._also(super().get_by_role(*args, **more))

    def get_by_label(self, *args: Any, **more: Any) -> Self:  # type: ignore[override]
        return self._also(super().get_by_label(*args, **more))

    def get_by_text(self, *args: Any, **more: Any) -> Self:  # type: ignore[override]
        return self._also(super().get_by_text(*args, **more))

    def locator(self, *args: Any, **more: Any) -> Self:
        return self._also(super().locator(*args, **more))

    def all(self) -> list[Locator]:
        return [self._also(one) for one in super().all()]

    @property
    def first(self) -> Self:
        return self._also(super().first)

    @property
    def last(self) -> Self:
        return self._also(super().last)

    def nth(self, index: int) -> Self:
        return self._also(super().nth(index))

    def click(self, **_: Any) -> None:
        kind = self._keys.go_to(self)
        self._keys.press("Enter", f"{kind}, Enter.")

    def check(self, **_: Any) -> None:
        kind = self._keys.go_to(self)
        handle = self.element_handle()
        if handle.evaluate("e => e.type") != "radio":
            if not self.is_checked():
                self._keys.press("Space", f"{kind}, Space.")
            return
        for _ in range(20):
            if handle.evaluate("e => e.checked && e === document.activeElement"):
                break
            chosen = self._keys.evaluate("() => document.activeElement.checked")
            self._keys.keyboard.press("ArrowDown" if chosen else "Space")
            self._keys.walk.presses += 1
        assert handle.evaluate("e => e.checked"), "the arrows do not reach this option"
        self._keys.walk.note(f"{self._keys.focused()}, chosen by arrow keys or Space.")

    def fill(self, value: str, **_: Any) -> None:  # type: ignore[override]
        kind = self._keys.go_to(self)
        self._keys.press("Control+a")
        self._keys.keyboard.type(value)
        secret = self.evaluate("e => e.type === 'password'")
        self._keys.walk.note(f"{kind}: type {'the password' if secret else '“' + value + '”'}.")

    def select_option(self, value: Any = None, *, label: Any = None, **_: Any) -> list[str]:  # type: ignore[override]
        kind = self._keys.go_to(self)
        wanted = """(e, [value, label]) =>
            (label ? e.selectedOptions[0]?.label : e.value) === (label ?? value)"""
        self._keys.press("Home")
        for _ in range(400):
            if self.evaluate(wanted, [value, label]):
                break
            self._keys.press("ArrowDown")
        assert self.evaluate(wanted, [value, label]), "no such option"
        chosen = self.evaluate("e => e.selectedOptions[0].label")
        self._keys.walk.note(f"{kind}: “{chosen}” by the arrow keys.")
        return [chosen]

    def set_input_files(self, files: Any, **_: Any) -> None:  # type: ignore[override]
        kind = self._keys.go_to(self)
        with self._keys.expect_file_chooser() as opened:
            self._keys.press("Space", f"{kind}, Space; choose the files in the system’s dialog.")
        opened.value.set_files(files)


class KeyedPage(Page):
    """A page that is used by keys, with the account of it."""

    def __init__(self, plain_one: Page, walk: Walk) -> None:
        super().__init__(plain_one._impl_obj)
        self.walk = walk
        self._tree = plain_one.context.new_cdp_session(plain_one)
        self._under_way = False
        plain_one.on("request", self._begin)
        plain_one.on("load", self._end)
        plain_one.on("requestfailed", self._end)
        plain_one.on("download", self._end)
        plain_one.expose_function("heardByTheWalk", walk.heard)
        plain_one.add_init_script(f"({LISTEN})()")

    def _begin(self, request: Request) -> None:
        self._under_way = self._under_way or request.is_navigation_request()

    def _end(self, _: object) -> None:
        self._under_way = False

    def settle(self) -> None:
        """Wait until a page that a key asked for is there, as who presses it does."""
        self.wait_for_timeout(A_MOMENT_MS)
        for _ in range(LONGEST_WAIT_MS // A_MOMENT_MS):
            if not self._under_way:
                return
            self.wait_for_timeout(A_MOMENT_MS)

    def _also(self, found: Locator) -> KeyedLocator:
        return KeyedLocator(found, self)

    def get_by_role(self, *args: Any, **more: Any) -> KeyedLocator:  # type: ignore[override]
        return self._also(super().get_by_role(*args, **more))

    def get_by_label(self, *args: Any, **more: Any) -> KeyedLocator:  # type: ignore[override]
        return self._also(super().get_by_label(*args, **more))

    def get_by_text(self, *args: Any, **more: Any) -> KeyedLocator:  # type: ignore[override]
        return self._also(super().get_by_text(*args, **more))

    def locator(self, *args: Any, **more: Any) -> KeyedLocator:  # type: ignore[override]
        return self._also(super().locator(*args, **more))

    def goto(self, url: str, **_: Any) -> None:  # type: ignore[override]
        """Go by a link of the page where there is one; else by the browser's address field."""
        link = super().locator(f'a[href="{url}"]:visible').first if url != "/" else None
        if link is not None and "://" in self.url and link.count():
            self._also(link).click()
        else:
            super().goto(url)
            self.walk.note("Open the address of the page.")

    def wait_for_url(self, url: Any, **more: Any) -> None:  # type: ignore[override]
        """A form's answer keeps the part of the page that the first link led to."""
        super().wait_for_url(f"{url}*", **more)

    def press(self, key: str, line: str = "") -> None:  # type: ignore[override]
        """Press a key where the focus is; with a line, hear what follows before going on."""
        if line:
            if self.walk.passing:
                self.settle()
                self.walk.passed()
            self.walk.note(line)
        else:
            self.walk.passing = True
        self.keyboard.press(key)
        self.walk.presses += 1
        if line:
            self.settle()

    def go_to(self, target: Locator) -> str:
        """Tab to an element; return what the accessibility tree calls it."""
        target.wait_for(state="attached")
        self.walk.came_to(self.title())
        stop = target.evaluate_handle(FOCUSABLE).as_element()
        assert stop is not None
        skipped = False
        for _ in range(MOST_TABS):
            if stop.evaluate(IS_THERE):
                return self.focused()
            self.press("Tab")
            # Who hears the page takes the first link, which leads past the top line.
            if not skipped and self.evaluate(
                "() => document.activeElement.classList.contains('skip-link')"
            ):
                skipped = True
                if stop.evaluate("e => !!e.closest('main')"):
                    self.press("Enter")
        raise AssertionError(f"Tab does not reach {target}")

    def focused(self) -> str:
        """Return role and name of what has the focus, as the browser tells a screen reader."""
        active = self._tree.send("Runtime.evaluate", {"expression": "document.activeElement"})[
            "result"
        ]["objectId"]
        (node, *_) = self._tree.send(
            "Accessibility.getPartialAXTree", {"objectId": active, "fetchRelatives": False}
        )["nodes"]
        name = node.get("name", {}).get("value", "")
        role = node.get("role", {}).get("value", "")
        assert name, f"a {role} without a name has the focus on {self.url}"
        group = self.evaluate(GROUP) if role == "radio" else ""
        return f"Tab to the {ROLES.get(role, role)} **{name}**{group and f' of **{group}**'}"


def keyed_pages(new_page: Any, walks: list[Walk]) -> Any:
    """Return what opens pages in place of `new_page`, each used by its keys."""

    def make(**options: Any) -> KeyedPage:
        walk = Walk("")
        walks.append(walk)
        return KeyedPage(new_page(own=True, **options), walk)

    return make
