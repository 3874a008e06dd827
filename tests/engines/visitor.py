"""A person at a browser: finds things by what they are and how they are called, and waits."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from tests.engines.engine import Engine, PageGone, wait_for

PATIENCE_SECONDS = 20
FINDING = (Path(__file__).parent / "finding.js").read_text()
WITH = f"(...given) => {{ const page = {FINDING.rstrip()};"
DESK, NARROW = (1440, 900), (320, 700)


class Visitor:
    """Somebody who works in one engine."""

    def __init__(self, engine: Engine, address: str, pictures: Path) -> None:
        self.engine = engine
        self.address = address
        self.pictures = pictures
        self.who = ""

    def go(self, path: str) -> None:
        """Open a page of the office."""
        self.engine.go(self.address + path)

    def path(self) -> str:
        """Return where the person is."""
        return str(self.asked("location.pathname"))

    def asked(self, expression: str, *given: Any) -> Any:
        """Return what an expression gives in the page, where `page` finds things."""
        return self.engine.run(f"{WITH} return {expression}; }}", *given)

    def until(self, expression: str, *given: Any, what: str = "", patience: float = 0) -> Any:
        """Wait until an expression is true in the page."""

        def true() -> Any:
            try:
                return self.asked(expression, *given)
            except PageGone:
                return None

        wanted = what or " ".join(map(str, given))
        return wait_for(true, f"{wanted!r}", patience or PATIENCE_SECONDS)

    def sees(self, kind: str, name: str, *, patience: float = 0) -> None:
        """Wait until something is to be seen."""
        self.until("page.all(...given).length", kind, name, patience=patience)

    def misses(self, kind: str, name: str) -> None:
        """Wait until something is no longer to be seen."""
        self.until("!page.all(...given).length", kind, name)

    def click(self, kind: str, name: str, *, of: str = "") -> None:
        """Click something, at its middle, once it lies still and nothing lies over it."""
        given = [kind, name, ["group", of] if of else None]
        place: dict[str, Any] = {}

        def free() -> bool:
            before = dict(place)
            try:
                place.update(self.asked("page.place(page.all(...given)[0])", *given))
            except PageGone:
                return False
            return bool(place["free"]) and before == place

        try:
            wait_for(free, f"{kind} {name!r}", PATIENCE_SECONDS)
        except TimeoutError as error:
            raise TimeoutError(f"{error}; there is: {place.get('over')}") from None
        self.engine.click(place["x"], place["y"])

    def fill(self, label: str, text: str) -> None:
        """Write into a field in place of what stands there."""
        self.click("field", label)
        self.until("document.activeElement === page.all('field', given[0])[0]", label)
        self.asked("document.activeElement.select?.()")
        self.press("Delete")
        self.engine.write(text)

    def press(self, *keys: str) -> None:
        """Press keys, one after the other."""
        for key in keys:
            self.engine.press(key)

    def choose_files(self, label: str, *files: Path) -> None:
        """Choose files in a field."""
        self.until("page.all(...given).length", "field", label)
        self.engine.choose_files(
            f"{WITH} return page.all(...given)[0]; }}", ["field", label], list(files)
        )

    def photograph(self, name: str) -> None:
        """Keep what is to be seen, for a person to look at, in the light and in the dark."""
        self._keep(name)
        self.asked("(document.documentElement.dataset.theme = 'dark')")
        self._keep(f"{name}-dark")
        self.asked("delete document.documentElement.dataset.theme")

    def _keep(self, name: str) -> None:
        # What the page has just become is painted with the second frame from now.
        self.engine.run(
            "() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))"
        )
        (self.pictures / f"{self.engine.name}-{name}.png").write_bytes(self.engine.picture())
