"""The text of a PDF's pages, line by line: a program of its own that knows nothing of the office.

The file comes as its standard input, the answer is JSON on its standard output: `pages`, or
`refused` with the reason in words. It is started by `reading` with limits on memory, time and what
it may write, so that a file made to do harm ends this program and nothing else. Nothing in the file
is carried out: no script, no form, no link, no attachment.
"""

from __future__ import annotations

import json
import logging
import resource
import sys
from typing import Any

MOST_PAGES = 1500
MOST_CHARACTERS = 8_000_000
MEMORY_BYTES = 1024 * 1024 * 1024
PROCESSOR_SECONDS = 240

LOCKED = "This PDF is protected by a password. Ask for one that is not, or paste the text."
BROKEN = "This file cannot be read as a PDF. Ask for a sound copy, or paste the text."
NO_TEXT = "This PDF holds pictures of pages and no text. Ask for one with text, or paste the text."
TOO_LONG = f"This PDF has too many pages; at most {MOST_PAGES} are read. Add it in parts."
TOO_MUCH = "Reading this PDF takes more memory or time than a file may. Paste the text instead."


def limit() -> None:
    """Give this process its limits; there is no way back."""
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY_BYTES, MEMORY_BYTES))
    resource.setrlimit(resource.RLIMIT_CPU, (PROCESSOR_SECONDS, PROCESSOR_SECONDS))
    resource.setrlimit(resource.RLIMIT_FSIZE, (0, 0))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def read(file: Any) -> dict[str, Any]:
    """Return the lines of each page, or why there are none."""
    import pypdf
    from pypdf.errors import PyPdfError

    try:
        reader = pypdf.PdfReader(file, strict=False)
        if reader.is_encrypted and not reader.decrypt(""):
            return {"refused": LOCKED}
        if len(reader.pages) > MOST_PAGES:
            return {"refused": TOO_LONG}
        pages, characters = [], 0
        for page in reader.pages:
            text = _text_of(page)
            characters += len(text)
            if characters > MOST_CHARACTERS:
                return {"refused": TOO_MUCH}
            pages.append(text.splitlines())
    except (MemoryError, RecursionError):
        return {"refused": TOO_MUCH}
    except pypdf.errors.DependencyError:
        return {"refused": LOCKED}
    except (PyPdfError, ValueError, KeyError, TypeError, AttributeError, IndexError, OSError,
            NotImplementedError, AssertionError, ArithmeticError):  # fmt: skip
        return {"refused": BROKEN}
    if not pages:
        return {"refused": BROKEN}
    if not any(line.strip() for lines in pages for line in lines):
        return {"refused": NO_TEXT}
    return {"pages": pages}


def _text_of(page: Any) -> str:
    """Return a page's text by the places of its words, so that a line of print is a line here."""
    text: str = page.extract_text(
        extraction_mode="layout", layout_mode_space_vertically=False, layout_mode_strip_rotated=True
    )
    return text


def main() -> None:
    """Read the file on standard input and write what it says."""
    logging.disable(logging.CRITICAL)
    limit()
    with open(0, "rb", closefd=False) as file:
        said = read(file)
    sys.stdout.write(json.dumps(said))


if __name__ == "__main__":
    main()
