"""Puts documents together as one PDF whose pages are numbered below their content.

A page keeps its content, its size and its margins: the number stands in a strip that is added below
it, outside of what the page showed. What lay outside of the visible part of a page (a crop) is not
uncovered by that. Tags are kept, the number is an artifact (ISO 32000-1, 14.8.2.2.2: from memory).
Streams go from file to file; the same documents and numbers give the same bytes.
"""

from __future__ import annotations

import json
import shutil
import tempfile
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

import pikepdf
import typst
from pikepdf import Array, Dictionary, Name, Object, OutlineItem, Pdf, String

from cases.answers.fitting import LOCKED, keep_quiet, take_out_files, why_unfit
from me_office.typesetting import fonts, printable

STRIP_PT = 22.0
NUMBER_PT = 320.0
RIGHT_PT = 36.0
STRIPS = Path(__file__).parent / "typst" / "strips.typ"


class CannotCombine(Exception):
    """A document whose pages are not put together with others; the words say why."""


@dataclass(frozen=True)
class Part:
    """One document of the whole: its file, and how its bookmark is called."""

    path: Path
    title: str
    level: int = 0


def pages_of(path: Path) -> int:
    """Return how many pages a PDF has. Raises CannotCombine."""
    with _opened(path) as pdf:
        try:
            why = why_unfit(pdf)
        except (pikepdf.PdfError, ValueError, TypeError, RecursionError) as error:
            raise CannotCombine("it is damaged") from error
        if why:
            raise CannotCombine(why)
        return len(pdf.pages)


def _opened(path: Path) -> Pdf:
    try:
        return Pdf.open(path)
    except (pikepdf.PdfError, pikepdf.PasswordError, OSError, ValueError) as error:
        locked = isinstance(error, pikepdf.PasswordError)
        raise CannotCombine(LOCKED if locked else "it can't be opened") from error


def make_strips(numbers: Sequence[str], beside: Sequence[str], there: Path) -> None:
    """Write a PDF with a page for each number, as it is laid below a page."""
    with tempfile.TemporaryDirectory(prefix="strips-", dir=there.parent) as name:
        folder = Path(name)
        shutil.copyfile(STRIPS, folder / STRIPS.name)
        said = {
            "width": NUMBER_PT,
            "height": STRIP_PT,
            "strips": [
                {"number": printable(number), "beside": printable(words)}
                for number, words in zip(numbers, beside, strict=True)
            ],
        }
        (folder / "strips.json").write_text(json.dumps(said), encoding="utf-8")
        typst.Compiler(
            str(folder / STRIPS.name),
            root=str(folder),
            font_paths=fonts(),
            ignore_system_fonts=True,
        ).compile(output=str(there), format="pdf", timestamp=0, pdf_tags=False)


def combine(
    parts: Sequence[Part],
    there: Path,
    *,
    first: int,
    number: Callable[[int], str],
    prefix: str,
    digits: int,
    title: str,
    at: datetime,
    language: str = "en-US",
    beat: Callable[[int, int], None] = lambda done, total: None,
) -> int:
    """Write the parts as one PDF; return how many pages it has.

    The first page gets the number `first`, said as `number` says it. Raises CannotCombine.
    """
    with ExitStack() as open_files:
        whole = open_files.enter_context(Pdf.new())
        begins, tagged = [], []
        tags = _Tags(whole)
        for part in parts:
            source = open_files.enter_context(_opened(part.path))
            begins.append(len(whole.pages))
            _make_ready(source)
            whole.pages.extend(source.pages)
            tagged.append(tags.add(source, from_page=begins[-1]))
        total = len(whole.pages)
        strips_path = there.with_suffix(".strips.pdf")
        numbers = [number(first + index) for index in range(total)]
        beside = [f"page {index + 1} of {total}" for index in range(total)]
        make_strips(numbers, beside, strips_path)
        strips = open_files.enter_context(Pdf.open(strips_path))
        for index, page in enumerate(whole.pages):
            _stamp(whole, page, strips.pages[index], index)
            beat(index + 1, total)
        tags.finish(all_tagged=all(tagged))
        take_out_files(whole)
        _outline(whole, parts, begins)
        whole.Root.PageLabels = _page_labels(first, total, prefix, digits)
        whole.Root.Lang = String(language)
        whole.Root.ViewerPreferences = Dictionary(DisplayDocTitle=True)
        when = f"D:{at:%Y%m%d%H%M%S}Z"
        whole.docinfo[Name.Title] = String(title)
        whole.docinfo[Name.CreationDate] = String(when)
        whole.docinfo[Name.ModDate] = String(when)
        whole.save(there, deterministic_id=True)
        strips_path.unlink()
    return total


