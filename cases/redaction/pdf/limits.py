"""Limits of one document, and why a file is refused, in words for the person who chose it."""

from __future__ import annotations

import resource

# The way in which copies are made. Where it hid too little, or lost something, the better one gets
# another number: what was made before goes out no more, and is made again.
VERSION = 1
WAY = f"document redaction {VERSION}"
MOST_BYTES = 150 * 1024 * 1024
# Of one that is sent by a form: the proxy lets a little more through.
MOST_SENT_BYTES = 120 * 1024 * 1024
MOST_PAGES = 600
MOST_CHARACTERS = 8_000_000
# Of one page; a wall chart of five feet is shorter.
MOST_POINTS = 5_000
SMALLEST_POINTS = 20
# Of one picture of a page: four sheets of letter paper at 300 dots an inch.
MOST_PIXELS = 36_000_000
DOTS_AN_INCH = 300
MEMORY_BYTES = 2 * 1024 * 1024 * 1024
LOOK_SECONDS = 60
BURN_SECONDS = 900

LOCKED = "This PDF is protected by a password or by rights. Ask for one that is not."
BROKEN = "This file cannot be read as a PDF. Ask for a sound copy."
TOO_LONG = f"This PDF has too many pages; at most {MOST_PAGES} can be redacted. Part it first."
TOO_LARGE = f"This PDF is larger than {MOST_BYTES // 1024**2} MB. Part it first."
TOO_LARGE_TO_SEND = TOO_LARGE.replace(str(MOST_BYTES // 1024**2), str(MOST_SENT_BYTES // 1024**2))
TOO_MUCH = (
    "Reading this PDF takes more memory or time than a file may. Print it to paper and scan it."
)
WRONG_SIZE = (
    "This PDF has a page larger than 69 inches or smaller than a stamp. Print it to paper and scan "
    "it."
)
NO_PAGE = "The document has no such page."


class Unfit(Exception):
    """A file that cannot be redacted; the words say why."""


def limit(seconds: int) -> None:
    """Give this process its limits; there is no way back."""
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY_BYTES, MEMORY_BYTES))
    resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds))
    resource.setrlimit(resource.RLIMIT_FSIZE, (0, 0))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
