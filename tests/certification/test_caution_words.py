"""What a caution on a certificate says, and of which line: every blank that is filled in.

The rules are common practice, but for item 36 (US Standard Certificate of Death, 2003 revision).
"""

from __future__ import annotations

import pytest

from cases.certification import cautions
from cases.certification.cautions import cautions_beside, cautions_on, filing_words
from tests.certification.test_cautions import LEFT_ALL, certificate

FENTANYL = "Fentanyl toxicity"


@pytest.mark.parametrize(
    ("entry", "said"),
    [
        # Part II counts where the words are named, wherever they stand.
        (certificate("accident", "Cardiac contusion", two="Excited delirium", injured=True),
         [cautions.EXCITED_DELIRIUM.say()]),
        (certificate("accident", "Drug overdose", injured=True),
         [cautions.NO_DRUG.say(cause="Drug overdose")]),
        (certificate("accident", "Aspiration pneumonia", "Drug overdose", injured=True),
         [cautions.NO_DRUG.say(cause="Drug overdose")]),
        (certificate("accident", "Drug overdose", two=FENTANYL, injured=True), []),
        (certificate("natural", "CHF", "ASCVD", two="COPD and CHF"),
         [cautions.ABBREVIATIONS.say(words="CHF, ASCVD, COPD")]),
        (certificate("natural", "Fracture of the hip", "Fracture of the femur", "Osteoporosis",
                     injured=True),
         [cautions.NATURAL_INJURY.say(cause="Fracture of the femur")]),
        (certificate("pending"), [cautions.PENDING_NO_CAUSE.say(), cautions.PENDING.say()]),
        (certificate("pending", "Pending toxicology"), [cautions.PENDING.say()]),
        (certificate("accident", "Drowning"),
         [cautions.INJURY_LEFT.say(items=", ".join(LEFT_ALL))]),
        (certificate("natural", "Coronary atherosclerosis", contributing=None), []),
    ],
)  # fmt: skip
def test_a_caution_names_what_it_is_about(entry, said):
    assert cautions_on(entry) == said


@pytest.mark.parametrize(
    ("item", "words"),
    [("2", "pregnant at time of death"), ("9", "unknown if pregnant within the past year"),
     ("7", "7")],
)  # fmt: skip
def test_item_36_of_a_male_is_said_as_it_was_answered(item, words):
    entry = certificate("natural", "Coronary atherosclerosis", pregnancy=item)
    assert cautions_on(entry, sex="male") == [cautions.PREGNANCY_SEX.say(said=words)]
    assert cautions_on(entry, sex="female") == cautions_on(entry) == []


@pytest.mark.parametrize("letter", "abcd")
def test_an_unknown_cause_is_pointed_out_beside_its_line(letter):
    field = f"cause_{letter}"
    settled = {"manner": "accident", field: " Unknown "}
    assert cautions_beside(settled) == {field: cautions.NO_CAUSE.say(cause="Unknown")}
    # What contributed is no cause: it leaves the cause unknown.
    assert cautions_beside({**settled, "contributing": "Diabetes mellitus"}) == {
        field: cautions.NO_CAUSE.say(cause="Unknown")
    }
    assert cautions_beside({**settled, "basis": "Seen on film"}) == {}
    assert cautions_beside({**settled, "manner": "pending"}) == {
        field: cautions.PENDING_ENDED.say(cause="Unknown")
    }


def test_a_pending_line_is_pointed_out_where_the_manner_is_settled():
    entry = {"cause_a": "Pending toxicology", "contributing": "Pending histology"}
    assert cautions_beside({**entry, "manner": "undetermined"}) == {
        field: cautions.PENDING_CAUSE.say(cause=line) for field, line in entry.items()
    }
    for without in (entry, {**entry, "manner": ""}, {**entry, "manner": "pending"}):
        assert cautions_beside(without) == {}


def test_without_a_manner_nothing_is_said_of_an_unknown_cause():
    for entry in ({"cause_a": "Unknown"}, {"cause_a": "Unknown", "manner": ""}):
        assert cautions_beside(entry) == {}
        assert cautions_on(entry) == []


@pytest.mark.parametrize(
    ("rule", "added"),
    [
        ("", ""),
        ("In five days", " The office’s rule: In five days."),
        ("By county code X.", " The office’s rule: By county code X."),
    ],
)
def test_the_office_s_rule_follows_what_the_law_sets(rule, added):
    assert filing_words(rule) == cautions.FILING.say() + added