def _make_ready(source: Pdf) -> None:
    """Take out what a page can do by itself, and draw what stands in its form fields."""
    if Name.AcroForm in source.Root:
        source.generate_appearance_streams()
        source.flatten_annotations("all")
        if Name.AcroForm in source.Root:
            del source.Root[Name.AcroForm]
    named = _named_places(source)
    for page in source.pages:
        for one in keep_quiet(page):
            _lead_by_place(one, named)


def _annotations(page: pikepdf.Page) -> Iterator[Any]:
    found = page.obj.get(Name.Annots)
    if isinstance(found, Array):
        for one in found:
            if isinstance(one, Dictionary):
                yield one


def _named_places(source: Pdf) -> dict[str, Object]:
    """Return where the names lead to which a document's own links may go."""
    names = source.Root.get(Name.Names)
    tree = names.get(Name.Dests) if isinstance(names, Dictionary) else None
    if tree is None:
        return {}
    try:
        return dict(pikepdf.NameTree(tree).items())
    except (pikepdf.PdfError, ValueError, TypeError):
        return {}


def _lead_by_place(link: Any, named: dict[str, Object]) -> None:
    """Let a link inside its document lead to the page itself: names are lost with the document."""
    action = link.get(Name.A)
    holder, key = link, Name.Dest
    if isinstance(action, Dictionary) and action.get(Name.S) == Name.GoTo:
        holder, key = action, Name.D
    there = holder.get(key)
    if isinstance(there, String | Name):
        found: Any = named.get(str(there).lstrip("/") if isinstance(there, Name) else str(there))
        if isinstance(found, Dictionary):
            found = found.get(Name.D)
        if isinstance(found, Array):
            holder[key] = found
        else:
            del holder[key]


# Where the page is turned for reading: along which edge of its own its lower edge lies, and how
# text stands upright there.
_UPRIGHT = {0: (1, 0, 0, 1), 90: (0, 1, -1, 0), 180: (-1, 0, 0, -1), 270: (0, -1, 1, 0)}


def _stamp(whole: Pdf, page: pikepdf.Page, strip: pikepdf.Page, index: int) -> None:
    """Lay a strip with a number below a page, outside of what it shows."""
    turned = int(page.obj.get(Name.Rotate, 0)) % 360
    turned = turned if turned in _UPRIGHT else 0
    unit = float(page.obj.get(Name.UserUnit, 1)) or 1.0
    left, low, right, high = _visible(page)
    height, width = STRIP_PT / unit, NUMBER_PT / unit
    a, b, c, d = _UPRIGHT[turned]
    edge = RIGHT_PT / unit
    box = [left, low, right, high]
    across = (high - low) if turned in (90, 270) else (right - left)
    scale = min(1.0, max(0.2, (across - edge / 2) / width))
    edge = edge if scale == 1.0 else edge / 4
    reach = width * scale + edge
    if turned == 0:
        box[1] -= height
        x, y = right - reach, low - height
    elif turned == 90:
        box[2] += height
        x, y = right + height, high - reach
    elif turned == 180:
        box[3] += height
        x, y = left + reach, high + height
    else:
        box[0] -= height
        x, y = left - height, low + reach
    form = whole.copy_foreign(strip.as_form_xobject())
    # Pages may share what they draw with: each strip has a name that no other page uses.
    form_name = page.add_resource(form, Name.XObject, name=Name(f"/PageNumber{index}"))
    size = scale / unit
    matrix = " ".join(_plain(one * size) for one in (a, b, c, d)) + f" {_plain(x)} {_plain(y)}"
    clip = f"{_plain(left)} {_plain(low)} {_plain(right - left)} {_plain(high - low)} re W n"
    open_more, close_more = _balance(page)
    before = f"q {clip}\n" + "q " * open_more
    after = (
        "\n" + "Q " * close_more + "Q\n"
        "/Artifact <</Type /Pagination /Subtype /Footer>> BDC\n"
        f"q {matrix} cm {form_name} Do Q\nEMC\n"
    )
    page.contents_add(before.encode(), prepend=True)
    page.contents_add(after.encode())
    page.obj.MediaBox = Array([round(one, 4) for one in box])
    for other in (Name.CropBox, Name.BleedBox, Name.TrimBox, Name.ArtBox):
        if other in page.obj:
            del page.obj[other]


def _plain(number: float) -> str:
    return f"{number:.4f}".rstrip("0").rstrip(".") or "0"


def _visible(page: pikepdf.Page) -> tuple[float, float, float, float]:
    """Return the part of a page that is shown."""
    media, crop = _box(page.mediabox), _box(page.cropbox)
    shown = (
        max(media[0], crop[0]),
        max(media[1], crop[1]),
        min(media[2], crop[2]),
        min(media[3], crop[3]),
    )
    return shown if shown[2] > shown[0] and shown[3] > shown[1] else media


def _box(box: Any) -> tuple[float, float, float, float]:
    one, two, three, four = (float(each) for each in box)
    return min(one, three), min(two, four), max(one, three), max(two, four)


