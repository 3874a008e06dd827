"""Two places of the record that do not say the same, and all that is no disagreement."""

from __future__ import annotations

import pytest

from cases.checking.disagreements import (
    Kind,
    MeasuredLength,
    Told,
    caption_place,
    caption_side,
    caption_size,
    log_side,
    not_measured,
    report_apart,
    side_said,
    sizes_apart,
    sizes_said,
)

RIGHT = Told(3, "Contusion", side="right", bases=["lateral_chest"], sizes_mm=[110.0, 65.0])
LEFT = Told(4, "Abrasion", side="left", bases=["forearm_anterior"])
BAND = Told(1, "Abrasion", bases=["abdomen_upper"], place="Left shoulder to right lower chest")
MIDLINE = Told(5, "Laceration", bases=["sternal"])


@pytest.mark.parametrize(
    ("words", "side"),
    [
        ("Left forearm", "left"),
        ("RIGHT lateral chest wall", "right"),
        ("Contusion 3 cm left of the midline", ""),
        ("No injury of the left arm; right arm", "right"),
        ("Right chest with a right-angled scale", "right"),
        ("On the left side of the chest", "left"),
        ("Inner side of the right lower leg", "right"),
        # Another sense of the word.
        ("Right-angled scale", ""),
        ("Scale with a right angle", ""),
        ("Tube left in place", ""),
        ("Catheter was left", ""),
        ("The sheet is left over the legs", ""),
        ("Label in the lower left corner", ""),
        ("Scale to the left of the picture", ""),
        ("Scale on the left", ""),
        ("Marks from left to right", ""),
        ("Right after washing", ""),
        ("Chest, right lateral view", ""),
        ("Left lateral decubitus position", ""),
        ("A right-handed person’s watch", ""),
        ("The chest as seen from the left", ""),
        ("View from left", ""),
        ("Lying on his left side", ""),
        ("Chest, left arm raised", ""),
        ("After removal of the left sleeve", ""),
        ("Head turned left, wound of the temple", ""),
        ("Facing right. Bruise of the cheek", ""),
        ("The body lies on its right side", ""),
        ("Wound with the scale on its right", ""),
        ("Ruler left; bruise in the middle", ""),
        ("Scale at left, wound at right", ""),
        ("The left arrow points to the wound", ""),
        ("Arrow on the left points to the wound", ""),
        ("Nothing left of the tattoo", ""),
        ("Left third of the picture", ""),
        ("Left third of the chest", "left"),
        ("Held by the examiner's left hand", ""),
        ("Left hand of the assistant", ""),
        ("Left forearm, held by the examiner’s right hand", "left"),
        ("Scale on the left forearm", "left"),
        ("Seen on the left chest", "left"),
        ("Contusion raised on the left arm", "left"),
        # Denied, both, in the middle, or not said.
        ("No injury of the left arm", ""),
        ("Compared with the left arm", ""),
        ("The opposite, left side", "left"),
        ("Both hands, left one above", ""),
        ("Bilateral, more on the right chest", ""),
        ("Left and right palms", ""),
        ("Midline, toward the left", ""),
        ("Front of the chest", ""),
        ("Upright, bright light", ""),
        ("", ""),
    ],
)
def test_the_side_that_words_name_and_every_other_sense(words, side):
    assert side_said(words) == side


def test_a_caption_that_names_the_other_side_is_told_with_both_places():
    [found] = caption_side("Left chest, close-up", [RIGHT])
    assert found.words == ("The caption says left; finding 3 (contusion) is recorded on the right.")
    assert (found.kind, found.finding) == (Kind.CAPTION_SIDE, 3)
    [two] = caption_side("Left side", [RIGHT, Told(7, "Scar", side="right")])
    assert "finding 3 (contusion) and finding 7 (scar) are recorded on the right" in two.words


@pytest.mark.parametrize(
    ("caption", "findings"),
    [
        ("Right chest", [RIGHT]),
        ("Chest", [RIGHT]),
        ("Left forearm", [RIGHT, LEFT]),
        ("Left of the midline", [MIDLINE]),
        ("Left chest", [RIGHT, MIDLINE]),
        ("Left chest", []),
        ("No injury of the left chest", [RIGHT]),
    ],
)
def test_a_caption_that_may_well_be_right_is_not_told(caption, findings):
    assert caption_side(caption, findings) == []


def test_the_words_of_the_photograph_log_are_compared_like_a_caption():
    [found] = log_side("chest. Left chest, close", [RIGHT], 9)
    assert found.words.startswith("The log of photograph 9 says left; finding 3")
    assert (found.kind, found.photograph) == (Kind.LOG_SIDE, 9)
    assert log_side("chest. Right chest", [RIGHT], 9) == []


