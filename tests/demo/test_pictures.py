"""Synthetic pictures: the same each time, marked as synthetic, and true to their scale."""

import io
from datetime import datetime
from functools import cache

import numpy as np
import pytest
from PIL import Image

from me_office.demo.picture_objects import watch_hands
from me_office.demo.picture_vessels import medication_label
from me_office.demo.pictures import KINDS, render

SMALL = {"width": 360, "height": 240}
ON_SKIN = (
    "contusion",
    "drying",
    "tattoo",
    "patterned_contusion",
    "electrode_marks",
    "paired_lines",
    "exit_wound",
)


def gray_along(picture, start, end, count):
    """Gray values on a straight line, between pixels where need be (pixel centers at .5)."""
    gray = np.asarray(picture.image.convert("L"), dtype=float)
    x = np.linspace(start[0], end[0], count) - 0.5
    y = np.linspace(start[1], end[1], count) - 0.5
    x0, y0 = np.floor(x).astype(int), np.floor(y).astype(int)
    fx, fy = x - x0, y - y0
    top = gray[y0, x0] * (1 - fx) + gray[y0, x0 + 1] * fx
    low = gray[y0 + 1, x0] * (1 - fx) + gray[y0 + 1, x0 + 1] * fx
    return top * (1 - fy) + low * fy


def graduations_mm(picture, arm, inward_mm):
    """Where the dark marks lie along an arm, in mm by the stated size of a pixel.

    The line runs parallel to the arm, inward_mm onto the card.
    """
    mm_per_px = picture.truth["mm_per_px"]
    zero, end = np.asarray(arm["zero_px"]), np.asarray(arm["end_px"])
    along = (end - zero) / np.hypot(*(end - zero))
    # On the picture y grows downward: the card lies below the level arm and left of the upright.
    onto = (
        np.asarray([-along[1], along[0]])
        if abs(along[0]) > abs(along[1])
        else np.asarray([along[1], -along[0]])
    )
    shift = onto * inward_mm / mm_per_px
    before = along * 0.4 / mm_per_px
    length_px = float(np.hypot(*(end - zero)) + 2 * np.hypot(*before))
    count = int(length_px * 4)
    line = gray_along(picture, zero + shift - before, end + shift + before, count)
    dark = np.clip(205 - line, 0, None)
    at = np.linspace(-0.4, arm["length_mm"] + 0.4, count)
    runs = np.split(np.arange(count), np.flatnonzero(np.diff(dark > 0)) + 1)
    return [float(np.average(at[run], weights=dark[run])) for run in runs if dark[run].sum() > 60]


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_renders_as_a_baseline_jpeg(kind):
    picture = render(kind, seed=1, label="2026-0001 · photograph 1", **SMALL)
    jpeg = picture.jpeg()
    read = Image.open(io.BytesIO(jpeg))
    assert read.format == "JPEG"
    assert read.size == (360, 240)
    # ITU-T T.81: SOF0 (FFC0) is baseline, SOF2 (FFC2) progressive.
    assert b"\xff\xc0" in jpeg
    assert "progressive" not in read.info


@pytest.mark.parametrize("kind", ["contusion", "hand_mannequin", "scene_field", "property"])
def test_the_same_seed_gives_the_same_bytes(kind):
    first, again = (render(kind, seed=5, label="2026-0001", **SMALL).jpeg() for _ in range(2))
    assert first == again


def test_another_seed_gives_another_picture():
    assert (
        render("contusion", seed=5, **SMALL).jpeg() != render("contusion", seed=6, **SMALL).jpeg()
    )


def test_the_exif_says_when_with_what_and_that_it_is_synthetic():
    read = Image.open(io.BytesIO(render("tattoo", seed=2, **SMALL).jpeg()))
    exif = read.getexif()
    camera = exif.get_ifd(0x8769)
    # Tag numbers: Exif 2.32 (CIPA DC-008), tables of the 0th and Exif directories.
    assert exif[0x010E] == "Synthetic picture"
    assert (exif[0x010F], exif[0x0110], exif[0x0112]) == ("Tarn", "Synthetic camera", 1)
    assert camera[0x9003] == "2026:01:05 08:02:00"
    assert camera[0x9004] == camera[0x9003] == exif[0x0132]


def test_given_exif_replaces_the_usual_but_the_description_stays_plain():
    jpeg = render("tattoo", seed=2, **SMALL).jpeg(
        exif={"DateTimeOriginal": datetime(2026, 3, 4, 5, 6, 7), "ImageDescription": "Left arm"}
    )
    exif = Image.open(io.BytesIO(jpeg)).getexif()
    assert exif.get_ifd(0x8769)[0x9003] == "2026:03:04 05:06:07"
    assert exif[0x010E] == "Synthetic picture: Left arm"


