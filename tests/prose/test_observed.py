"""The first sentences of a finding: where it is, what it is, how it looks."""

from __future__ import annotations

import pytest

from findings.prose.observed import Facts, standard_sentence


def test_the_standard_sentence():
    said = standard_sentence(
        Facts(
            term="Contusion",
            place="Right lateral chest wall",
            above_heel_cm=121.4,
            from_midline_cm=-14.2,
            midline="anterior",
            length_mm=110,
            width_mm=65,
            seen_as="Purple-red",
        )
    )
    assert said == (
        "On the right lateral chest wall, centered 121.4 cm above the heel and 14.2 cm right of "
        "the anterior midline, is an 11.0 × 6.5 cm purple-red contusion."
    )


@pytest.mark.parametrize(
    ("facts", "said"),
    [
        (Facts(term=""), ""),
        (Facts(term="Scar"), "There is a scar."),
        (Facts(term="Lividity", place="Back"), "On the back is lividity."),
        (
            Facts(term="Fractures", place="Right ribs 5 to 8", seen_as="Lateral, displaced"),
            "On the right ribs 5 to 8 are fractures. They are lateral and displaced.",
        ),
        (
            Facts(term="Stab wound", length_mm=21, depth_mm=84),
            "There is a 2.1 cm stab wound, 8.4 cm deep.",
        ),
        (
            Facts(term="Hemorrhage", length_mm=90, width_mm=60),
            "There is a 9.0 × 6.0 cm area of hemorrhage.",
        ),
        (
            Facts(term="Abrasion", place="Both wrists", above_heel_cm=93, places=2),
            "On both wrists, the first of 2 marks centered 93.0 cm above the heel, is an abrasion.",
        ),
        (
            Facts(term="Abrasion", from_midline_cm=0, midline="posterior"),
            "Centered in the posterior midline is an abrasion.",
        ),
        (
            Facts(
                term="Gunshot wound of entrance",
                place="Midline of the upper abdomen (epigastric region)",
                above_heel_cm=114.57,
                from_midline_cm=0,
                midline="anterior",
                tapped_cm=171,
            ),
            "In the midline of the upper abdomen (epigastric region), centered about 115 cm above "
            "the heel, is a gunshot wound of entrance.",
        ),
        (
            Facts(
                term="Scar",
                place="Left cheek",
                above_heel_cm=154.4,
                from_midline_cm=3.6,
                midline="anterior",
                tapped_cm=100,
            ),
            "On the left cheek, centered about 154 cm above the heel and about 4 cm left of the "
            "anterior midline, is a scar.",
        ),
        (
            Facts(
                term="Scar",
                place="Gluteal cleft",
                above_heel_cm=28.31,
                from_midline_cm=0,
                midline="posterior",
                tapped_cm=99.9,
            ),
            "In the gluteal cleft, centered about 28.5 cm above the heel and in the posterior "
            "midline, is a scar.",
        ),
    ],
)
def test_the_sentence_with_less_to_say(facts, said):
    assert standard_sentence(facts) == said


@pytest.mark.parametrize(
    ("seen", "said"),
    [
        (
            {
                "colour": "Purple-red",
                "shape": "Oval",
                "margins": "Ill-defined",
                "pattern": "Two parallel bands.",
                "vital_reaction": "Red rim of 2 mm",
            },
            "There is a purple-red oval contusion. It shows ill-defined margins and a pattern of "
            "two parallel bands. It shows a vital reaction, a red rim of 2 mm.",
        ),
        (
            {"colour": "Blue", "seen_as": "Blue, firm"},
            "There is a blue contusion. It is firm.",
        ),
        (
            {"colour": "Blue", "seen_as": "Purple, firm"},
            "There is a blue contusion. It is purple and firm.",
        ),
        ({"colour": "Like slate"}, "There is a contusion. It is like slate."),
        ({"seen_as": "Blue, firm"}, "There is a blue contusion. It is firm."),
    ],
)
def test_the_sentence_names_what_was_seen_part_by_part(seen, said):
    assert standard_sentence(Facts(term="Contusion", **seen)) == said


def test_a_sentence_keeps_all_that_was_said_before():
    said = standard_sentence(
        Facts(
            term="Contusions",
            place="the left thigh",
            separate_marks="12 to 15",
            far_end="The exit is on the left upper back",
            shape="Shape of an X. ",
            pattern="Loop",
        )
    )
    assert said == (
        "On the left thigh are contusions. Within the outlined area are 12 to 15 separate marks. "
        "The exit is on the left upper back. They show a shape of an X and a pattern of a loop."
    )


def test_without_place_and_position_a_sentence_begins_with_what_there_is():
    assert standard_sentence(Facts(term="Scar")) == "There is a scar."
    assert standard_sentence(Facts(term="Scar", above_heel_cm=90)) == (
        "Centered 90.0 cm above the heel is a scar."
    )
    assert standard_sentence(Facts(term="Scar", place="Left leg, front")) == (
        "On the left leg, front, is a scar."
    )


@pytest.mark.parametrize(
    ("recorded", "said"),
    [
        ({"margins": "abraded below"}, "Its margins are abraded below."),
        ({"margins": "sharp and even"}, "It shows sharp and even margins."),
        ({"margins": "not sharp"}, "Its margins are not sharp."),
        ({"margins": "sharp edge"}, "It shows a sharp edge."),
        ({"margins": "none"}, "The margins were recorded as none."),
        ({"margins": "glimbly"}, "It was described as “glimbly”."),
        ({"shape": "round to oval"}, "Its shape is round to oval."),
        ({"shape": "horseshoe, open below"}, "It was described as “horseshoe, open below”."),
        ({"pattern": "tram-lined"}, "It shows a tram-lined pattern."),
        ({"pattern": "no pattern"}, "It shows no pattern."),
        ({"pattern": "none"}, "The pattern was recorded as none."),
        ({"vital_reaction": "none"}, "No vital reaction is seen."),
        ({"vital_reaction": "no red margins"},
         "As to a vital reaction, there are no red margins."),
        ({"vital_reaction": "edges swollen"}, "The edges are swollen."),
        ({"vital_reaction": "the rim is red"}, "The rim is red."),
        ({"vital_reaction": "swollen"}, "The vital reaction was described as “swollen”."),
    ],
)  # fmt: skip
def test_each_field_is_said_as_what_it_is(recorded, said):
    assert standard_sentence(Facts(term="Scar", **recorded)) == f"There is a scar. {said}"


@pytest.mark.parametrize(
    ("facts", "said"),
    [
        # What is not counted has no size; the area of it has.
        (Facts(term="Insect activity", length_mm=46, width_mm=20, seen_as="brown, dry"),
         "There is a 4.6 × 2.0 cm area of brown insect activity. It is dry."),
        (Facts(term="Insect activity"), "There is insect activity."),
        (Facts(term="Abrasions", length_mm=46), "There are 4.6 cm abrasions."),
        (Facts(term="Burn, superficial", seen_as="red"), "There is a red burn, superficial."),
    ],
)  # fmt: skip
def test_sizes_colors_and_articles(facts, said):
    assert standard_sentence(facts) == said
