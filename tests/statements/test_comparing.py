"""Where figures of a passage and of the record differ, and where nothing is pointed out."""

from __future__ import annotations

from decimal import Decimal

import pytest

from cases.statements.comparing import (
    ABOVE_HEEL,
    FROM_MIDLINE,
    Recorded,
    differences,
    in_question,
)

BRUISE = Recorded(
    sizes={
        "length": Decimal("11.0"),
        "width": Decimal("6.5"),
        ABOVE_HEEL: Decimal("121.4"),
        FROM_MIDLINE: Decimal("14.2"),
    },
    impacts_kind="at least",
    impacts=2,
    marks=(12, 15),
    sides=frozenset({"right"}),
)
UNMEASURED = Recorded()

DIFFER = [
    ("A. About ten centimeters.", "size", "length 11.0 cm, width 6.5 cm"),
    ("ten by six centimeters", "size", "length 11.0 cm, width 6.5 cm"),
    ("11 by 7.0 centimeters", "size", "length 11.0 cm, width 6.5 cm"),
    ("ten centimeters long", "length", "length 11.0 cm"),
    ("11 centimeters wide", "width", "width 6.5 cm"),
    ("a width of 11 centimeters", "width", "width 6.5 cm"),
    ("three centimeters deep", "depth", "no depth"),
    ("120 centimeters above the right heel", ABOVE_HEEL, f"{ABOVE_HEEL} 121.4 cm"),
    ("12 cm to the right of the midline", FROM_MIDLINE, f"{FROM_MIDLINE} 14.2 cm"),
    ("on the left side of the chest", "side", "right"),
    ("two blows", "number of impacts", "at least 2"),
    ("a maximum of two blows", "number of impacts", "at least 2"),
    ("11 by 7 and a half centimeters", "size", "length 11.0 cm, width 6.5 cm"),
    ("on his left hand", "side", "right"),
    ("at least three blows", "number of impacts", "at least 2"),
    ("eleven marks", "number of marks", "12 to 15 separate marks"),
    ("at least 16 marks", "number of marks", "12 to 15 separate marks"),
    ("I did not doubt it; ten inches", "size", "length 11.0 cm, width 6.5 cm"),
    ("It was not old, but ten centimeters long", "length", "length 11.0 cm"),
    ("The knife wound is ten centimeters long", "length", "length 11.0 cm"),
    ("This picture shows ten centimeters", "size", "length 11.0 cm, width 6.5 cm"),
]


@pytest.mark.parametrize(("words", "about", "recorded"), DIFFER)
def test_a_figure_that_differs_is_pointed_out_beside_the_record(words, about, recorded):
    (found,) = differences(words, BRUISE)
    assert (found.about, found.recorded) == (about, recorded)
    assert found.words.endswith(f"In the record: {recorded}.")


AGREE = [
    "Eleven centimeters.",
    "11 by 6.5 centimeters",
    "6.5 by 11 centimeters",
    "four and a half inches long",
    "six and a half centimeters wide",
    "at least ten centimeters",
    "121 centimeters above the heel",
    "fourteen centimeters from the midline",
    "on the right side",
    "on the right side and not on the left side",
    "at least two impacts",
    "a minimum of two impacts",
    "11 by 6 and a half centimeters",
    "fifteen marks",
    "ten to twelve marks",
]
OF_OTHER_THINGS = [
    "a ten-centimeter blade",
    "two centimeters from the ear",
    "30 cm below the shoulder",
    "he fell twelve feet",
    "She was five foot six.",
    "in my left hand I held the ruler",
    "Put it into your left hand, please.",
    "It was 11,0 cm.",
    "he weighed 80 kilograms",
    "All right. He left at ten.",
    "exhibit 10, page 12",
    "The knife was 20 cm long.",
    "The blade, twenty centimeters in length, was not found.",
    "The scale in the picture is 15 centimeters long.",
    "The photograph was taken from about 50 centimeters.",
    "The hemorrhage beneath was 9 by 6 cm.",
]
DENIED = [
    "It was not ten inches long.",
    "It wasn't on the left chest.",
    "I never said two blows.",
    "I cannot say whether it was one blow or two.",
    "I could tell you whether it was three blows.",
    "There were not eleven marks.",
]


@pytest.mark.parametrize("words", AGREE + OF_OTHER_THINGS + DENIED)
def test_nothing_is_pointed_out_where_figures_agree_or_are_of_something_else(words):
    assert differences(words, BRUISE) == []


def test_what_was_said_and_never_recorded_is_pointed_out_too():
    found = differences("Ten centimeters. Two blows. On the left side. Five marks.", UNMEASURED)
    assert [one.recorded for one in found] == ["no size", "no number of impacts"]


def test_how_a_number_of_impacts_is_meant_is_compared():
    exactly = Recorded(impacts_kind="exactly", impacts=2)
    cannot = Recorded(impacts_kind="cannot be determined")
    assert differences("two blows", exactly) == []
    assert differences("at least two blows", exactly) == []
    assert [one.recorded for one in differences("three blows", exactly)] == ["exactly 2"]
    (one,) = differences("two blows", cannot)
    assert one.recorded == "the number of impacts cannot be determined"


def test_inches_and_about_say_how_they_were_read():
    (inches,) = differences("five inches long", BRUISE)
    assert inches.said == "“five inches” (read as 11.43 to 13.97 cm)"
    (both,) = differences("two by three inches", BRUISE)
    assert both.said == "“two by three inches” (read as 3.81 to 6.35 by 6.35 to 8.89 cm)"
    (plain,) = differences("ten centimeters long", BRUISE)
    assert plain.said == "“ten centimeters”"


TESTIMONY = "Q. Was it ten centimeters?\nA. No. Twelve centimeters.\nTHE COURT: Go on."


def test_what_counsel_put_is_told_from_what_the_witness_said():
    asked, said = differences(TESTIMONY, BRUISE)
    assert asked.words.startswith("In a question: “ten centimeters”. In the record:")
    assert said.words.startswith("Said: “Twelve centimeters”. In the record:")
    assert in_question(TESTIMONY, len(TESTIMONY) - 1)
    assert not in_question("Ten centimeters, I wrote.", 5)
    assert in_question("MR. ORRIN: Ten?", 12)


def test_a_topic_is_compared_with_its_one_figure():
    found = Recorded(of_topic=True, minutes=461, words="time found, 07:41")
    assert differences("at 7:41 in the morning, on the left side", found) == []
    assert differences("at about half past seven", found) == []
    (one,) = differences("at half past seven", found)
    assert (one.about, one.recorded) == ("time", "time found, 07:41")
    assert differences("at nine o'clock, no, at 7:41", found) == []
    assert differences("early", found) == []
    about = Recorded(of_topic=True, minutes=461, minutes_about=True, words="about 07:41")
    assert differences("at half past seven", about) == []


def test_length_and_weight_of_the_body_are_compared_in_other_units_too():
    length = Recorded(of_topic=True, sizes={"body length": Decimal("180.0")}, words="180.0 cm")
    assert differences("five feet eleven inches, 181 pounds", length) == []
    assert [one.about for one in differences("five feet eight inches", length)] == ["length"]
    weight = Recorded(of_topic=True, weight=Decimal("82.00"), words="82 kg")
    assert differences("181 pounds", weight) == []
    (one,) = differences("190 pounds", weight)
    assert one.said == "“190 pounds” (read as 85.96 to 86.41 kg)"
