"""Reads a packet and its PDF back, with tools that know nothing of the office."""

from __future__ import annotations

import re
import zipfile
from pathlib import Path
from typing import Any

import bagit
import pikepdf
from django.core.files.storage import default_storage
from PIL import Image

from cases.packets.models import Packet


def unpacked(packet: Packet, folder: Path) -> Path:
    """Unpack a stored packet and return its bag."""
    with default_storage.open(packet.path) as file, zipfile.ZipFile(file) as packed:
        assert packed.testzip() is None
        packed.extractall(folder)
    (bag,) = folder.iterdir()
    return bag


def complaint_of(bag: Path) -> str:
    """Check a bag with the `bagit` library; return what it finds wrong, or nothing."""
    try:
        bagit.Bag(str(bag)).validate()
    except bagit.BagError as error:
        return str(error)
    return ""


def manifest(path: Path) -> dict[str, str]:
    """Read a manifest: digest, white space, path (RFC 8493, section 2.1.3)."""
    lines = path.read_text(encoding="utf-8").splitlines()
    return {name: digest for digest, name in (line.split(maxsplit=1) for line in lines)}


def text_of(pdf: pikepdf.Pdf) -> str:
    """Return the text that the pages show, through the fonts' own ToUnicode maps.

    ISO 32000-1, 9.10.3: bfchar and bfrange map the codes of a composite font to Unicode.
    """
    return " ".join(_page_text(page) for page in pdf.pages)


def _page_text(page: pikepdf.Page) -> str:
    fonts = {name: _unicode_map(font) for name, font in (page.resources.get("/Font") or {}).items()}
    current: dict[int, str] = {}
    shown: list[str] = []
    for operands, operator in pikepdf.parse_content_stream(page):
        if str(operator) == "Tf":
            current = fonts[str(operands[0])]
        elif str(operator) == "Tj":
            shown.append(_decoded(bytes(operands[0]), current))
        elif str(operator) == "TJ":
            parts = [bytes(one) for one in operands[0] if isinstance(one, pikepdf.String)]
            shown.append("".join(_decoded(part, current) for part in parts))
    return "".join(shown)


def _decoded(raw: bytes, mapping: dict[int, str]) -> str:
    codes = [int.from_bytes(raw[at : at + 2], "big") for at in range(0, len(raw), 2)]
    return "".join(mapping.get(code, "\ufffd") for code in codes)


def _unicode_map(font: Any) -> dict[int, str]:
    source = font.ToUnicode.read_bytes().decode("latin-1")
    mapping: dict[int, str] = {}
    for block in re.findall(r"beginbfchar(.*?)endbfchar", source, re.DOTALL):
        for code, target in re.findall(r"<([0-9A-Fa-f]+)>\s*<([0-9A-Fa-f]+)>", block):
            mapping[int(code, 16)] = bytes.fromhex(target).decode("utf-16-be")
    for block in re.findall(r"beginbfrange(.*?)endbfrange", source, re.DOTALL):
        triple = r"<([0-9A-Fa-f]+)>\s*<([0-9A-Fa-f]+)>\s*<([0-9A-Fa-f]+)>"
        for first, last, target in re.findall(triple, block):
            start = int.from_bytes(bytes.fromhex(target), "big")
            for offset in range(int(last, 16) - int(first, 16) + 1):
                mapping[int(first, 16) + offset] = chr(start + offset)
    return mapping


def squeezed(text: str) -> str:
    """Return text without white space: lines break where the page is full."""
    return re.sub(r"\s+", "", text)


def structure_of(pdf: pikepdf.Pdf) -> list[Any]:
    """Return every element of the structure tree."""
    found, waiting = [], [pdf.Root.StructTreeRoot]
    while waiting:
        element = waiting.pop()
        if isinstance(element, pikepdf.Array):
            waiting.extend(element)
        elif isinstance(element, pikepdf.Dictionary):
            if "/S" in element:
                found.append(element)
            if "/K" in element:
                waiting.append(element.K)
    return found


def pictures_in(pdf: pikepdf.Pdf) -> list[Image.Image]:
    """Return every picture of the pages, as it is seen."""
    images = [image for page in pdf.pages for image in page.get_images().values()]
    return [pikepdf.PdfImage(image).as_pil_image().convert("RGB") for image in images]