@pytest.mark.parametrize(
    ("caption", "findings", "told"),
    [
        ("Right thigh, close-up", [RIGHT], True),
        ("Right thigh", [RIGHT, LEFT], True),
        ("Right side of the chest", [RIGHT], False),
        ("Right flank and back", [RIGHT], False),
        ("Trunk, from the right", [RIGHT], False),
        ("Whole body, front, with the legs", [RIGHT], False),
        ("Contusion, close-up", [RIGHT], False),
        ("Right arm", [LEFT], False),
        ("Back of the left hand", [LEFT], True),
        ("Back of the left forearm", [LEFT], False),
        ("Not the thigh", [RIGHT], False),
        ("Above the right hip, toward the thigh", [RIGHT], False),
        ("Mouth", [Told(8, "Laceration", bases=["upper_lip"])], False),
        ("Fingernail", [Told(8, "Laceration", bases=["index"])], False),
        ("Behind the left ear", [Told(8, "Bruise", bases=["neck_lateral"])], False),
        ("Right thigh", [RIGHT, Told(8, "Scar")], False),
        ("Right thigh", [Told(8, "Scar")], False),
        ("Right thigh", [RIGHT, Told(9, "Scar", bases=["knee"])], False),
        ("Band, left shoulder", [Told(1, "Abrasion", bases=["abdomen_upper"])], True),
        ("Band, left shoulder", [BAND], False),
        ("Left thigh", [BAND], True),
        ("Level with the nipple", [LEFT], False),
        ("Abrasion at nipple height", [LEFT], False),
        ("Scar medial to the knee", [LEFT], False),
        ("Hand of the examiner beside it", [RIGHT], False),
        ("The hand beside it", [RIGHT], True),
        ("Gloved finger points to it", [RIGHT], False),
        ("Foot of the stairs", [RIGHT], False),
        ("Face of the scale toward the camera", [RIGHT], False),
        ("Fingernail marks", [RIGHT], False),
        ("Shoe heel pattern", [RIGHT], False),
        ("Back view", [LEFT], False),
        ("Photographed from the back", [LEFT], False),
        ("Back, close-up", [LEFT], True),
    ],
)
def test_a_part_of_the_body_that_none_of_the_findings_lies_on_is_told(caption, findings, told):
    found = caption_place(caption, findings)
    assert bool(found) is told
    if told:
        assert found[0].kind is Kind.CAPTION_PLACE and "finding" in found[0].words


@pytest.mark.parametrize(
    ("caption", "sizes"),
    [
        ("Contusion, 11.0 × 6.5 cm", [[(110, 0.5), (65, 0.5)]]),
        ("11 cm × 6.5 cm", [[(110, 5), (65, 0.5)]]),
        ("A 3-cm laceration", [[(30, 5)]]),
        ("32 mm long", [[(32, 0.5)]]),
        ("4 in. long", [[(101.6, 13.2)]]),
        ("about 10 cm", [[(100, 10)]]),
        ("2 to 3 cm", [[(25, 10)]]),
        ("2 cm, then 3 cm", [[(20, 5)], [(30, 5)]]),
        ("With a 5 cm scale", []),
        ("Scale: 5 cm", []),
        ("5 cm bar", []),
        ("Chest, from 50 cm", []),
        ("Hemorrhage beneath, 9 by 6 cm", []),
        ("121 cm above the heel", []),
        ("13 cm right of the midline", []),
        ("4 in the chest", []),
        ("3 in all", []),
        ("Photograph 2 in close-up", []),
        ("No. 3 in situ", []),
        ("4 in across", [[(101.6, 13.2)]]),
        ("A 4 in contusion", [[(101.6, 13.2)]]),
        ("4 in", [[(101.6, 13.2)]]),
        ("Knife blade 18 cm", []),
        ("Macro 100 mm", []),
        ("100 mm f/2.8", []),
        ("130 cm up from the sole", []),
        ("Distance: 30 cm", []),
        ("over 10 cm long", []),
        ("at least 10 cm", []),
        ("Photograph 12", []),
        ("1/2 inch", []),
    ],
)
def test_the_sizes_that_a_caption_gives_and_those_that_are_of_something_else(caption, sizes):
    said = [one.sizes for one in sizes_said(caption)]
    assert said == [tuple(pytest.approx(pair) for pair in one) for one in sizes]