def test_an_unknown_exif_name_is_refused():
    with pytest.raises(ValueError, match="Unknown Exif tag Color"):
        render("tattoo", seed=2, **SMALL).jpeg(exif={"Color": 1})


@cache
def turned(angle):
    """The picture whose two arms are read one after the other."""
    return render("contusion", seed=3, width=1500, height=1000, scale_angle=angle)


@pytest.mark.parametrize("angle", [0.0, 1.5, -4.0])
@pytest.mark.parametrize("arm_number", [0, 1])
def test_millimetre_marks_lie_at_their_true_place(angle, arm_number):
    picture = turned(angle)
    arm = picture.truth["scale"]["arms"][arm_number]
    found = graduations_mm(picture, arm, 1.4)
    first = 0 if arm_number == 0 else 1
    expected = np.arange(first, arm["length_mm"] + 1)
    # The corner mark of the upright arm runs into the level arm's card.
    if arm_number == 1 and len(found) == len(expected) + 1:
        found = found[1:]
    assert len(found) == len(expected)
    assert np.abs(np.asarray(found) - expected).max() < 0.1


def test_centimetre_marks_are_the_long_ones():
    picture = render("drying", seed=3, width=1500, height=1000, scale_angle=0)
    arm = picture.truth["scale"]["arms"][0]
    found = graduations_mm(picture, arm, 3.9)
    assert np.allclose(found, np.arange(0, arm["length_mm"] + 1, 10), atol=0.1)


@pytest.mark.parametrize("kind", ["property", "identification_tag", "medication"])
def test_straight_scales_of_objects_are_true(kind):
    picture = render(kind, seed=3, width=1500, height=1000)
    arm = picture.truth["scale"]["arms"][0]
    apart = np.hypot(*np.subtract(arm["end_px"], arm["zero_px"]))
    assert apart * picture.truth["mm_per_px"] == pytest.approx(arm["length_mm"])
    found = graduations_mm(picture, arm, 1.0)
    assert np.allclose(found, np.arange(arm["length_mm"] + 1), atol=0.15)


@pytest.mark.parametrize("kind", ON_SKIN)
def test_stated_length_is_the_greatest_distance_on_the_outline(kind):
    picture = render(kind, seed=4, **SMALL)
    for part in picture.truth["parts"]:
        nodes = np.asarray(part["outline_px"])
        apart = np.hypot(*(nodes[:, None] - nodes[None]).transpose(2, 0, 1)).max()
        assert apart * picture.truth["mm_per_px"] == pytest.approx(part["length_mm"], abs=0.01)
        assert 0 < part["width_mm"] <= part["length_mm"] + 0.01


def test_a_painted_ring_measures_what_the_truth_says():
    picture = render(
        "tattoo", seed=4, width=1500, height=1000, tone=0, surface="trunk", scale=False
    )
    outline = np.asarray(picture.truth["outline_px"])
    cx, cy = outline.mean(axis=0)
    wide = 40 / picture.truth["mm_per_px"]
    line = gray_along(picture, (cx - wide, cy), (cx + wide, cy), 4000)
    skin = np.median(np.r_[line[:300], line[-300:]])
    inked = np.flatnonzero(line < skin * 0.72)
    measured = (inked[-1] - inked[0]) / 3999 * 80
    assert measured == pytest.approx(64, abs=0.5)


def test_a_wanted_length_is_painted():
    truth = render("incised_wound", seed=1, length_mm=25, width_mm=4, **SMALL).truth
    assert truth["length_mm"] == pytest.approx(25, abs=0.01)


def test_a_patterned_contusion_has_four_parallel_bands():
    parts = render("patterned_contusion", seed=1, **SMALL).truth["parts"]
    turns = []
    for part in parts:
        (x0, y0), (x1, y1) = part["length_px"]
        turns.append(np.degrees(np.arctan2(y1 - y0, x1 - x0)) % 180)
    assert len(parts) == 4
    assert np.ptp(turns) < 8


def test_without_scale_there_is_none():
    plain = render("contusion", seed=1, scale=False, **SMALL)
    assert plain.truth["scale"] is None
    assert plain.image.tobytes() != render("contusion", seed=1, **SMALL).image.tobytes()


def test_a_scene_claims_no_size():
    truth = render("scene_road", seed=1, **SMALL).truth
    assert truth["mm_per_px"] is None
    assert truth["scale"] is None


def test_the_tag_changes_its_own_corner_only():
    bare = np.asarray(render("contusion", seed=1, width=600, height=400).image, dtype=int)
    tagged = render("contusion", seed=1, width=600, height=400, label="2026-0042 · photograph 7")
    changed = np.abs(np.asarray(tagged.image, dtype=int) - bare).max(axis=2) > 0
    rows, columns = np.nonzero(changed)
    x0, y0, x1, y1 = tagged.truth["tag_box_px"]
    assert x0 - 12 <= columns.min() <= columns.max() <= x1 + 12
    assert y0 - 12 <= rows.min() <= rows.max() <= y1 + 12


