"""Whether a redacted copy looks as its document does, but for what is hidden: a lost line is seen.

Both are drawn and compared by blocks of about eight points, as a word is high. A page that was
taken over is drawn as it was, to the point. A page made anew is one picture, which is drawn in its
own size and compared with the picture that it was made of.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from PIL import Image, ImageChops, ImageStat

from cases.redaction.pdf import limits, opened
from cases.redaction.pdf.covering import pixels_of
from cases.redaction.pdf.limits import Unfit
from cases.redaction.pdf.sheets import Sheet
from cases.redaction.pdf.words import Box

LOST = (
    "The copy did not show all that the document shows beside what is hidden. Nothing was kept. "
    "Tell an administrator."
)
LOOK_DOTS, BLOCK = 72, 8
# The same block at the size in which a page is made anew.
BLOCK_ANEW = 32
# The shortest word that was taken out of 40 documents changed a block by 18 of 255 levels; what
# drawing them again changed stayed at 7.
MOST_IN_BLOCK = 12
MOST_MEAN_DIFFERENCE = 1.5
# A bar with its code in white is darker than this.
LIGHTEST_BAR = 160


def alike(was: Image.Image, now: Image.Image) -> bool:
    """Tell whether two pictures of a page show the same: no block of one differs."""
    if was.size != now.size:
        return False
    apart = ImageChops.difference(was, now)
    red, green, blue = apart.split()
    most = ImageChops.lighter(ImageChops.lighter(red, green), blue).reduce(BLOCK)
    mean = max(ImageStat.Stat(apart).mean)
    return mean <= MOST_MEAN_DIFFERENCE and _highest(most) <= MOST_IN_BLOCK


def _highest(picture: Image.Image) -> int:
    levels: Any = picture.getextrema()
    return int(levels[1])


def blocks_of(picture: Image.Image) -> Image.Image:
    """Return how light each block of a page is that is made anew: a thousandth of its picture."""
    return picture.convert("L").reduce(BLOCK_ANEW)


def unlike(document: Any, made: bytes, sheets: Sequence[Sheet]) -> list[Sheet]:
    """Return the pages that were taken over and do not look as they did."""
    kept = [sheet for sheet in sheets if not sheet.anew]
    if not kept:
        return []
    with opened.opened(made) as copy:
        return [sheet for sheet in kept if not _is_as_it_was(document, copy, sheet.number)]


def _is_as_it_was(document: Any, copy: Any, number: int) -> bool:
    with opened.page_of(document, number) as one, opened.page_of(copy, number) as other:
        was = opened.drawn(one, dots_an_inch=LOOK_DOTS)
        now = opened.drawn(other, dots_an_inch=LOOK_DOTS)
    return alike(was, now)


def looked_at(made: bytes, sheets: Sequence[Sheet]) -> None:
    """Refuse a copy that lost something beside its bars, or lacks a bar. Raises Unfit."""
    with opened.opened(made) as copy:
        for sheet in sheets:
            if sheet.anew and sheet.blocks is not None:
                with opened.page_of(copy, sheet.number) as page:
                    now = opened.drawn(page, dots_an_inch=limits.DOTS_AN_INCH)
                if not shows_the_same(sheet, now):
                    raise Unfit(LOST)


def shows_the_same(sheet: Sheet, now: Image.Image) -> bool:
    """Tell whether a page made anew shows its bars, and beside them what it showed before."""
    if sheet.blocks is None:
        return False
    bars = [pixels_of(one.box, now.size) for one in sheet.covers]
    if any(ImageStat.Stat(now.convert("L").crop(bar)).mean[0] > LIGHTEST_BAR for bar in bars):
        return False
    was, shown = sheet.blocks, blocks_of(now)
    # The last block may be half a point wide.
    both = (0, 0, min(was.width, shown.width), min(was.height, shown.height))
    apart = ImageChops.difference(was.crop(both), shown.crop(both))
    for bar in bars:
        apart.paste(0, _blocks_below(bar))
    return _highest(apart) <= MOST_IN_BLOCK


def _blocks_below(bar: Box) -> Box:
    return (
        bar[0] // BLOCK_ANEW, bar[1] // BLOCK_ANEW,
        -(-bar[2] // BLOCK_ANEW), -(-bar[3] // BLOCK_ANEW),
    )  # fmt: skip
