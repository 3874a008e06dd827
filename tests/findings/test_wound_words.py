"""Rules and words of the fields of a gunshot or sharp wound.

The clock face with 12 toward the head, ends, ring of abrasion, soot and stippling as they are
commonly described: common practice.
"""

from decimal import Decimal

import pytest

from findings.words.wounds import Wound, opposite, wound_of, wound_words, wrong_with_wound


@pytest.mark.parametrize(
    ("wound", "said"),
    [
        (Wound(), ""),
        (
            Wound(clock_hour=2, first_end="pointed", second_end="squared", closed_length_mm=21),
            "Its long axis runs from 2 to 8 o'clock, 12 being toward the head. The 2 o'clock end "
            "is pointed and the 8 o'clock end is squared. With its edges brought together it is "
            "2.1 cm long.",
        ),
        (
            Wound(clock_hour=12, second_end="undetermined"),
            "Its long axis runs from 12 to 6 o'clock, 12 being toward the head. The 6 o'clock end "
            "cannot be determined.",
        ),
        (
            Wound(ring_12_mm=2, ring_3_mm=1, ring_6_mm=0.5, ring_9_mm=1),
            "The ring of marginal abrasion is 0.2 cm wide at 12 o'clock, 0.1 cm at 3 o'clock, 0.05 "
            "cm at 6 o'clock and 0.1 cm at 9 o'clock.",
        ),
        (
            Wound(ring_12_mm=0),
            "The ring of marginal abrasion is 0 cm wide at 12 o'clock.",
        ),
        (
            Wound(ring_3_mm=1.5),
            "The ring of marginal abrasion is 0.15 cm wide at 3 o'clock.",
        ),
        (
            Wound(ring_12_mm=0, ring_3_mm=0, ring_6_mm=0, ring_9_mm=0),
            "There is no ring of marginal abrasion.",
        ),
        (
            Wound(ring_12_mm=1, ring_3_mm=1, ring_6_mm=1, ring_9_mm=1),
            "The ring of marginal abrasion is 0.1 cm wide all around.",
        ),
        (
            Wound(ring_12_mm=1, ring_3_mm=1, ring_6_mm=1),
            "The ring of marginal abrasion is 0.1 cm wide at 12 o'clock, 0.1 cm at 3 o'clock and "
            "0.1 cm at 6 o'clock.",
        ),
        (
            Wound(ring_12_mm=0, ring_3_mm=2),
            "The ring of marginal abrasion is 0 cm wide at 12 o'clock and 0.2 cm at 3 o'clock.",
        ),
        (Wound(clock_hour=2), "Its long axis runs from 2 to 8 o'clock, 12 being toward the head."),
        (Wound(soot="present"), "Soot is present."),
        (
            Wound(soot="present", soot_across_mm=15),
            "Soot is present over 1.5 cm.",
        ),
        (
            Wound(stippling="present", stippling_across_mm=40, stippling_down_mm=35),
            "Stippling is present over 4.0 × 3.5 cm.",
        ),
        (
            Wound(soot="not seen", stippling="cannot be judged"),
            "No soot is seen on the skin around it. Stippling cannot be judged.",
        ),
    ],
)
def test_the_fields_of_a_wound_are_said_in_sentences(wound, said):
    assert wound_words(wound) == said


def test_the_hours_of_a_clock_face_lie_across_from_one_another():
    assert [opposite(hour) for hour in range(1, 13)] == [7, 8, 9, 10, 11, 12, 1, 2, 3, 4, 5, 6]


NO_EXTENT = "An extent is given only of what is present."
SENTENCES = {
    ("soot", "artifact"): "Ends, ring, soot and stippling are recorded of injuries only.",
    ("clock_hour", "injury"): "Enter the hour toward which the first end points.",
    ("soot", "injury"): NO_EXTENT,
    ("stippling", "injury"): NO_EXTENT,
    ("stippling_across_mm", "injury"): "Give the extent across too.",
}


@pytest.mark.parametrize(
    ("wound", "klass", "field"),
    [
        (Wound(), "artifact", None),
        (Wound(soot="present"), "injury", None),
        (Wound(soot="present"), "artifact", "soot"),
        (Wound(first_end="pointed"), "injury", "clock_hour"),
        (Wound(second_end="pointed"), "injury", "clock_hour"),
        (Wound(clock_hour=3, second_end="pointed"), "injury", None),
        (Wound(soot="not seen", soot_across_mm=3), "injury", "soot"),
        (Wound(soot_down_mm=3), "injury", "soot"),
        (Wound(stippling="present", stippling_down_mm=3), "injury", "stippling_across_mm"),
        (Wound(stippling="present", stippling_across_mm=3), "injury", None),
    ],
)
def test_wound_fields_hold_together(wound, klass, field):
    wrong = wrong_with_wound(wound, klass=klass)
    assert wrong == (field and (field, SENTENCES[field, klass]))


def test_recorded_decimals_become_numbers_and_the_rest_stays():
    made = wound_of(
        {"clock_hour": 2, "first_end": "forked", "ring_3_mm": Decimal("1.5"), "ring_6_mm": None}
    )
    assert made == Wound(clock_hour=2, first_end="forked", ring_3_mm=1.5)
    assert type(made.ring_3_mm) is float
    assert type(made.clock_hour) is int