def test_tones_run_from_light_to_dark():
    means = [
        np.asarray(
            render("puncture", seed=1, tone=tone, surface="trunk", scale=False, **SMALL).image
        ).mean()
        for tone in range(6)
    ]
    assert means == sorted(means, reverse=True)


@pytest.mark.parametrize(
    ("wanted", "words"),
    [
        ({"kind": "portrait"}, "Unknown kind"),
        ({"kind": "burn", "tone": 6}, "tone must be"),
        ({"kind": "burn", "width": 20}, "width and height"),
        ({"kind": "clothing", "garment": "hat"}, "garment must be"),
        ({"kind": "clothing", "mark": "stain"}, "mark must be"),
        ({"kind": "clothing", "garment": "raincoat", "mark": "hole"}, "mark must be"),
        ({"kind": "specimen_tubes", "contents": ["bile"]}, "contents must be"),
        ({"kind": "overview_mannequin", "view": "side"}, "view must be"),
        ({"kind": "contusion", "age": "old"}, "age must be"),
        ({"kind": "burn", "scale_form": "round"}, "scale_form must be"),
    ],
)
def test_bad_input_is_named(wanted, words):
    with pytest.raises(ValueError, match=words):
        render(**{"seed": 1, **SMALL, **wanted})


def yellow_about(picture):
    """How much bluer than elsewhere the least blue rim about a mark is, against red and green."""
    pixels = np.asarray(picture.image, dtype=float)
    outline = np.asarray(picture.truth["outline_px"])
    middle = outline.mean(axis=0)
    ratios = []
    for share in (1.05, 1.12, 1.2, 1.28):
        rim = np.rint(middle + (outline - middle) * share).astype(int)
        red, green, blue = pixels[rim[:, 1], rim[:, 0]].mean(axis=0)
        ratios.append(blue / ((red + green) / 2))
    far = np.rint(middle + (outline - middle) * 1.9).astype(int)
    red, green, blue = pixels[far[:, 1], far[:, 0]].mean(axis=0)
    return min(ratios) / (blue / ((red + green) / 2))


@pytest.mark.parametrize("tone", range(6))
def test_a_fresh_bruise_has_no_yellow_rim_and_an_old_one_has(tone):
    # Yellow is not seen before about 18 hours: Langlois NEI, Gresham GA. Forensic Sci Int
    # 1991;50:227-238.
    look = {"tone": tone, "scale": False, "width": 900, "height": 600, "length_mm": 40}
    assert yellow_about(render("contusion", seed=8, **look)) > 0.97
    assert yellow_about(render("contusion", seed=8, age="fresh", **look)) > 0.97
    assert yellow_about(render("contusion", seed=8, age="days", **look)) < 0.93


def test_the_watch_stopped_at_the_time_that_the_record_tells():
    (hour, _, _), (minute, _, _) = watch_hands(20, 46)
    # 46 minutes are 276 degrees; 8:46 is 8 + 46/60 twelfths of a turn.
    assert minute == pytest.approx(276)
    assert hour == pytest.approx(263)


def test_a_label_says_what_it_was_told():
    assert medication_label(
        text="Oxycodone 10 mg", directions="one tablet every 12 hours", dispensed=28, count=3
    ) == (
        "Oxycodone 10 mg",
        "Take one tablet every 12 hours",
        "Dispensed quantity 28",
        "Counted: 3",
    )


def test_two_pads_and_two_lines_leave_two_marks_of_one_size():
    for kind in ("electrode_marks", "paired_lines"):
        first, second = render(kind, seed=1, **SMALL).truth["parts"]
        assert first["length_mm"] == pytest.approx(second["length_mm"])


def test_a_band_has_parallel_edges_as_far_apart_as_it_is_wide():
    truth = render("band_abrasion", seed=1, angle=30, **SMALL).truth
    outline = np.asarray(truth["outline_px"]) * truth["mm_per_px"]
    across = outline @ (-np.sin(np.radians(30)), np.cos(np.radians(30)))
    assert np.ptp(across) == pytest.approx(48, rel=0.03)
    # Half of the outline and more lies on the two edges.
    on_edge = np.abs(np.abs(across - across.mean()) - np.ptp(across) / 2) < 1.5
    assert on_edge.mean() > 0.5


def test_night_is_darker_than_day():
    night, day = (
        np.asarray(render(kind, seed=1, **SMALL).image).mean()
        for kind in ("scene_road", "scene_field")
    )
    assert night < 0.6 * day