def length(value=112.0, low=109.0, high=115.0, **fields):
    return MeasuredLength(3, 9, 1, value, low, high, "11.2 cm (10.9 to 11.5)", **fields)


@pytest.mark.parametrize(
    ("caption", "lengths", "told"),
    [
        ("11.0 × 6.5 cm", [], False),
        ("11.1 × 6.5 cm", [], True),
        ("11.2 × 6.5 cm", [], True),
        ("11 cm long", [], False),
        ("12 cm long", [], True),
        ("about 12 cm", [], False),
        ("11.5 cm", [], True),
        ("11.5 cm", [length()], False),
        ("11.6 cm", [length()], True),
        ("11.2 cm", [length(low=None, high=None)], False),
        ("with a 5 cm scale", [], False),
        ("4.33 × 2.5 in", [], False),
        ("4.33 × 2.4 in", [], True),
    ],
)
def test_a_size_in_a_caption_is_compared_as_it_is_written(caption, lengths, told):
    found = caption_size(caption, [RIGHT], lengths)
    assert bool(found) is told
    if told:
        assert "finding 3 (contusion) is recorded as 11.0 × 6.5 cm" in found[0].words


def test_a_size_in_a_caption_is_not_compared_with_nothing():
    assert caption_size("12 cm", [LEFT]) == []
    assert caption_size("12 cm", []) == []


def by_ruler(**fields):
    values = {"length_mm": 110.0, "width_mm": 65.0, "measured_by": "ruler", **fields}
    return Told(3, "Contusion", **values)


@pytest.mark.parametrize(
    ("finding", "measured", "told"),
    [
        (by_ruler(), length(), False),
        (by_ruler(length_mm=108.5), length(), False),
        (by_ruler(length_mm=108.4), length(), True),
        (by_ruler(length_mm=115.5), length(), False),
        (by_ruler(length_mm=115.6), length(), True),
        # A length that is of either size.
        (by_ruler(length_mm=200.0, width_mm=112.0), length(), False),
        (by_ruler(length_mm=200.0, width_mm=112.0), length(gives="length"), True),
        (by_ruler(length_mm=90.0, measured_by="estimate"), length(), True),
        (by_ruler(length_mm=90.0, measured_by="photograph"), length(), False),
        (by_ruler(length_mm=90.0), length(low=None, high=None), False),
        (by_ruler(length_mm=None, width_mm=None), length(), False),
    ],
)
def test_a_size_by_ruler_is_compared_with_the_interval_on_a_photograph(finding, measured, told):
    found = sizes_apart(finding, [measured])
    assert bool(found) is told
    if told:
        assert found[0].words.startswith("Finding 3 (contusion) has a length")
        assert "on photograph 9 it was measured as 11.2 cm (10.9 to 11.5)" in found[0].words
        assert (found[0].photograph, found[0].measurement) == (9, 1)


def test_an_estimate_is_called_one():
    [found] = sizes_apart(by_ruler(length_mm=90.0, measured_by="estimate"), [length()])
    assert "9.0 × 6.5 cm by estimate" in found.words


@pytest.mark.parametrize(
    ("finding", "lengths", "said"),
    [
        (Told(3, "Contusion"), [length()], "has no recorded size; measurements of it are kept"),
        (Told(3, "Contusion", words="Not measured."), [length()], "is described as not measured"),
        (
            Told(3, "Contusion", words="It was not measured", sizes_mm=[110.0]),
            [],
            "is described as not measured; its recorded size is 11.0 cm",
        ),
        (Told(3, "Contusion"), [], ""),
        (Told(3, "Contusion", words="Not measured."), [], ""),
        (RIGHT, [length()], ""),
    ],
)
def test_not_measured_is_checked_against_what_is_kept(finding, lengths, said):
    found = not_measured(finding, lengths)
    assert bool(found) is bool(said)
    if said:
        assert said in found[0].words


def test_a_passage_is_compared_with_the_record_but_not_by_its_spaces():
    assert report_apart(RIGHT, "An 11.0 cm contusion.", "an 11.0  cm\ncontusion.") == []
    assert report_apart(RIGHT, "", "An 11.0 cm contusion.") == []
    [found] = report_apart(RIGHT, "An 11.0 cm contusion.", "A 12.0 cm contusion.")
    assert found.words == (
        "The report says of finding 3 (contusion): “An 11.0 cm contusion.”; the record now reads: "
        "“A 12.0 cm contusion.”."
    )
    assert "no longer says it" in report_apart(RIGHT, "An 11.0 cm contusion.", "")[0].words
