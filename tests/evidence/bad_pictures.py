"""Pictures that broken cards, telephones and ill will make: what is refused, what is taken."""

from __future__ import annotations

import io
import struct
import zipfile
import zlib
from functools import cache

from PIL import Image

MEGABYTE = 1024 * 1024
# More than an upload may hold in memory.
MUCH = 3 * MEGABYTE
# Seeded by nothing and needs no seed: what it shows does not matter, only that it is not flat.
NOISE = Image.effect_noise((240, 180), 80).convert("RGB")


def saved(image: Image.Image, kind: str, **options) -> bytes:
    """The bytes of a picture."""
    buffer = io.BytesIO()
    # Copies: writing some kinds leaves with a picture what others stumble over.
    if "append_images" in options:
        options["append_images"] = [one.copy() for one in options["append_images"]]
    image.copy().save(buffer, kind, **options)
    return buffer.getvalue()


def cut(content: bytes) -> bytes:
    """The first two thirds, as of a card that was pulled out."""
    return content[: len(content) * 2 // 3]


def png_part(name: bytes, body: bytes) -> bytes:
    """One chunk of a PNG (W3C PNG, 5.3)."""
    check = struct.pack(">I", zlib.crc32(name + body))
    return struct.pack(">I", len(body)) + name + body + check


def png_with(part: bytes) -> bytes:
    """A whole PNG with one more chunk behind its header."""
    whole = saved(NOISE, "PNG")
    return whole[:33] + part + whole[33:]


def packed_zeros(megabytes: int) -> bytes:
    """What zlib makes of so many: one packed megabyte, as often (RFC 1950, 2.2; RFC 1951)."""
    packer = zlib.compressobj(9, wbits=-15)
    one = packer.compress(b"\0" * MEGABYTE) + packer.flush(zlib.Z_FULL_FLUSH)
    check = struct.pack(">HH", megabytes * MEGABYTE % 65_521, 1)
    return b"\x78\xda" + one * megabytes + b"\x03\0" + check


def png_that_claims(width: int, height: int) -> bytes:
    """A few kB that say they are a huge picture, and unpack to a megabyte of it."""
    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    body = zlib.compress(b"\0" * MEGABYTE, 9)
    parts = png_part(b"IHDR", header) + png_part(b"IDAT", body) + png_part(b"IEND", b"")
    return b"\x89PNG\r\n\x1a\n" + parts


def jpeg_that_claims(width: int, height: int) -> bytes:
    """A JPEG whose frame header (ITU-T T.81, B.2.2) was changed to another size."""
    whole = bytearray(saved(NOISE, "JPEG"))
    place = whole.index(b"\xff\xc0")
    whole[place + 5 : place + 9] = struct.pack(">HH", height, width)
    return bytes(whole)


def jpeg_with_segments(count: int) -> bytes:
    """Junk in Exif segments of the most that one can hold, 64 kB, before the picture's own."""
    segment = b"\xff\xe1\xff\xffExif\0\0" + b"\xab" * (65_533 - 6)
    whole = saved(NOISE, "JPEG")
    return whole[:2] + segment * count + whole[2:]


def tiff_with_tag(size: int) -> bytes:
    """A TIFF with a private tag that holds so many bytes of junk."""
    from PIL import TiffImagePlugin

    tags = TiffImagePlugin.ImageFileDirectory_v2()
    tags.tagtype[65_000] = 7
    tags[65_000] = b"\xab" * size
    return saved(NOISE, "TIFF", tiffinfo=tags)


def exif_of(tags: dict[int, object]) -> bytes:
    """An Exif block with these tags."""
    block = Image.Exif()
    for tag, value in tags.items():
        block[tag] = value
    return block.tobytes()


def archive() -> bytes:
    """A ZIP that holds a page with a script."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as opened:
        opened.writestr("index.html", "<script>alert(1)</script>")
    return buffer.getvalue()


def gray_16_bit(kind: str) -> bytes:
    """A ramp over all of sixteen bits, 256 × 256 points."""
    ramp = struct.pack("<65536H", *range(65_536))
    return saved(Image.frombytes("I;16", (256, 256), ramp), kind)


SVG = b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>'
_BOTH = {"save_all": True, "append_images": [NOISE.transpose(Image.Transpose.ROTATE_180)]}
_CONTROLS = exif_of({0x010F: "Ta\x00\x07\x1b[31mrn", 0x0110: "line\r\nbreak\u202e", 0x0112: 6})

# What is not one whole photograph: what makes (name, bytes, a word of the refusal).
REFUSED = {
    "zero bytes": lambda: ("a.jpg", b"", "empty"),
    "truncated JPEG": lambda: ("a.jpg", cut(saved(NOISE, "JPEG")), "damaged or incomplete"),
    "truncated progressive JPEG": lambda: (
        "a.jpg", cut(saved(NOISE, "JPEG", progressive=True)), "damaged or incomplete",
    ),
    "truncated PNG": lambda: ("a.png", cut(saved(NOISE, "PNG")), "damaged or incomplete"),
    "truncated TIFF": lambda: (
        "a.tif", cut(saved(NOISE, "TIFF")), "not a picture|damaged or incomplete",
    ),
    "truncated HEIC": lambda: (
        "a.heic", cut(saved(NOISE, "HEIF")), "not a picture|damaged or incomplete",
    ),
    "truncated WebP": lambda: (
        "a.webp", cut(saved(NOISE, "WEBP")), "not a picture|damaged or incomplete",
    ),
    "PNG named JPEG": lambda: ("a.jpg", saved(NOISE, "PNG"), "The name says JPEG"),
    "JPEG named TIFF": lambda: ("a.tif", saved(NOISE, "JPEG"), "The name says TIFF"),
    "program named JPEG": lambda: ("a.jpg", b"MZ\x90\0" + b"\0" * 600, "not a picture"),
    "huge PNG": lambda: ("a.png", png_that_claims(60_000, 60_000), "too many picture points"),
    "PNG just above the limit": lambda: ("a.png", png_that_claims(12_000, 10_001), "too many"),
    "huge JPEG": lambda: ("a.jpg", jpeg_that_claims(65_000, 65_000), "too many picture points"),
    "SVG with script": lambda: ("a.svg", SVG, "SVG"),
    "SVG with script named JPEG": lambda: ("a.jpg", SVG, "SVG"),
    "page before a JPEG": lambda: ("a.jpg", b"<!DOCTYPE html>" + saved(NOISE, "JPEG"), "a page"),
    "animated GIF": lambda: ("a.gif", saved(NOISE, "GIF", **_BOTH), "not a picture"),
    "animated PNG": lambda: ("a.png", saved(NOISE, "PNG", **_BOTH), "animated"),
    "animated WebP": lambda: ("a.webp", saved(NOISE, "WEBP", **_BOTH), "animated"),
    "TIFF of two pages": lambda: ("a.tif", saved(NOISE, "TIFF", **_BOTH), "2 pictures"),
    "PNG text that unpacks to 128 MB": lambda: (
        "a.png",
        png_with(png_part(b"zTXt", b"Comment\0\0" + packed_zeros(128))),
        "not a picture|damaged or incomplete",
    ),
}  # fmt: skip
REFUSED = {what: cache(make) for what, make in REFUSED.items()}

# What is odd and yet a photograph: what makes (name, bytes).
TAKEN = {
    "JPEG and ZIP in one": lambda: ("a.jpg", saved(NOISE, "JPEG") + archive()),
    "JPEG with a script for a comment": lambda: (
        "a.jpg", saved(NOISE, "JPEG", comment=b"*/=1;alert(1)/*<script>alert(1)</script>"),
    ),
    "Exif with control characters": lambda: ("a.jpg", saved(NOISE, "JPEG", exif=_CONTROLS)),
    "JPEG with 3 MB of Exif segments": lambda: ("a.jpg", jpeg_with_segments(48)),
    "JPEG with 3 MB behind its end": lambda: ("a.jpg", saved(NOISE, "JPEG") + b"\xab" * MUCH),
    "TIFF with a tag of 3 MB": lambda: ("a.tif", tiff_with_tag(MUCH)),
    "PNG with 3 MB of Exif": lambda: ("a.png", png_with(png_part(b"eXIf", b"\xab" * MUCH))),
    "telephone's JPEG with a second picture": lambda: ("a.jpg", saved(NOISE, "MPO", **_BOTH)),
    "16-bit PNG": lambda: ("a.png", gray_16_bit("PNG")),
    "16-bit TIFF": lambda: ("a.tif", gray_16_bit("TIFF")),
    "CMYK JPEG": lambda: ("a.jpg", saved(NOISE.convert("CMYK"), "JPEG")),
    "CMYK TIFF": lambda: ("a.tif", saved(NOISE.convert("CMYK"), "TIFF")),
    # Its readers pass over what lacks, and so does every camera's own software: kept as it came.
    "JPEG cut off and ended again": lambda: ("a.jpg", cut(saved(NOISE, "JPEG")) + b"\xff\xd9"),
}  # fmt: skip
