"""Counts and draws the pages of a paper: a program of its own that knows nothing of the office.

The file comes as its standard input. Its arguments are `count`, or `draw` and a page's number; the
answer is a number, or the page as JPEG, on its standard output. A file that cannot be read ends it
with status 3. It is started by `paper` with limits on memory, time and what it may write, so that a
file made to do harm ends this program and nothing else.
"""

from __future__ import annotations

import io
import resource
import sys
from typing import Any

MEMORY_BYTES = 1024 * 1024 * 1024
PROCESSOR_SECONDS = 40
MOST_PAGES = 400
# The longer side of a drawn page, in pixels: letter paper at 150 dots an inch.
LONGER_SIDE = 1650
REFUSED = 3


def limit() -> None:
    """Give this process its limits; there is no way back."""
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY_BYTES, MEMORY_BYTES))
    resource.setrlimit(resource.RLIMIT_CPU, (PROCESSOR_SECONDS, PROCESSOR_SECONDS))
    resource.setrlimit(resource.RLIMIT_FSIZE, (0, 0))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def count(document: Any) -> bytes:
    """Return how many pages there are, as digits. Raises ValueError."""
    pages = len(document)
    if not 1 <= pages <= MOST_PAGES:
        raise ValueError("pages")
    return str(pages).encode()


def draw(document: Any, number: int) -> bytes:
    """Return a page as JPEG; pages are counted from 1. Raises ValueError."""
    if not 1 <= number <= len(document):
        raise ValueError("page")
    page = document[number - 1]
    longer = max(page.get_width(), page.get_height())
    if not 20 <= longer <= 14_400:
        raise ValueError("size")
    picture = page.render(scale=LONGER_SIDE / longer).to_pil().convert("RGB")
    made = io.BytesIO()
    picture.save(made, "JPEG", quality=82)
    return made.getvalue()


def main() -> None:
    """Do what the arguments say with the file on standard input."""
    import pypdfium2

    with open(0, "rb", closefd=False) as given:
        content = given.read()
    limit()
    try:
        document = pypdfium2.PdfDocument(content)
        what = sys.argv[1]
        made = count(document) if what == "count" else draw(document, int(sys.argv[2]))
    except (pypdfium2.PdfiumError, ValueError, OSError, MemoryError):
        sys.exit(REFUSED)
    with open(1, "wb", closefd=False) as out:
        out.write(made)


if __name__ == "__main__":
    main()