def _balance(page: pikepdf.Page) -> tuple[int, int]:
    """Return how many states a page's content closes without having opened them, and leaves open.

    What stands after it would else be drawn where that content left off.
    """
    try:
        steps = pikepdf.parse_content_stream(page, "q Q")
    except (pikepdf.PdfError, pikepdf.PdfParsingError, ValueError, TypeError):
        return 0, 0
    depth = lowest = 0
    for step in steps:
        depth += 1 if str(step.operator) == "q" else -1 if str(step.operator) == "Q" else 0
        lowest = min(lowest, depth)
    return -lowest, depth - lowest


class _Tags:
    """The structure of all documents as one, so that a reading program goes through them."""

    def __init__(self, whole: Pdf) -> None:
        self.whole = whole
        self.kids: list[Object] = []
        self.parents: list[tuple[int, Object]] = []
        self.roles = Dictionary()
        self.next = 0

    def add(self, source: Pdf, *, from_page: int) -> bool:
        """Take over the structure of a document whose pages are there already; False for none."""
        root = source.Root.get(Name.StructTreeRoot)
        pages = self.whole.pages[from_page:]
        if not isinstance(root, Dictionary) or Name.K not in root or not root.is_indirect:
            self._forget(pages)
            return False
        copied = self.whole.copy_foreign(root)
        top = copied.get(Name.K)
        kids = list(top) if isinstance(top, Array) else [top]
        part = self.whole.make_indirect(
            Dictionary(Type=Name.StructElem, S=Name.Part, K=Array(kids))
        )
        for kid in kids:
            if isinstance(kid, Dictionary):
                kid.P = part
        self.kids.append(part)
        highest = -1
        for key, value in _number_tree(copied.get(Name.ParentTree)):
            self.parents.append((self.next + key, value))
            highest = max(highest, key)
        roles = copied.get(Name.RoleMap)
        if isinstance(roles, Dictionary):
            for role, meant in roles.items():
                if role not in self.roles:
                    self.roles[role] = meant
        for page in pages:
            self._move(page)
        self.next += highest + 1
        return True

    def _move(self, page: pikepdf.Page) -> None:
        if Name.StructParents in page.obj:
            page.obj.StructParents = int(page.obj.StructParents) + self.next
        for one in _annotations(page):
            if Name.StructParent in one:
                one.StructParent = int(one.StructParent) + self.next

    def _forget(self, pages: Any) -> None:
        for page in pages:
            for holder in (page.obj, *_annotations(page)):
                for name in (Name.StructParents, Name.StructParent):
                    if name in holder:
                        del holder[name]

    def finish(self, *, all_tagged: bool) -> None:
        """Hang the whole structure into the document."""
        if not self.kids:
            return
        root = self.whole.make_indirect(Dictionary(Type=Name.StructTreeRoot))
        document = self.whole.make_indirect(
            Dictionary(Type=Name.StructElem, S=Name.Document, P=root, K=Array(self.kids))
        )
        for kid in self.kids:
            kid.P = document
        flat: list[Any] = []
        for key, value in sorted(self.parents, key=lambda one: one[0]):
            flat += [key, value]
        root.K = document
        root.ParentTree = self.whole.make_indirect(Dictionary(Nums=Array(flat)))
        root.ParentTreeNextKey = self.next
        if len(self.roles.keys()):
            root.RoleMap = self.roles
        self.whole.Root.StructTreeRoot = root
        self.whole.Root.MarkInfo = Dictionary(Marked=all_tagged)


def _number_tree(node: Any, depth: int = 0) -> Iterator[tuple[int, Object]]:
    if not isinstance(node, Dictionary) or depth > 20:
        return
    nums = node.get(Name.Nums)
    if isinstance(nums, Array):
        flat = list(nums)
        yield from ((int(key), value) for key, value in zip(flat[::2], flat[1::2], strict=False))
    kids = node.get(Name.Kids)
    if isinstance(kids, Array):
        for kid in kids:
            yield from _number_tree(kid, depth + 1)


def _outline(whole: Pdf, parts: Sequence[Part], begins: Sequence[int]) -> None:
    with whole.open_outline() as outline:
        above: list[OutlineItem] = []
        for part, page in zip(parts, begins, strict=True):
            item = OutlineItem(part.title, page)
            del above[part.level :]
            (above[-1].children if above else outline.root).append(item)
            above.append(item)


def _page_labels(first: int, total: int, prefix: str, digits: int) -> Dictionary:
    """Let a viewer call each page by its number: a label's zeros stand in its prefix."""
    nums: list[Any] = []
    index, last = 0, first + total - 1
    while first + index <= last:
        now = first + index
        zeros = "0" * max(0, digits - len(str(now)))
        nums += [index, Dictionary(S=Name.D, P=String(prefix + zeros), St=now)]
        index = 10 ** len(str(now)) - first
    return Dictionary(Nums=Array(nums))
