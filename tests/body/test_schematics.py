import math
import re
from xml.etree import ElementTree

import numpy as np
import pytest

from findings.body.area import area_percent, inside_outline
from findings.body.catalogue import ASSETS, BodyGeometryError, UnknownView
from findings.body.drawing import Mark, chart_svg, mark_in_view
from findings.body.labels import chart_box, label_size, place_labels
from findings.body.picking import pick
from findings.body.schematics import part_at, parts
from findings.body.views import SCHEMATICS, VIEWS, view_box, view_title

# The views that an examination needs beside the surfaces of the body.
NEEDED = {
    "perineum": 2,
    "mouth": 1,
    "skeleton": 2,
    "skull": 4,
    "brain": 4,
    "heart": 2,
    "neck": 1,
    "torso": 2,
}


def middle(part):
    us, vs = zip(*part.outline, strict=True)
    return sum(us) / len(us), sum(vs) / len(vs)


def test_there_is_a_drawing_for_every_subject():
    groups = [drawing.group for drawing in SCHEMATICS.values()]
    assert {group: groups.count(group) for group in groups} == NEEDED
    assert not set(SCHEMATICS) & set(VIEWS)


@pytest.mark.parametrize("view", SCHEMATICS)
def test_each_part_is_named_once_with_its_side_and_lies_in_the_box(view):
    found = parts(view)
    keys = [part.key for part in found]
    assert len(keys) == len(set(keys))
    box = view_box("adult_male", view)
    for part in found:
        assert part.term[0].isupper()
        if part.key.endswith("_r"):
            assert part.side == "right"
            assert part.key[:-2] + "_l" in keys or view.endswith("_right")
        assert all(box.holds(u, v) for u, v in part.outline), part.key


@pytest.mark.parametrize("view", SCHEMATICS)
def test_every_part_can_be_pointed_at(view):
    # Each part shows somewhere: no other part covers it all.
    box = view_box("adult_male", view)
    step = box.height / 250
    us, vs = np.meshgrid(np.arange(0, box.width, step), np.arange(0, box.height, step))
    topmost = np.full(us.shape, -1)
    for index, part in enumerate(parts(view)):
        topmost[inside_outline(np.array(part.outline), us, vs)] = index
    covered = [part.key for i, part in enumerate(parts(view)) if not (topmost == i).any()]
    assert covered == []


@pytest.mark.parametrize("view", SCHEMATICS)
def test_every_drawing_is_xml_without_a_style_of_its_own(view):
    text = (ASSETS / "drawings" / "schematic" / f"{view}.svg").read_text(encoding="utf-8")
    root = ElementTree.fromstring(text)
    assert [float(n) for n in root.get("viewBox").split()] == list(view_box("child", view))
    classes = {name for e in root.iter() for name in (e.get("class") or "").split()}
    assert classes <= {"part", "detail", *(f"tone-part-{n}" for n in range(1, 5))}
    assert root.get("aria-label") == view_title(view)
    assert "style" not in text


@pytest.mark.parametrize(
    ("right", "left"), [("skull_right", "skull_left"), ("brain_right", "brain_left")]
)
def test_left_and_right_drawings_mirror_one_another(right, left):
    width = view_box("adult_male", right).width
    swapped = {part.key: part for part in parts(left)}
    for part in parts(right):
        other = swapped[re.sub("_r$", "_l", part.key)]
        u, v = middle(part)
        assert middle(other) == pytest.approx((width - u, v), abs=0.2)
        assert (other.side, part.side) in {("left", "right"), ("midline", "midline")}


@pytest.mark.parametrize(
    ("view", "page_left"),
    [
        # Seen from the front or from below the body's right is on the page's left.
        ("skeleton_anterior", "right"),
        ("skeleton_posterior", "left"),
        ("brain_superior", "left"),
        ("brain_inferior", "right"),
        ("skull_base_inner", "left"),
        ("perineum_female", "right"),
        ("mouth", "right"),
        ("torso_organs", "right"),
        ("heart_posterior", "left"),
    ],
)
def test_sides_are_the_bodys_own(view, page_left):
    center = view_box("adult_male", view).width / 2
    for part in parts(view):
        if part.side != "midline":
            on_left = middle(part)[0] < center
            assert (part.side == page_left) == on_left, part.key


def test_the_topmost_part_is_taken():
    patella = next(p for p in parts("skeleton_anterior") if p.key == "patella_r")
    assert part_at("skeleton_anterior", *middle(patella)).term == "Right patella"
    assert part_at("skeleton_anterior", 1, 1) is None


def test_a_schematic_has_no_surface():
    assert pick("adult_male", "mouth", 150, 200) is None
    with pytest.raises(BodyGeometryError, match="no body surface"):
        area_percent("adult_male", "mouth", [(100, 100), (200, 100), (150, 200)])
    with pytest.raises(UnknownView, match="lungs"):
        parts("lungs")


def test_a_mark_on_a_schematic_is_drawn_there_with_its_part_and_nowhere_else():
    mark = Mark(3, "injury", "line", "skull_right", [(120, 80), (170, 100)])
    text = chart_svg("adult_male", "skull_right", [mark], standalone=True)
    assert "<title>3, Injury, Right parietal bone</title>" in text
    assert 'aria-label="Skull, right side, 1 mark"' in text
    assert mark_in_view("adult_male", mark, "anterior") is None
    assert mark_in_view("adult_male", mark, "skull_left") is None


@pytest.mark.parametrize("view", SCHEMATICS)
def test_labels_stand_beside_the_parts_and_not_upon_one_another(view):
    anchors = [middle(part) for part in parts(view)][:12]
    size = label_size("adult_male", view, range(1, 13))
    spots = place_labels("adult_male", view, anchors, size)
    box = chart_box("adult_male", view)
    for index, (u, v) in enumerate(spots):
        assert box.holds(u, v)
        assert part_at(view, u, v) is None
        for other in spots[:index]:
            assert abs(u - other[0]) >= size.width or abs(v - other[1]) >= size.height
    assert all(math.isfinite(value) for spot in spots for value in spot)


@pytest.mark.parametrize(
    ("view", "key", "term"),
    [
        *(
            ("mouth", f"{jaw}_tooth_8_{side[0].lower()}", f"{side} {jaw} tooth 8")
            for jaw in ("upper", "lower")
            for side in ("Right", "Left")
        ),
        ("heart_anterior", "left_main", "Left main coronary artery"),
        ("heart_anterior", "lad", "Left anterior descending artery"),
        ("heart_anterior", "circumflex", "Circumflex artery"),
        ("heart_anterior", "rca", "Right coronary artery"),
        ("heart_posterior", "posterior_descending", "Posterior descending artery"),
        ("torso_organs", "esophagus", "Esophagus"),
        ("torso_organs", "thymus", "Thymus"),
        ("retroperitoneum", "adrenal_r", "Right adrenal gland"),
        ("retroperitoneum", "adrenal_l", "Left adrenal gland"),
    ],
)
def test_what_is_examined_daily_is_on_a_drawing_under_its_report_name(view, key, term):
    named = {part.key: part.term for part in parts(view)}
    assert named[key] == term
