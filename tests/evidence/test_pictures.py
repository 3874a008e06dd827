"""Which files are photographs, what their Exif says, and their smaller copies."""

from __future__ import annotations

import io
import struct
import zipfile
import zlib

import pytest
from django.core.files.storage import default_storage
from django.core.files.uploadedfile import TemporaryUploadedFile
from PIL import Image, ImageCms, TiffImagePlugin

from evidence import store
from evidence.imaging import exif, pictures
from evidence.intake import checking
from evidence.intake import taking as intake
from evidence.store.models import StoredFile
from me_office.accounts.roles import Role
from me_office.audit.errors import Refused
from me_office.audit.ids import new_id
from tests.builders import make_case, make_staff
from tests.evidence.pictures import described, picture_bytes

pytestmark = pytest.mark.django_db


def read(content: bytes, name: str = "photo") -> store.Incoming:
    with store.receive(io.BytesIO(content), name=name) as incoming:
        return checking.check_picture(incoming)


def saved(image: Image.Image, kind: str, **options) -> bytes:
    buffer = io.BytesIO()
    image.save(buffer, kind, **options)
    return buffer.getvalue()


def plain(mode="RGB", size=(40, 30)):
    return Image.new(mode, size, 90 if mode in {"L", "I;16"} else None)


@pytest.mark.parametrize(
    ("name", "content", "media_type"),
    [
        ("a.jpg", saved(plain(), "JPEG"), "image/jpeg"),
        ("a.JPEG", saved(plain("CMYK"), "JPEG"), "image/jpeg"),
        ("a.jpg", saved(plain(), "JPEG", progressive=True), "image/jpeg"),
        ("a.png", saved(plain("RGBA"), "PNG"), "image/png"),
        ("a.png", saved(plain("I;16"), "PNG"), "image/png"),
        ("a.tif", saved(plain(), "TIFF"), "image/tiff"),
        ("a.webp", saved(plain(), "WEBP"), "image/webp"),
        ("a.heic", saved(plain(), "HEIF"), "image/heic"),
        ("without_a_type", saved(plain(), "JPEG"), "image/jpeg"),
    ],
)
def test_photographs_of_every_kind_are_read(name, content, media_type):
    found = read(content, name)
    assert (found.media_type, found.width_px, found.height_px) == (media_type, 40, 30)


def test_a_telephones_jpeg_with_a_second_picture_behind_it_is_one_photograph():
    content = saved(plain(), "MPO", save_all=True, append_images=[plain()])
    assert read(content, "IMG.JPG").media_type == "image/jpeg"


def test_a_file_that_is_two_things_at_once_is_kept_byte_for_byte_and_copied_as_a_picture():
    archive = io.BytesIO()
    with zipfile.ZipFile(archive, "w") as packed:
        packed.writestr("page.html", "<script>alert(1)</script>")
    content = saved(plain(), "JPEG") + archive.getvalue()
    found = read(content, "both.jpg")
    assert (found.media_type, found.size_bytes) == ("image/jpeg", len(content))
    assert b"script" not in pictures.smaller_copy(io.BytesIO(content), longest_px=400)


def test_ten_megabytes_of_junk_in_the_notes_do_not_stop_a_picture():
    whole = saved(plain(), "JPEG")
    segment = b"\xff\xe9" + struct.pack(">H", 65_535) + b"\x07" * 65_533
    content = whole[:2] + segment * 160 + whole[2:]
    assert read(content, "junk.jpg").width_px == 40
    assert len(pictures.smaller_copy(io.BytesIO(content), longest_px=400)) < 5000


