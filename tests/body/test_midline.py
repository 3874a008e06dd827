"""Where a mark lies, in words: no side within the tolerance of the midline, a side beyond it.

Names of the places in the midline: common anatomical terms (Terminologia Anatomica uses epigastric,
umbilical and hypogastric (pubic) region, vertex, occiput, nape); the limits are common practice.
"""

import re
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from findings.body.catalogue import catalogue
from findings.body.midline import MIDLINE_WITHIN, place_words, side_of
from findings.body.picking import pick
from findings.body.regions import REGIONS
from findings.body.views import BODIES, VIEWS, view_box

SIDE = re.compile(r"\b(left|right)\b", re.IGNORECASE)
EPIGASTRIC = "Midline of the upper abdomen (epigastric region)"
UMBILICAL = "Midline of the abdomen (umbilical region)"
HYPOGASTRIC = "Midline of the lower abdomen (hypogastric region)"
THORACIC = "Midline of the upper back (thoracic level)"
THORACIC_LOW = "Midline of the middle back (thoracic level)"
LUMBAR = "Midline of the lower back (lumbar level)"
OCCIPUT = "Midline of the occipital scalp (occiput)"

# Body, view, u, v, place. In the front view u is positive to the body's left, in the back view to
# its right; the tolerance is 3 thousandths on either side.
MARKS = [
    # The front of an adult, midline and both sides of the limit.
    ("adult_male", "anterior", 0, 330, EPIGASTRIC),
    ("adult_male", "anterior", 2.9, 330, EPIGASTRIC),
    ("adult_male", "anterior", -2.9, 330, EPIGASTRIC),
    ("adult_male", "anterior", 3.1, 330, "Left upper quadrant of abdomen"),
    ("adult_male", "anterior", -3.1, 330, "Right upper quadrant of abdomen"),
    ("adult_male", "anterior", 40, 330, "Left upper quadrant of abdomen"),
    ("adult_male", "anterior", -40, 330, "Right upper quadrant of abdomen"),
    ("adult_male", "anterior", 0, 364, EPIGASTRIC),
    ("adult_male", "anterior", 0, 367, UMBILICAL),
    ("adult_male", "anterior", 0, 400, UMBILICAL),
    ("adult_male", "anterior", 0, 404, UMBILICAL),
    ("adult_male", "anterior", 0, 407, HYPOGASTRIC),
    ("adult_male", "anterior", 0, 450, HYPOGASTRIC),
    ("adult_male", "anterior", 2.9, 450, HYPOGASTRIC),
    ("adult_male", "anterior", 3.1, 450, "Left lower quadrant of abdomen"),
    ("adult_male", "anterior", -3.1, 450, "Right lower quadrant of abdomen"),
    ("adult_male", "anterior", 0, 240, "Midline of the sternal region"),
    ("adult_male", "anterior", 3.1, 240, "Left side of the sternal region"),
    ("adult_male", "anterior", -3.1, 240, "Right side of the sternal region"),
    ("adult_male", "anterior", 45, 240, "Left pectoral region"),
    ("adult_male", "anterior", 0, 190, "Midline of the upper chest (manubrium)"),
    ("adult_male", "anterior", 0, 268, "Midline of the lower chest (xiphoid region)"),
    ("adult_male", "anterior", 0, 150, "Midline of the anterior neck"),
    ("adult_male", "anterior", 6, 150, "Left side of the anterior neck"),
    ("adult_male", "anterior", 0, 485, "Midline of the pubic region"),
    ("adult_male", "anterior", -8, 485, "Right side of the pubic region"),
    ("adult_male", "anterior", 0, 509, "Midline of the external genital and perineal region"),
    ("adult_male", "anterior", 70, 640, "Left anterior thigh"),
    ("adult_male", "anterior", -70, 640, "Right anterior thigh"),
    # The back of an adult: u is positive to the body's right.
    ("adult_male", "posterior", 0, 140, THORACIC),
    ("adult_male", "posterior", 0, 200, THORACIC),
    ("adult_male", "posterior", 2.9, 200, THORACIC),
    ("adult_male", "posterior", -2.9, 200, THORACIC),
    ("adult_male", "posterior", 3.1, 200, "Right upper back (scapular region)"),
    ("adult_male", "posterior", -3.1, 200, "Left upper back (scapular region)"),
    ("adult_male", "posterior", 0, 330, THORACIC_LOW),
    ("adult_male", "posterior", 0, 380, LUMBAR),
    ("adult_male", "posterior", -3.1, 380, "Left lower back (lumbar region)"),
    ("adult_male", "posterior", 0, 430, "Midline of the sacral region"),
    ("adult_male", "posterior", 8, 430, "Right side of the sacral region"),
    ("adult_male", "posterior", 0, 480, "Gluteal cleft"),
    ("adult_male", "posterior", 0, 500, "Gluteal cleft"),
    ("adult_male", "posterior", 3.1, 480, "Right buttock"),
    ("adult_male", "posterior", -3.1, 480, "Left buttock"),
    ("adult_male", "posterior", 0, 507, "Perianal region"),
    ("adult_male", "posterior", 0, 50, "Midline of the parietal scalp"),
    ("adult_male", "posterior", -3.1, 50, "Left parietal scalp"),
    ("adult_male", "posterior", 0, 85, OCCIPUT),
    ("adult_male", "posterior", 0, 120, "Nape of the neck"),
    ("adult_male", "posterior", 6, 120, "Right side of the posterior neck"),
    # The head from above, from the front and from below.
    ("adult_male", "head_superior", 0, 0, "Vertex of the scalp"),
    ("adult_male", "head_anterior", 0, 45, "Midline of the forehead"),
    ("adult_male", "head_anterior", 3.1, 45, "Left side of the forehead"),
    ("adult_male", "head_anterior", -3.1, 45, "Right side of the forehead"),
    ("adult_male", "head_anterior", 0, 80, "Midline of the nose"),
    ("adult_male", "head_anterior", 0, 98, "Midline of the upper lip (philtrum)"),
    ("adult_male", "head_anterior", 0, 108, "Midline of the lower lip"),
    ("adult_male", "head_anterior", -8, 108, "Right side of the lower lip"),
    ("adult_male", "head_anterior", 0, 118, "Midline of the chin"),
    ("adult_male", "head_inferior", 0, -64, "Midline of the submental region"),
    ("adult_male", "head_posterior", 0, 85, OCCIPUT),
    ("adult_male", "head_posterior", 3.1, 85, "Right occipital scalp"),
    # From the side, where the midline is a silhouette.
    ("adult_male", "left", -99.5, 86, "Left side of the nose"),
    ("adult_male", "head_right", 98, 86, "Right side of the nose"),
    ("adult_male", "right", 60, 300, "Right lower chest (costal region)"),
    ("adult_male", "head_right", 40, 80, "Right ear"),
    # The other bodies: the limits follow their own landmarks.
    ("adult_female", "anterior", 0, 330, EPIGASTRIC),
    ("adult_female", "anterior", 0, 384, UMBILICAL),
    ("adult_female", "anterior", 3.1, 450, "Left lower quadrant of abdomen"),
    ("adult_female", "posterior", 0, 480, "Gluteal cleft"),
    ("adult_female", "posterior", -3.1, 200, "Left upper back (scapular region)"),
    ("adult_female", "posterior", 0, 524, "Perianal region"),
    ("child", "anterior", 0, 424, UMBILICAL),
    ("child", "anterior", 0, 380, EPIGASTRIC),
    ("child", "anterior", -3.1, 380, "Right upper quadrant of abdomen"),
    ("child", "posterior", 0, 410, LUMBAR),
    ("child", "posterior", 0, 110, OCCIPUT),
    ("infant", "anterior", 0, 483, UMBILICAL),
    ("infant", "anterior", 0, 520, HYPOGASTRIC),
    ("infant", "posterior", 0, 310, THORACIC),
    ("infant", "posterior", 3.1, 310, "Right upper back (scapular region)"),
    ("infant", "posterior", 0, 150, OCCIPUT),
    ("infant", "posterior", 0, 590, "Gluteal cleft"),
]


