"""What is hidden is gone from the copy.

The checks decode the copy with Pillow and compare points; the margin follows from the largest
coding unit of a baseline JPEG with subsampled color, 16 × 16 points (ITU-T T.81, 1992, A.2).
"""

from __future__ import annotations

import io

import numpy as np
import pytest
from PIL import Image

from cases.exhibits import burning
from cases.exhibits.rules import MARGIN_PX, read_regions
from tests.exhibits.builders import SIZE, noisy_picture

BOX = [[40, 30], [80, 70]]


def regions(manner, shape="rectangle", points=BOX, size=SIZE):
    entry = {"shape": shape, "manner": manner, "points": points}
    return read_regions([entry], width_px=size[0], height_px=size[1])


def points_of(content):
    return np.asarray(Image.open(io.BytesIO(content)).convert("RGB")).astype(int)


def changed_inside(content, change):
    """The same picture with other points inside the region."""
    picture = points_of(content)
    left, top, right, bottom = 40, 30, 81, 71
    picture[top:bottom, left:right] = change(picture[top:bottom, left:right])
    buffer = io.BytesIO()
    Image.fromarray(picture.astype("uint8")).save(buffer, "PNG")
    return buffer.getvalue()


@pytest.mark.parametrize(
    ("shape", "points"),
    [("rectangle", BOX), ("polygon", [[40, 30], [80, 30], [80, 70], [40, 70]])],
)
def test_two_originals_that_differ_only_under_the_cover_give_the_same_bytes(shape, points):
    original = noisy_picture()
    other = changed_inside(original, lambda inside: 255 - inside)
    assert points_of(original).tolist() != points_of(other).tolist()
    copies = [
        burning.redacted(io.BytesIO(one), regions("cover", shape, points))
        for one in (original, other)
    ]
    assert copies[0] == copies[1], "both the whole copy and its screen size"


def test_covered_points_are_one_color_and_the_rest_is_as_it_was():
    original = noisy_picture()
    picture = Image.open(io.BytesIO(original))
    burned = np.asarray(burning.burned(picture, regions("cover")))
    left, top, right, bottom = (40 - MARGIN_PX, 30 - MARGIN_PX, 80 + MARGIN_PX, 70 + MARGIN_PX)
    inside = burned[top : bottom + 1, left : right + 1]
    assert (inside == burning.COVER_COLOR).all()
    outside = np.ones(burned.shape[:2], bool)
    outside[top : bottom + 1, left : right + 1] = False
    assert (burned[outside] == np.asarray(picture)[outside]).all()
    whole, _ = burning.redacted(io.BytesIO(original), regions("cover"))
    copy = points_of(whole)[30:71, 40:81]
    assert np.ptp(copy.reshape(-1, 3), axis=0).max() == 0, "constant after compression too"


def test_detail_finer_than_a_square_is_not_in_a_blurred_region():
    original = noisy_picture()
    # The box with its margin is 73 × 73 points: four squares of means across, each 18 or more
    # wide. Points that change places within a square of 8 leave the means as they are.
    plain = changed_inside(original, lambda inside: np.full_like(inside, 120))
    checked = changed_inside(
        original,
        lambda inside: np.where(
            (np.indices(inside.shape[:2]).sum(axis=0) % 2 == 0)[..., None], 60, 180
        ),
    )
    copies = [
        np.asarray(burning.burned(Image.open(io.BytesIO(one)), regions("blur"))).astype(int)
        for one in (plain, checked)
    ]
    assert (copies[0][30:71, 40:81] == copies[1][30:71, 40:81]).all()


def test_a_blurred_region_of_any_size_holds_few_colors_along_its_shorter_side():
    for side in (40, 200, 1000):
        size = (side + 80, side + 80)
        one = regions("blur", points=[[40, 40], [40 + side, 40 + side]], size=size)[0]
        assert (side + 2 * MARGIN_PX + 1) // one.blur_cell_px() <= 7
        assert one.blur_cell_px() >= MARGIN_PX


def test_the_copy_carries_no_metadata_and_is_upright():
    upright = Image.open(io.BytesIO(noisy_picture()))
    exif = Image.Exif()
    exif[0x0112] = 6
    exif.get_ifd(0x8825)[1] = "N"
    buffer = io.BytesIO()
    upright.save(buffer, "JPEG", quality=98, exif=exif, comment=b"serial 4711")
    tall = regions("cover", size=(SIZE[1], SIZE[0]))
    whole, screen = burning.redacted(io.BytesIO(buffer.getvalue()), tall)
    for content in (whole, screen):
        copy = Image.open(io.BytesIO(content))
        assert copy.size == (SIZE[1], SIZE[0])
        assert not copy.getexif()
        assert "comment" not in copy.info
        assert b"4711" not in content


def test_the_same_original_and_regions_give_the_same_bytes_again():
    original = noisy_picture()
    first, again = (burning.redacted(io.BytesIO(original), regions("blur")) for _ in range(2))
    assert first == again
    assert burning.software().startswith("redaction 1, Pillow ")


def test_the_preview_hides_the_same_place_on_a_smaller_copy():
    large = Image.open(io.BytesIO(noisy_picture())).resize((1600, 1200), Image.Resampling.NEAREST)
    buffer = io.BytesIO()
    large.save(buffer, "PNG")
    drawn = regions("cover", points=[[800, 600], [1600, 1200]], size=(3200, 2400))
    copy = points_of(burning.preview(io.BytesIO(buffer.getvalue()), drawn, width_px=3200))
    assert copy.shape == (1200, 1600, 3)
    assert np.ptp(copy[310:590, 410:790].reshape(-1, 3), axis=0).max() <= 1
    assert np.ptp(copy[:250, :350].reshape(-1, 3), axis=0).max() > 100


@pytest.mark.parametrize(
    ("screen", "stored", "expected"),
    [
        ((160, 120), (4000, 3000), (4000, 3000)),
        ((120, 160), (4000, 3000), (3000, 4000)),
        ((100, 100), (500, 500), (500, 500)),
    ],
)
def test_the_size_as_seen_follows_the_upright_copy(screen, stored, expected):
    buffer = io.BytesIO(noisy_picture(size=screen))
    assert burning.upright_size(buffer, width_px=stored[0], height_px=stored[1]) == expected
