"""Whether something that was kept back can be found in a folder: words in any spelling, and colors.

Looked at is every file by its name and its bytes; of a PDF each object and stream, what two
libraries read on its pages, and its pictures; of every file the pictures that lie within others,
as a camera keeps a small one of its own.
"""

from __future__ import annotations

import base64
import io
import re
from collections.abc import Iterable, Iterator
from contextlib import suppress
from pathlib import Path

import pikepdf
import pypdf
from PIL import Image, ImageChops, UnidentifiedImageError

from cases.redaction.pdf import opened
from tests.redaction.papers import bytes_of, spelled

Color = tuple[int, int, int]
# A color is there where so many in a thousand points have it, give or take what JPEG does to it.
LIKE, PER_THOUSAND = 60, 2
JPEG = b"\xff\xd8\xff"


def traces(folder: Path, words: Iterable[str], colors: Iterable[Color]) -> set[tuple[str, str]]:
    """Return what was found: the word or color, and the kind of place."""
    needles = [(word, one) for word in words for one in all_spelled(word)]
    wanted = list(colors)
    found = set()
    for path in sorted(one for one in folder.rglob("*") if one.is_file()):
        named = path.relative_to(folder).as_posix().lower().encode()
        content = path.read_bytes()
        is_pdf = content.startswith(b"%PDF")
        places = [("name", named)]
        if is_pdf:
            places.append(("object", b"\n".join(bytes_of(content)).lower()))
            places += [(by, said.lower().encode()) for by, said in texts_of(content)]
        else:
            places.append(("bytes", content.lower()))
        found |= {(word, kind) for kind, place in places for word, one in needles if one in place}
        pictures = pictures_of_pdf(content) if is_pdf else pictures_within(content)
        found |= {
            (str(color), kind)
            for kind, picture in pictures
            for color in wanted
            if shows(picture, color)
        }
    return found


def all_spelled(word: str) -> set[bytes]:
    """How a word may stand in bytes: in both wide spellings, by numbers, in base 64."""
    told = {word.lower(), re.sub(r"\s+", "", word.lower())}
    found = {one for each in told for one in spelled(each)}
    # It may begin at any of three places of base 64; letters that it shares with others go.
    for each in (word.encode(), word.encode("utf-16-be")):
        for shift, shared in enumerate((0, 2, 3)):
            coded = base64.b64encode(b"\0" * shift + each)
            whole = coded.rstrip(b"=")
            found.add(whole[shared : len(whole) - (whole != coded)].lower())
    return found


def texts_of(content: bytes) -> Iterator[tuple[str, str]]:
    """What two libraries read on the pages, as it stands and without any blank."""
    pages = [page.extract_text() for page in pypdf.PdfReader(io.BytesIO(content)).pages]
    yield "first reader", _also_joined("\n".join(pages))
    pages = []
    with opened.opened(content) as document:
        for at in range(1, len(document) + 1):
            with opened.page_of(document, at) as one:
                read = opened.characters_of(one, placed=False)
                pages.append("".join(each.text for each in read))
    yield "second reader", _also_joined("\n".join(pages))


def _also_joined(said: str) -> str:
    """Text as it was read, and without what parts words and lines."""
    return said + "\n" + re.sub(r"[\s-]+", "", said)


def pictures_of_pdf(content: bytes) -> Iterator[tuple[str, Image.Image]]:
    """Every picture of a PDF, wherever it hangs, and those that lie within its streams."""
    with pikepdf.Pdf.open(io.BytesIO(content)) as pdf:
        for one in pdf.objects:
            if not isinstance(one, pikepdf.Stream):
                continue
            if one.get("/Subtype") == "/Image" or "/Width" in one:
                with suppress(pikepdf.PdfError, NotImplementedError, ValueError):
                    yield "picture", pikepdf.PdfImage(one).as_pil_image().convert("RGB")
            yield from pictures_within(one.read_raw_bytes())


def pictures_within(content: bytes) -> Iterator[tuple[str, Image.Image]]:
    """Every picture that begins anywhere in some bytes."""
    for kind, at in (("picture", 0), *(("picture within", m.start()) for m in _begins(content))):
        try:
            with Image.open(io.BytesIO(content[at:])) as picture:
                yield kind, picture.convert("RGB")
        except (UnidentifiedImageError, OSError, SyntaxError, ValueError):
            continue


def _begins(content: bytes) -> Iterator[re.Match[bytes]]:
    return (one for one in re.finditer(re.escape(JPEG), content) if one.start())


def shows(picture: Image.Image, color: Color) -> bool:
    """Tell whether a picture has points of a color."""
    away = ImageChops.difference(picture, Image.new("RGB", picture.size, color))
    near = None
    for band in away.split():
        close = band.point([255 if value <= LIKE else 0 for value in range(256)])
        near = close if near is None else ImageChops.multiply(near, close)
    assert near is not None
    points = near.histogram()[255]
    return points * 1000 > PER_THOUSAND * picture.width * picture.height