def midline_vectors():
    """The same marks as picks, for the browser's module."""
    vectors = []
    for body, view, u, v, place in MARKS:
        found = pick(body, view, u, v)
        vectors.append(
            {
                "body": body,
                "view": view,
                "u": u,
                "v": v,
                "point": list(found.point),
                "region": found.region,
                "normal": list(found.normal),
                "place": place,
            }
        )
    return vectors


def test_a_mark_is_named_by_its_region_and_the_midline():
    for body, view, u, v, place in MARKS:
        assert pick(body, view, u, v).place == place, (body, view, u, v)


@settings(deadline=None, max_examples=400)
@given(
    body=st.sampled_from(sorted(BODIES)),
    view=st.sampled_from(sorted(VIEWS)),
    across=st.floats(0, 1),
    down=st.floats(0, 1),
    near=st.booleans(),
)
def test_no_mark_in_the_midline_has_a_side_and_no_other_lacks_one(body, view, across, down, near):
    box = view_box(body, view)
    u = (across * 12 - 6) if near and view in _STRADDLING else box.x + across * box.width
    found = pick(body, view, u, box.y + down * box.height)
    if found is None:
        return
    x = found.point[0]
    said = SIDE.findall(found.place)
    if abs(x) <= MIDLINE_WITHIN:
        assert said == []
    else:
        assert [word.lower() for word in said] == ["left" if x > 0 else "right"]
    # The body is symmetric, so is what is said of it.
    y, z = found.point[1:]
    other = place_words(body, _mirrored(found.region), (-x, y, z))
    assert other == SIDE.sub(_other_side, found.place)


