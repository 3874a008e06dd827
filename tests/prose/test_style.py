"""The style sheet asks about what is never written in a report (common practice), and only that."""

from __future__ import annotations

import pytest

from findings.prose.style import ALONE, NOTED, PLAIN, SEEMING, SHORTENED, asked_of


@pytest.mark.parametrize(
    ("passage", "asked"),
    [
        ("It appears to be a burn.", [(SEEMING, "appears to be")]),
        ("They appeared to be old; it Seems to be one.",
         [(SEEMING, "appeared to be"), (SEEMING, "Seems to be")]),
        ("The color appears in two places.", []),
        ("A scar is noted. Another is also noted.",
         [(NOTED, "is noted"), (NOTED, "is also noted")]),
        ("Also seen: a scar.", [(NOTED, "Also seen")]),
        ("She noted the time.", []),
        ("This is obviously a blow.", [(PLAIN, "obviously")]),
        ("The wound is clearly older, and clearly dry.", [(PLAIN, "clearly")]),
        ("A GSW of the chest, c/w a near shot; 2 GSWs.",
         [(SHORTENED, "GSW"), (SHORTENED, "c/w"), (SHORTENED, "GSWs")]),
        ("An MI and SDH, h/o HTN.",
         [(SHORTENED, "MI"), (SHORTENED, "SDH"), (SHORTENED, "h/o"), (SHORTENED, "HTN")]),
        ("CPR was given; 20 mg/L; DNA was taken; PM and mine.", []),
        ("The finding is consistent with a fall.", [(ALONE, "")]),
        ("It is consistent with a fall; a blow cannot be excluded.", []),
        ("It is consistent with a fall or a blow.", []),
        ("It is consistent with a fall. It is also consistent with a blow.", []),
        ("It is consistent with a fall, and nothing else was considered.", []),
        # What somebody else said is not the office's wording.
        ("He wrote “it appears to be a GSW, clearly”.", []),
        ("", []),
    ],
)  # fmt: skip
def test_the_style_sheet(passage, asked):
    assert [(one.rule, one.words) for one in asked_of(passage)] == asked


def test_a_question_names_the_words():
    (one,) = asked_of("It is clearly old.")
    assert one.text.startswith("“clearly” tells how plain")
