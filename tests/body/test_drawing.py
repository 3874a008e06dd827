import itertools
import math
import re
from xml.etree import ElementTree

import pytest
import typst

from findings.body.catalogue import ASSETS, BodyGeometryError, UnknownView
from findings.body.drawing import Mark, chart_svg, mark_in_view
from findings.body.labels import chart_box, label_size, place_labels
from findings.body.marks import CLASSES, KINDS, PAPER
from findings.body.picking import pick
from findings.body.views import BODIES, VIEWS, view_box

SVG = "{http://www.w3.org/2000/svg}"


def ring(u, v, radius, corners=12):
    turns = [2 * math.pi * k / corners for k in range(corners)]
    return [(u + radius * math.cos(t), v + radius * math.sin(t)) for t in turns]


def make_mark(number=1, klass="injury", kind="point", view="anterior", points=None, **more):
    points = points or [(-72.0, 290.0)]
    on_page = all(map(math.isfinite, points[0]))
    found = pick("adult_male", view, *points[0]) if on_page else None
    if found is not None:
        more = {"point3": found.point, "region": found.region, **more}
    return Mark(number, klass, kind, view, points, **more)


def one_of_each():
    """A mark of every class and kind, none upon another."""
    shapes = {
        "point": lambda u, v: [(u, v)],
        "line": lambda u, v: [(u - 6, v), (u, v + 4), (u + 6, v)],
        "area": lambda u, v: ring(u, v, 6),
        "paired": lambda u, v: [(u, v), (u + 6, v + 6)],
        "pattern": lambda u, v: ring(u, v, 7),
    }
    pairs = itertools.product(CLASSES, KINDS)
    return [
        make_mark(n + 1, klass, kind, points=shapes[kind](-70 + 20 * (n % 7), 250 + 22 * (n // 7)))
        for n, (klass, kind) in enumerate(pairs)
    ]


def points_across(count):
    """Marks spread over the front of the body."""
    box = view_box("adult_male", "anterior")
    marks = []
    for step in itertools.count():
        u = box.x + box.width * (step * 0.618034 % 1)
        v = box.y + box.height * (step * 0.414214 % 1)
        if pick("adult_male", "anterior", u, v):
            marks.append(make_mark(len(marks) + 1, points=[(u, v)]))
        if len(marks) == count:
            return marks


@pytest.mark.parametrize("body", BODIES)
def test_every_drawing_is_xml_without_a_style_of_its_own(body):
    for view in VIEWS:
        drawing = ASSETS / "drawings" / body / f"{view}.svg"
        root = ElementTree.fromstring(drawing.read_text(encoding="utf-8"))
        tags = {element.tag for element in root.iter()}
        classes = {element.get("class") for element in root.iter()} - {None}
        assert f"{SVG}style" not in tags, view
        assert f"{SVG}script" not in tags, view
        assert classes <= {
            "skin", "tones", "tone-1", "tone-2", "tone-3", "regions", "border", "line", "section",
        }, view  # fmt: skip
        assert {"skin", "regions", "line"} <= classes, view
        assert not any(element.get("style") for element in root.iter()), view


@pytest.mark.parametrize("standalone", [True, False])
def test_a_chart_with_every_class_and_kind_is_xml_and_shows_every_number(standalone):
    marks = one_of_each()
    root = ElementTree.fromstring(chart_svg("adult_male", "anterior", marks, standalone=standalone))
    numbers = [element.text for element in root.iter(f"{SVG}text")]
    assert sorted(map(int, numbers)) == list(range(1, len(marks) + 1))
    drawn = [e for e in root.iter(f"{SVG}g") if (e.get("class") or "").startswith("mark mark-")]
    assert sorted(int(e.get("data-number")) for e in drawn) == list(range(1, len(marks) + 1))
    assert root.get("aria-label") == "Adult male, front, 35 marks"
    assert (root.get("width") is not None) == standalone


def test_every_reference_within_a_chart_has_its_target():
    text = chart_svg("adult_male", "anterior", one_of_each(), standalone=True)
    wanted = set(re.findall(r"url\(#([^)]+)\)", text)) | set(re.findall(r'href="#([^"]+)"', text))
    ids = re.findall(r' id="([^"]+)"', text)
    assert wanted <= set(ids)
    assert len(ids) == len(set(ids))


def test_a_chart_for_a_page_needs_no_inline_style_or_script():
    text = chart_svg("adult_male", "anterior", one_of_each(), standalone=False)
    assert " style=" not in text
    assert "<style" not in text
    assert "<script" not in text
    assert not re.search(r" on[a-z]+=", text)


def test_typst_compiles_charts_of_every_kind_into_an_archivable_pdf(tmp_path):
    views = ["anterior", "posterior", "head_left", "arm_left_medial", "trunk_left"]
    for view in views:
        text = chart_svg("adult_male", view, one_of_each(), standalone=True)
        (tmp_path / f"{view}.svg").write_text(text, encoding="utf-8")
    figures = "\n".join(f'#image("{view}.svg", height: 12cm, alt: "{view}")' for view in views)
    source = tmp_path / "charts.typ"
    source.write_text(
        f'#set document(title: "Charts", date: datetime(year: 2026, month: 1, day: 2))\n{figures}',
        encoding="utf-8",
    )
    document = typst.compile(str(source), pdf_standards=["a-3b"])
    assert document.startswith(b"%PDF-")


@pytest.mark.parametrize("count", [1, 20, 60, 300])
def test_labels_do_not_overlap_and_lie_within_the_chart_beside_the_body(count):
    anchors = [mark.points[0] for mark in points_across(count)]
    size = label_size("adult_male", "anterior", range(1, count + 1))
    spots = place_labels("adult_male", "anterior", anchors, size)
    box = chart_box("adult_male", "anterior")
    for u, v in spots:
        assert box.x <= u - size.width / 2
        assert u + size.width / 2 <= box.x + box.width
        assert box.y <= v - size.height / 2
        assert v + size.height / 2 <= box.y + box.height
        assert pick("adult_male", "anterior", u, v) is None
    for (au, av), (bu, bv) in itertools.combinations(spots, 2):
        assert abs(au - bu) >= size.width or abs(av - bv) >= size.height


def test_the_leaders_of_twenty_marks_do_not_cross():
    anchors = [mark.points[0] for mark in points_across(20)]
    size = label_size("adult_male", "anterior", range(1, 21))
    spots = place_labels("adult_male", "anterior", anchors, size)

    def turn(a, b, c):
        return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])

    for (a, b), (c, d) in itertools.combinations(zip(anchors, spots, strict=True), 2):
        apart = turn(a, b, c) * turn(a, b, d) < 0 and turn(c, d, a) * turn(c, d, b) < 0
        assert not apart


def test_the_same_marks_give_the_same_chart():
    marks = one_of_each()
    first = chart_svg("adult_male", "anterior", marks, standalone=True)
    assert chart_svg("adult_male", "anterior", marks, standalone=True) == first


def test_a_mark_shows_in_every_view_in_which_its_surface_is_visible():
    mark = make_mark(points=[(-80.0, 80.0)], view="left", kind="point")
    assert mark_in_view("adult_male", mark, "left") == mark
    assert mark_in_view("adult_male", mark, "right") is None
    cheek = make_mark(points=[(-25.0, 80.0)])
    close = mark_in_view("adult_male", cheek, "head_anterior")
    assert close.points[0] == pytest.approx(cheek.points[0])
    assert mark_in_view("adult_male", cheek, "posterior") is None


def test_an_outline_that_is_all_in_sight_keeps_its_corners():
    mark = make_mark(kind="area", points=ring(0, 70, 8))
    close = mark_in_view("adult_male", mark, "head_anterior")
    assert not close.partly_hidden
    assert [p for pair in close.points for p in pair] == pytest.approx(
        [p for pair in mark.points for p in pair]
    )


def test_the_hidden_part_of_an_outline_is_left_out():
    mark = make_mark(kind="area", view="posterior", points=ring(0, 300, 70, 24))
    beside = mark_in_view("adult_male", mark, "left")
    assert beside.partly_hidden
    for u, v in beside.points:
        # What is drawn in the left view lies on the left half of the body.
        assert pick("adult_male", "left", u, v).point[0] > 0


def test_an_area_out_of_sight_is_not_drawn():
    mark = make_mark(kind="area", view="posterior", points=ring(0, 300, 40))
    text = chart_svg("adult_male", "anterior", [mark], standalone=True)
    assert 'data-number="1"' not in text
    assert "0 marks" in text


def test_a_selected_mark_has_a_filled_label():
    text = chart_svg("adult_male", "anterior", [make_mark(selected=True)], standalone=True)
    assert 'class="label-box" fill="#a8401f"' in text
    assert "is-selected" in text


def test_each_class_has_a_hue_a_hatch_and_a_line_of_its_own():
    looks = CLASSES.values()
    for quality in ("hue", "hatch", "dash", "title"):
        assert len({getattr(look, quality) for look in looks}) == len(CLASSES)


def luminance(colour):
    """Relative luminance as defined in WCAG 2.2."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


@pytest.mark.parametrize("key", CLASSES)
def test_numbers_can_be_read_on_paper(key):
    # WCAG 2.2, success criterion 1.4.3: text needs a contrast of 4.5 to 1.
    contrast = (luminance(PAPER) + 0.05) / (luminance(CLASSES[key].hue) + 0.05)
    assert contrast >= 4.5


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        ({"klass": "bruise"}, "no class of finding called “bruise”"),
        ({"kind": "blob"}, "no kind of mark called “blob”"),
        ({"points": [(math.nan, 0.0)]}, "not a number"),
    ],
)
def test_a_wrong_mark_is_refused_with_what_is_wrong(wrong, message):
    with pytest.raises(BodyGeometryError, match=message):
        chart_svg("adult_male", "anterior", [make_mark(**wrong)], standalone=True)


def test_a_mark_without_points_and_an_unknown_view_are_refused():
    with pytest.raises(BodyGeometryError, match="Mark 4 has no point"):
        chart_svg(
            "adult_male", "anterior", [Mark(4, "injury", "point", "anterior", [])], standalone=True
        )
    with pytest.raises(UnknownView):
        chart_svg("adult_male", "inside", [], standalone=True)