_STRADDLING = ("anterior", "posterior", "head_anterior", "head_posterior", "head_superior")


def _mirrored(key):
    return {"_l": f"{key[:-2]}_r", "_r": f"{key[:-2]}_l"}.get(key[-2:], key)


def _other_side(match):
    return {"left": "right", "right": "left", "Left": "Right", "Right": "Left"}[match.group()]


def test_every_region_says_its_side_beyond_the_tolerance_only():
    named_in_the_midline = {row["base"] for row in catalogue()["midline_places"]}
    for key, x in product(REGIONS, (-3.01, -3.0, -0.01, 0.0, 0.01, 3.0, 3.01)):
        # A limb never crosses the midline, so its own side stays.
        region = REGIONS[key]
        if region.side != "midline" and (x > 0) != (region.side == "left"):
            continue
        said = SIDE.findall(place_words("adult_male", key, (x, 10.0, 600.0)))
        crosses = region.side == "midline" or region.base in named_in_the_midline
        assert len(said) == (0 if crosses and abs(x) <= MIDLINE_WITHIN else 1), (key, x)


@pytest.mark.parametrize(
    ("key", "point", "place"),
    [
        # At the limit and just below it: the umbilicus of this body lies at 614.5.
        ("abdomen_upper_l", (0.0, 78.0, 634.5), EPIGASTRIC),
        ("abdomen_upper_l", (0.0, 78.0, 634.4), UMBILICAL),
        ("abdomen_lower_r", (0.0, 78.0, 594.5), UMBILICAL),
        ("abdomen_lower_r", (0.0, 78.0, 594.4), HYPOGASTRIC),
        ("genital", (0.0, -0.1, 490.0), "Perianal region"),
        ("genital", (5.0, -0.1, 490.0), "Left side of the perianal region"),
        ("genital", (-5.0, 0.0, 490.0),
         "Right side of the external genital and perineal region"),
    ],
)  # fmt: skip
def test_a_limit_belongs_to_what_lies_above_or_before_it(key, point, place):
    assert place_words("adult_male", key, point) == place


def test_the_rows_of_each_place_end_with_one_that_has_no_limit():
    last = {}
    for row in catalogue()["midline_places"]:
        before = last.get(row["base"])
        assert before is None or "axis" in before, "This row can never be reached."
        if "axis" in row:
            assert set(row["from"]) == set(BODIES)
        last[row["base"]] = row
    assert all("axis" not in row for row in last.values())


def test_a_side_begins_beyond_the_tolerance():
    found = [side_of(x) for x in (-3.1, -3, 0, 3, 3.1)]
    assert found == ["right", "midline", "midline", "midline", "left"]


def test_a_region_of_one_side_keeps_its_term_in_the_midline():
    assert place_words("adult_male", "orbital_l", (1, 0, 950)) == REGIONS["orbital_l"].term
    assert "Midline" not in place_words("adult_male", "orbital_l", (0, 0, 950))
