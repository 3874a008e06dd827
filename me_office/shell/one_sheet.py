"""The style sheet of every page, which is found as one file and is written as several.

A page that asks for each of them takes a browser a fifth of its work again. What it is made of
lies beside it, in the order in which it counts; what is written in it is found there.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

from django.conf import settings
from django.contrib.staticfiles.finders import BaseFinder
from django.core.checks import CheckMessage
from django.core.files.storage import FileSystemStorage

NAME = "shell/css/every_page.css"
PARTS = (
    "tokens", "base", "button", "frame", "case", "form", "input", "typed", "list", "thread",
    "timeline", "veil", "account", "keys", "target", "chosen",
)  # fmt: skip
WRITTEN = Path(__file__).with_name("static") / "shell/css"


class OneSheet(BaseFinder):
    """Finds the sheet, and makes it anew where a part is no longer as it was."""

    def __init__(self, *_: object) -> None:
        self.storage = FileSystemStorage(settings.DATA_DIR / "made")

    def check(self, **_: object) -> list[CheckMessage]:
        """Have nothing to say of the settings."""
        return []

    def find(self, path: str, find_all: bool = False, **_: object) -> Any:
        """Return where the sheet lies, if it is asked for."""
        if path != NAME:
            return []
        return [self.made()] if find_all else self.made()

    def list(self, ignore_patterns: Iterable[str] | None) -> Iterator[tuple[str, Any]]:
        """Name the sheet to who collects all files."""
        self.made()
        yield NAME, self.storage

    def made(self) -> str:
        """Return where the sheet lies, as its parts say now."""
        place = Path(self.storage.path(NAME))
        whole = "\n".join((WRITTEN / f"{part}.css").read_text() for part in PARTS)
        if not place.exists() or place.read_text() != whole:
            place.parent.mkdir(parents=True, exist_ok=True)
            # Whole at once: another process may be reading it.
            beside = place.with_suffix(f".{os.getpid()}")
            beside.write_text(whole)
            beside.replace(place)
        return str(place)
