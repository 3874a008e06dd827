"""What a browser engine is asked for: little, so that three very different ones can be alike."""

from __future__ import annotations

import re
import subprocess
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any, Protocol

START_SECONDS = 60
# Keys that write nothing, as https://www.w3.org/TR/webdriver2/#keyboard-actions names them.
NAMED_KEYS = {
    "Backspace": "\ue003", "Tab": "\ue004", "Enter": "\ue007", "Shift": "\ue008",
    "Control": "\ue009", "Escape": "\ue00c", " ": "\ue00d", "PageUp": "\ue00e",
    "PageDown": "\ue00f", "End": "\ue010", "Home": "\ue011", "ArrowLeft": "\ue012",
    "ArrowUp": "\ue013", "ArrowRight": "\ue014", "ArrowDown": "\ue015", "Delete": "\ue017",
}  # fmt: skip


class NotInstalled(Exception):
    """The engine is not on this machine; the words say what to install."""


class PageGone(Exception):
    """The page that was asked is being replaced by another one; ask again."""


class Engine(Protocol):
    """A browser with one page."""

    name: str
    version: str

    def start(self, folder: Path) -> None:
        """Start with nothing kept of an earlier session, or raise `NotInstalled`."""

    def stop(self) -> None:
        """End the browser and everything that was started for it; safe to call again."""

    def go(self, url: str) -> None:
        """Open an address and wait until the page is loaded."""

    def run(self, function: str, *given: Any) -> Any:
        """Call a JavaScript function in the page and return its answer as of JSON."""

    def click(self, x: float, y: float) -> None:
        """Click a place of the window with the mouse."""

    def press(self, keys: str) -> None:
        """Press one key, or several at once: "ArrowDown", "Shift+Tab"."""

    def write(self, text: str) -> None:
        """Type a text, letter by letter."""

    def choose_files(self, find: str, given: list[Any], files: list[Path]) -> None:
        """Choose files in the input that a JavaScript function returns."""

    def size(self, width: int, height: int) -> None:
        """Give the page's own area a size in CSS pixels."""

    def picture(self) -> bytes:
        """Return what the window shows, as PNG."""

    def complaints(self) -> list[str]:
        """Return what scripts complained of since the last question."""


def pressed(keys: str) -> list[str]:
    """Return the keys that are held down together, as WebDriver writes them."""
    parts = re.split(r"(?<=.)\+", keys)
    return [NAMED_KEYS.get(part, part) for part in parts]


def key_actions(keys: list[str]) -> list[dict[str, str]]:
    """Return the WebDriver actions that press keys together and let them go."""
    return [
        *({"type": "keyDown", "value": key} for key in keys),
        *({"type": "keyUp", "value": key} for key in reversed(keys)),
    ]


def letter_actions(text: str) -> list[dict[str, str]]:
    """Return the WebDriver actions that type a text."""
    return [action for letter in text for action in key_actions([letter])]


def click_actions(x: float, y: float) -> list[dict[str, Any]]:
    """Return the WebDriver actions of one click."""
    return [
        {"type": "pointerMove", "x": round(x), "y": round(y), "duration": 0},
        {"type": "pointerDown", "button": 0},
        {"type": "pointerUp", "button": 0},
    ]


def wait_for(there: Callable[[], Any], what: str, seconds: float = START_SECONDS) -> Any:
    """Return the first true answer; ask often, for a while."""
    ends = time.monotonic() + seconds
    while time.monotonic() < ends:
        if answer := there():
            return answer
        time.sleep(0.05)
    raise TimeoutError(f"{what} did not come within {seconds:.0f} s")


def end(process: subprocess.Popen[bytes] | None) -> None:
    """End a process that was started here."""
    if process is None or process.poll() is not None:
        return
    process.terminate()
    try:
        process.wait(10)
    except subprocess.TimeoutExpired:
        process.kill()
        process.wait(10)
