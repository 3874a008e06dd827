"""Reads and redacts PDF: a program of its own that knows nothing of the office.

What is asked comes on its standard input: the length of a JSON object in ten digits, the object,
the file. The answer goes out the same way, with a picture or a PDF after it. It is started by
`cases.redaction.reading` with limits on memory, time and what it may write, so that a file made to
do harm ends this program and nothing else. No script, form, link or attachment is carried out.
"""

from __future__ import annotations

import io
import json
import logging
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

HEAD = 10


def main() -> None:
    """Answer what was asked of the file."""
    logging.disable(logging.CRITICAL)
    sys.path.insert(0, str(Path(__file__).resolve().parents[3]))
    from cases.redaction.pdf import limits

    with open(0, "rb", closefd=False) as given:
        asked = json.loads(given.read(int(given.read(HEAD))))
        content = given.read()
    burns = asked["what"] == "burn"
    limits.limit(limits.BURN_SECONDS if burns else limits.LOOK_SECONDS)
    with open(1, "wb", closefd=False) as out:
        out.write(as_sent(*answered(asked, content)))


def as_sent(said: dict[str, Any], more: bytes) -> bytes:
    """Return an object and the bytes that go with it, as they are sent either way."""
    head = json.dumps(said).encode()
    return f"{len(head):0{HEAD}d}".encode() + head + more


def answered(asked: dict[str, Any], content: bytes) -> tuple[dict[str, Any], bytes]:
    """Return the answer and the bytes that go with it, or why the file is refused."""
    import pypdfium2

    from cases.redaction.pdf import limits

    try:
        return _DO[asked["what"]](asked, content)
    except limits.Unfit as error:
        return {"refused": str(error)}, b""
    except (MemoryError, RecursionError):
        return {"refused": limits.TOO_MUCH}, b""
    except (pypdfium2.PdfiumError, OSError, ValueError):
        return {"refused": limits.BROKEN}, b""


def _look(asked: dict[str, Any], content: bytes) -> tuple[dict[str, Any], bytes]:
    from cases.redaction.pdf import opened

    with opened.opened(content) as document:
        sizes = opened.sizes_of(document)
    return {"pages": len(sizes), "sizes": sizes}, b""


def _page(asked: dict[str, Any], content: bytes) -> tuple[dict[str, Any], bytes]:
    from cases.redaction.pdf import covering, opened

    with opened.opened(content) as document, opened.page_of(document, asked["page"]) as page:
        picture = opened.drawn(page, dots_an_inch=asked["dots"])
    if asked.get("marks"):
        picture = covering.covered(picture, covering.covers_of(asked["marks"]))
    made = io.BytesIO()
    picture.save(made, "JPEG", quality=88)
    return {"width": picture.width, "height": picture.height}, made.getvalue()


def _words(asked: dict[str, Any], content: bytes) -> tuple[dict[str, Any], bytes]:
    from cases.redaction.pdf import opened, words

    with opened.opened(content) as document, opened.page_of(document, asked["page"]) as page:
        size = opened.size_of(page)
        found = words.words_of(opened.characters_of(page))
    rows = [[one.first, one.last, one.text, one.boxes] for one in found]
    return {"size": size, "words": rows}, b""


def _places(asked: dict[str, Any], content: bytes) -> tuple[dict[str, Any], bytes]:
    """Say what stands at places of the text, each with page, first and last character."""
    from cases.redaction.pdf import limits, opened, words

    said = []
    with opened.opened(content) as document:
        pages: dict[int, Any] = {}
        for one in asked["places"]:
            number = one["page"]
            if number not in pages:
                with opened.page_of(document, number) as page:
                    pages[number] = opened.characters_of(page)
            text = pages[number]
            if not 0 <= one["first"] <= one["last"] < len(text):
                raise limits.Unfit("These words are not on the page. Load it again.")
            boxes = words.boxes_of(text, one["first"], one["last"])
            row = {"boxes": boxes, "words": words.words_between(text, one["first"], one["last"])}
            said.append({**one, **row})
    return {"places": said}, b""


def _find(asked: dict[str, Any], content: bytes) -> tuple[dict[str, Any], bytes]:
    from cases.redaction.pdf import opened, words

    found: list[dict[str, Any]] = []
    more = False
    with opened.opened(content) as document:
        for number in range(1, len(document) + 1):
            with opened.page_of(document, number) as page:
                text = opened.characters_of(page, placed=False)
            for place in words.find([text], asked["words"]):
                if len(found) >= asked["most"]:
                    more = True
                    break
                before, here, after = words.around(text, place)
                found.append(
                    {"page": number, "first": place.first, "last": place.last,
                     "before": before, "words": here, "after": after}
                )  # fmt: skip
    return {"places": found, "more": more}, b""


def _burn(asked: dict[str, Any], content: bytes) -> tuple[dict[str, Any], bytes]:
    from cases.redaction.pdf import burning

    burned = burning.burned(content, asked["marks"], name=asked["name"])
    said = {"pages": burned.pages, "checked": burned.checked, "elsewhere": burned.elsewhere,
            "software": burned.software}  # fmt: skip
    return said, burned.content


_DO: dict[str, Callable[[dict[str, Any], bytes], tuple[dict[str, Any], bytes]]] = {
    "look": _look,
    "page": _page,
    "words": _words,
    "places": _places,
    "find": _find,
    "burn": _burn,
}

if __name__ == "__main__":
    main()