def cut(kind: str, **options) -> bytes:
    noise = Image.effect_noise((200, 150), 80).convert("RGB")
    whole = saved(noise, kind, **options)
    return whole[: len(whole) * 2 // 3]


SVG = (
    b'<?xml version="1.0"?><svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>'
)
GIF = saved(plain("P"), "GIF", save_all=True, append_images=[plain("P")])


@pytest.mark.parametrize(
    ("name", "content", "words"),
    [
        ("a.jpg", b"", "empty"),
        ("a.jpg", b"Dear office, please find attached", "not a picture"),
        ("a.jpg", b"%PDF-1.7 " + b"x" * 300, "not a picture"),
        ("a.jpg", b"\xff\xd8\xff\xe0" + b"\x00" * 64, "not a picture|broken"),
        ("a.jpg", cut("JPEG"), "damaged or incomplete"),
        ("a.jpg", cut("JPEG", progressive=True), "damaged or incomplete"),
        ("a.png", cut("PNG"), "damaged or incomplete"),
        ("a.tif", cut("TIFF"), "damaged or incomplete|not a picture"),
        ("a.webp", cut("WEBP"), "damaged or incomplete|not a picture"),
        ("a.heic", cut("HEIF"), "damaged or incomplete|not a picture"),
        ("a.png", saved(plain(), "JPEG"), "The name says PNG, but the file is JPEG"),
        ("a.jpg", saved(plain(), "HEIF"), "The name says JPEG, but the file is HEIC"),
        ("a.svg", SVG, "SVG"),
        ("a.jpg", b"\n <svg/>", "SVG"),
        ("a.gif", GIF, "not a picture"),
        ("a.png", saved(plain(), "PNG", save_all=True, append_images=[plain("L")]), "animated"),
        (
            "a.webp",
            saved(
                plain(), "WEBP", save_all=True, append_images=[Image.new("RGB", (40, 30), "red")]
            ),
            "animated",
        ),
        ("a.tif", saved(plain(), "TIFF", save_all=True, append_images=[plain()]), "2 pictures"),
    ],
)
def test_what_is_not_one_whole_photograph_is_refused_beside_the_field(name, content, words):
    with pytest.raises(Refused, match=words) as refused:
        read(content, name)
    assert refused.value.field == "upload"
    assert StoredFile.objects.count() == 0
    assert default_storage.listdir("incoming")[1] == []


def test_a_file_that_is_too_large_is_refused(settings):
    settings.PHOTOGRAPH_MAX_BYTES = 500
    with pytest.raises(Refused, match=r"may have up to 0\.5 kB"):
        read(picture_bytes() + b"\0" * 600)


@pytest.mark.parametrize(
    ("size", "words"),
    [
        # The limit of 100 MiB is 104.8576 MB.
        (104_857_601, "104,857,601 bytes; a photograph may have up to 104,857,600 bytes (105 MB)."),
        (105_400_000, "105,400,000 bytes; a photograph may have up to 104,857,600 bytes (105 MB)."),
        (105_600_000, "106 MB; a photograph may have up to 105 MB."),
    ],
)
def test_a_file_a_little_too_large_says_the_difference(size, words):
    with pytest.raises(Refused) as refused:
        checking.check_size(size)
    assert refused.value.message == f"This file has {words}"
    checking.check_size(104_857_600)


@pytest.mark.parametrize("size", [(1, 1), (65_500, 1), (1, 400)])
def test_a_picture_of_a_single_row_or_point_is_refused_in_true_words(size):
    with pytest.raises(Refused) as refused:
        read(saved(Image.new("RGB", size), "PNG"), "a.png")
    assert refused.value.message == (
        f"This picture is {size[0]:,} × {size[1]:,} picture points; a photograph has 2 or more in "
        "each direction."
    )
    assert StoredFile.objects.count() == 0


def test_the_narrowest_picture_that_is_taken_has_two_points_each_way():
    read(saved(Image.new("RGB", (2, 2)), "PNG"), "a.png")


def test_a_real_file_of_200_megabytes_is_refused_before_it_is_stored(tmp_path):
    upload = TemporaryUploadedFile("huge.jpg", "image/jpeg", 200_000_000, None)
    with upload:
        upload.file.seek(200_000_000 - 1)
        upload.file.write(b"\0")
        upload.file.seek(0)
        with pytest.raises(Refused, match="200 MB; a photograph may have up to 105 MB"):
            intake.take_in(
                make_staff(Role.PATHOLOGIST),
                case_id=make_case().pk,
                record_id=new_id(),
                upload=upload,
                entry=described(),
            )
    assert StoredFile.objects.count() == 0


def png_of_claimed_size(width: int, height: int) -> bytes:
    """A small PNG whose header claims a huge picture of one color: a few kB that unpack to GB."""

    def part(name: bytes, body: bytes) -> bytes:
        check = struct.pack(">I", zlib.crc32(name + body))
        return struct.pack(">I", len(body)) + name + body + check

    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    body = zlib.compress(b"\0" * 1_000_000, 9)
    signature = b"\x89PNG\r\n\x1a\n"
    return signature + part(b"IHDR", header) + part(b"IDAT", body) + part(b"IEND", b"")


@pytest.mark.parametrize("side", [12_000, 50_000])
def test_a_huge_picture_in_a_small_file_is_refused_without_unpacking_it(side, monkeypatch):
    def never(self):
        pytest.fail("the picture was decoded")

    monkeypatch.setattr(Image.Image, "load", never)
    with pytest.raises(Refused, match="too many picture points"):
        read(png_of_claimed_size(side, side), "bomb.png")


def test_the_limit_of_picture_points_is_a_setting(settings):
    settings.PHOTOGRAPH_MAX_PIXELS = 40 * 30 - 1
    with pytest.raises(Refused, match=r"40 × 30"):
        read(saved(plain(), "JPEG"))
    settings.PHOTOGRAPH_MAX_PIXELS = 40 * 30
    assert read(saved(plain(), "JPEG")).width_px == 40


def jpeg_with(tags=(), exposure=(), gps=()) -> bytes:
    block = Image.Exif()
    for tag, value in dict(tags).items():
        block[tag] = value
    block.get_ifd(0x8769).update(dict(exposure))
    block.get_ifd(0x8825).update(dict(gps))
    return saved(plain(), "JPEG", exif=block)


def test_exif_is_read_by_its_published_tags():
    # Tag numbers: Exif 2.32 (CIPA DC-008-2019), tables 3, 4 and 12.
    rational = TiffImagePlugin.IFDRational
    content = jpeg_with(
        {0x010F: "Tarn", 0x0110: "Synthetic", 0x0112: 6},
        {0x9003: "2026:11:14 09:20:37", 0x9011: "-05:00", 0xA431: "T-417", 0xA434: "60 mm"},
        {
            1: "N", 2: (rational(43), rational(30), rational(0)),
            3: "W", 4: (rational(75), rational(15), rational(36)),
        },
    )  # fmt: skip
    facts = read(content).exif
    assert facts == {
        "make": "Tarn",
        "model": "Synthetic",
        "orientation": 6,
        "taken": "2026:11:14 09:20:37",
        "taken_offset": "-05:00",
        "serial": "T-417",
        "lens": "60 mm",
        "gps": {"latitude": 43.5, "longitude": -75.26},
    }


def test_a_cameras_time_has_the_cameras_zone_or_else_the_offices(settings):
    facts = {"taken": "2026:11:14 09:20:37", "taken_offset": "+02:00"}
    zoned = exif.taken_at(facts, settings.OFFICE_ZONE)
    assert zoned.isoformat() == "2026-11-14T09:20:37+02:00"
    del facts["taken_offset"]
    assert exif.taken_at(facts, settings.OFFICE_ZONE).isoformat() == "2026-11-14T09:20:37-05:00"
    assert exif.taken_at({"taken": "0000:00:00 00:00:00"}, settings.OFFICE_ZONE) is None
    assert exif.taken_at({}, settings.OFFICE_ZONE) is None


def test_exif_with_control_characters_and_junk_is_made_safe():
    content = jpeg_with(
        {0x010F: "T\ta\x1b[31mrn\r\n<script>", 0x0110: "m" * 5000, 0x0112: 99},
        {0x9003: "not a time"},
    )
    facts = read(content).exif
    assert facts["make"] == "Ta[31mrn<script>"
    assert len(facts["model"]) == exif.LONGEST
    assert "orientation" not in facts


def test_characters_that_turn_the_reading_direction_are_dropped():
    assert exif.clean_text("Tarn\u202egpj.\u200b exe\x00") == "Tarngpj. exe"
    assert exif.clean_text(b"Tarn\xff\xfe 60 mm") == "Tarn 60 mm"
    assert exif.clean_text(7) == ""


# Outside the tests Pillow's warning goes to the log and the picture is read on.
@pytest.mark.filterwarnings("ignore:Corrupt EXIF data")
def test_broken_exif_does_not_stop_a_whole_picture():
    content = saved(plain(), "JPEG", exif=b"Exif\0\0II*\0\xff\xff\xff\xff" + b"\xff" * 60)
    assert read(content).exif == {}


def test_a_smaller_copy_is_upright_within_its_size_and_says_nothing_of_the_place():
    block = Image.Exif()
    block[0x0112] = 6  # the camera was held a quarter turn to the left
    block.get_ifd(0x8825)[1] = "N"
    wide = Image.new("RGB", (800, 400), "white")
    wide.paste("red", (0, 0, 80, 400))
    copy = pictures.smaller_copy(io.BytesIO(saved(wide, "JPEG", exif=block)), longest_px=400)
    with Image.open(io.BytesIO(copy)) as made:
        assert made.format == "JPEG"
        assert made.size == (200, 400)
        assert not made.getexif()
        assert "icc_profile" not in made.info
        assert made.getpixel((100, 5))[1] < 90  # what was at the left is on top
        assert made.getpixel((100, 395))[1] > 200


@pytest.mark.parametrize("mode", ["CMYK", "L", "RGB"])
def test_a_copy_of_every_color_model_is_srgb(mode):
    copy = pictures.smaller_copy(io.BytesIO(saved(plain(mode), "JPEG")), longest_px=400)
    with Image.open(io.BytesIO(copy)) as made:
        assert made.mode == "RGB"


@pytest.mark.parametrize("mode", ["I;16", "P", "LA", "RGBA", "1"])
def test_a_copy_of_every_png_can_be_made(mode):
    copy = pictures.smaller_copy(io.BytesIO(saved(plain(mode), "PNG")), longest_px=400)
    with Image.open(io.BytesIO(copy)) as made:
        assert made.size == (40, 30)


def test_a_color_profile_is_applied_not_lost():
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    content = saved(Image.new("RGB", (40, 30), (200, 40, 60)), "PNG", icc_profile=profile)
    copy = pictures.smaller_copy(io.BytesIO(content), longest_px=400)
    with Image.open(io.BytesIO(copy)) as made:
        red, green, blue = made.getpixel((20, 15))
    assert abs(red - 200) < 6
    assert abs(green - 40) < 6
    assert abs(blue - 60) < 6
