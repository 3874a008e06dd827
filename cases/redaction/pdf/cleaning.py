"""Pages that hide nothing, taken over into the copy: what shows, and nothing that goes with it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pikepdf
from pikepdf import Array, Dictionary, Name, Stream

# What a page or its resources carry beside what shows.
DROPPED = (
    "/Metadata", "/PieceInfo", "/StructParent", "/StructParents", "/LastModified", "/Thumb",
    "/AA", "/A", "/Annots", "/B", "/Dur", "/Trans", "/ID", "/Tabs", "/TemplateInstantiated",
    "/PresSteps", "/OPI", "/Alternates", "/Measure", "/PtData", "/Lang", "/Alt", "/ActualText",
    "/AF", "/Properties", "/SeparationInfo", "/Name", "/FormType", "/Ref", "/ProcSet",
)  # fmt: skip
# An encoding whose data may carry notes of its own that are not looked through here.
_CLOSED = {"/JPXDecode", "/JBIG2Decode", "/Crypt"}
_MARKED = {"BMC", "BDC", "EMC", "MP", "DP", "BX", "EX"}
MOST_OBJECTS = 20_000
_USES = {"Do": "/XObject", "Tf": "/Font", "gs": "/ExtGState", "cs": "/ColorSpace",
         "CS": "/ColorSpace", "sh": "/Shading", "scn": "/Pattern", "SCN": "/Pattern"}  # fmt: skip


class NotTaken(Exception):
    """A page that is better made anew from its picture."""


def taken(source: pikepdf.Page, into: pikepdf.Pdf) -> None:
    """Append a page to the copy, cleaned. Raises NotTaken."""
    try:
        page = _page(source, into)
    except (pikepdf.PdfError, ValueError, TypeError, KeyError, AttributeError, OverflowError,
            RecursionError) as error:  # fmt: skip
        raise NotTaken from error
    into.pages.append(pikepdf.Page(into.make_indirect(page)))


def _page(source: pikepdf.Page, into: pikepdf.Pdf) -> Dictionary:
    if [float(one) for one in source.cropbox] != [float(one) for one in source.mediabox]:
        raise NotTaken
    whole: Any = source.obj
    if "/UserUnit" in whole or any(
        one.get("/Subtype") != "/Link" for one in whole.get("/Annots", [])
    ):
        raise NotTaken
    resources = source.resources if "/Resources" in _inherited(whole) else Dictionary()
    content, kept = cleaned(pikepdf.parse_content_stream(source), resources, into, 0)
    page = Dictionary(
        Type=Name.Page,
        MediaBox=Array([float(one) for one in source.mediabox]),
        Resources=kept,
        Contents=into.make_stream(content),
    )
    if rotate := int(source.rotation if hasattr(source, "rotation") else whole.get("/Rotate", 0)):
        page["/Rotate"] = rotate
    if "/Group" in whole:
        _strip(whole["/Group"])
        page["/Group"] = _copy(whole["/Group"], into)
    return page


def _inherited(page: Any) -> set[str]:
    names: set[str] = set()
    at, steps = page, 0
    while at is not None and steps < 64:
        names.update(at.keys())
        at, steps = at.get("/Parent"), steps + 1
    return names


def cleaned(
    instructions: Any, resources: Any, into: pikepdf.Pdf, depth: int
) -> tuple[bytes, Dictionary]:
    """Return a content without marks of meaning, and the resources that it uses, copied."""
    if depth > 12:
        raise NotTaken
    used: dict[str, set[str]] = {}
    rows = []
    for one in instructions:
        operator = str(one.operator)
        if operator in _MARKED:
            if operator in {"BDC", "DP"} and str(one.operands[0]) == "/OC":
                raise NotTaken
            continue
        if operator == "INLINE IMAGE":
            _check_inline(one)
        if operator in _USES:
            for operand in one.operands:
                if isinstance(operand, Name):
                    used.setdefault(_USES[operator], set()).add(str(operand))
        rows.append(one)
    kept = Dictionary()
    for kind, names in sorted(used.items()):
        there = resources.get(kind, Dictionary())
        part = Dictionary()
        for name in sorted(names):
            if name in there:
                part[name] = _resource(kind, there[name], into, depth)
        if len(part.keys()):
            kept[kind] = part
    return pikepdf.unparse_content_stream(rows), kept


def _check_inline(one: Any) -> None:
    said = " ".join(str(value) for value in one.iimage.filters) if one.iimage.filters else ""
    if any(name in said for name in ("DCT", "JPX", "JBIG2")):
        raise NotTaken


def _resource(kind: str, thing: Any, into: pikepdf.Pdf, depth: int) -> Any:
    if kind == "/XObject" and thing.get("/Subtype") == "/Form":
        return _form(thing, into, depth)
    if kind == "/XObject" and thing.get("/Subtype") != "/Image":
        raise NotTaken
    if kind == "/Pattern" and isinstance(thing, Stream):
        raise NotTaken
    if kind == "/Font" and thing.get("/Subtype") == "/Type3":
        raise NotTaken
    if kind == "/ExtGState" and isinstance(thing.get("/SMask"), Dictionary):
        raise NotTaken
    _strip(thing)
    return _copy(thing, into)


def _form(thing: Any, into: pikepdf.Pdf, depth: int) -> Any:
    if "/OC" in thing or "/Resources" not in thing or "/Ref" in thing:
        raise NotTaken
    content, kept = cleaned(
        pikepdf.parse_content_stream(thing), thing["/Resources"], into, depth + 1
    )
    form = into.make_stream(content)
    form["/Type"], form["/Subtype"] = Name.XObject, Name.Form
    form["/BBox"] = Array([float(one) for one in thing["/BBox"]])
    if "/Matrix" in thing:
        form["/Matrix"] = Array([float(one) for one in thing["/Matrix"]])
    form["/Resources"] = kept
    if "/Group" in thing:
        _strip(thing["/Group"])
        form["/Group"] = _copy(thing["/Group"], into)
    return form


def _copy(thing: Any, into: pikepdf.Pdf) -> Any:
    if isinstance(thing, pikepdf.Object) and thing.is_indirect:
        return into.copy_foreign(thing)
    if isinstance(thing, Dictionary):
        return Dictionary({str(key): _copy(value, into) for key, value in thing.items()})
    if isinstance(thing, Array):
        return Array([_copy(value, into) for value in thing])
    return thing


def _strip(thing: Any) -> None:
    """Take what does not show out of a resource and all that it names."""
    for one in walked(thing):
        if isinstance(one, Stream):
            _strip_stream(one)
        if isinstance(one, Dictionary | Stream):
            if "/OC" in one:
                raise NotTaken
            for key in DROPPED:
                if key in one and not (key == "/ID" and one.get("/Type") == "/Font"):
                    del one[key]
    return


def _strip_stream(one: Any) -> None:
    filters = one.get("/Filter", Array([]))
    names = [str(each) for each in (filters if isinstance(filters, Array) else [filters])]
    if _CLOSED & set(names):
        raise NotTaken
    if names and names[-1] == "/DCTDecode":
        if len(names) > 1:
            raise NotTaken
        parameters = one.get("/DecodeParms")
        one.write(bare_jpeg(one.read_raw_bytes()), filter=Name.DCTDecode, decode_parms=parameters)


def bare_jpeg(data: bytes) -> bytes:
    """Return a JPEG without notes of its camera or program. Raises NotTaken."""
    if data[:2] != b"\xff\xd8":
        raise NotTaken
    out, at = [data[:2]], 2
    while at + 4 <= len(data):
        if data[at] != 0xFF:
            raise NotTaken
        marker = data[at + 1]
        if marker == 0xFF:
            at += 1
            continue
        length = int.from_bytes(data[at + 2 : at + 4], "big")
        if length < 2:
            raise NotTaken
        if marker == 0xDA:
            end = data.rfind(b"\xff\xd9")
            if end < at:
                raise NotTaken
            out.append(data[at : end + 2])
            return b"".join(out)
        # Adobe's says how the colors are meant; every other note goes, comments too.
        if not (0xE0 <= marker <= 0xED or marker == 0xEF or marker == 0xFE):
            out.append(data[at : at + 2 + length])
        at += 2 + length
    raise NotTaken


def walked(thing: Any) -> Iterator[Any]:
    """Yield a thing and all that it names, each once. Raises NotTaken where it has no end."""
    seen: set[tuple[int, int]] = set()
    waiting, count = [thing], 0
    while waiting:
        one = waiting.pop()
        if not isinstance(one, Dictionary | Array | Stream):
            continue
        if one.is_indirect:
            if one.objgen in seen:
                continue
            seen.add(one.objgen)
        count += 1
        if count > MOST_OBJECTS:
            raise NotTaken
        yield one
        if isinstance(one, Array):
            waiting.extend(list(one))
        else:
            waiting.extend(value for key, value in one.items() if str(key) != "/Parent")
