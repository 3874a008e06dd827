"""Part I as a sequence: rows that speak, and rows that keep silent.

That each line is due to the line below, and that what led to a condition began before it: NCHS
handbooks on completing the cause of death, from memory. The pairs themselves: common practice.
"""

from __future__ import annotations

import pytest

from cases.certification import cautions, sequence
from cases.certification.cautions import cautions_on, guidance_on
from cases.certification.sequence import asked_of_lines, seconds_of, stands_upside_down
from tests.certification.test_cautions import NATURAL, OTHERS, certificate

PAIRS = [  # what began it, what it led to
    ("Deep vein thrombosis", "Pulmonary thromboembolism"),
    ("Coronary artery atherosclerosis", "Acute myocardial infarction"),
    ("Atherosclerotic cardiovascular disease", "Acute myocardial infarction"),
    ("Aortic dissection", "Hemopericardium"),
    ("Hypertensive cardiovascular disease", "Aortic dissection"),
    ("Cirrhosis of the liver", "Ruptured esophageal varices"),
    ("Alcohol use disorder", "Hepatic cirrhosis"),
    ("Duodenal ulcer", "Upper gastrointestinal hemorrhage"),
    ("Diabetes mellitus", "Diabetic ketoacidosis"),
    ("Acute pyelonephritis", "Septic shock"),
    ("Perforated sigmoid diverticulitis", "Acute peritonitis"),
    ("Fracture of the left hip", "Pulmonary embolism"),
    ("Rib fractures", "Hemothorax"),
    ("Stab wound of the chest", "Hemothorax"),
    ("Blunt force injury of the head", "Subdural hematoma"),
    ("Skull fracture", "Epidural hemorrhage"),
    ("Ruptured berry aneurysm", "Subarachnoid hemorrhage"),
    ("Chronic obstructive pulmonary disease", "Cor pulmonale"),
    ("Atrial fibrillation", "Embolic stroke"),
    ("Fentanyl toxicity", "Anoxic encephalopathy"),
    ("Carcinoma of the colon", "Hepatic metastases"),
    ("Alzheimer dementia", "Aspiration pneumonia"),
    ("Bronchial asthma", "Status asthmaticus"),
    ("Epilepsy", "Status epilepticus"),
    ("Human immunodeficiency virus infection", "Pneumocystis pneumonia"),
    ("Abruption of the placenta", "Perinatal asphyxia"),
    ("Prematurity", "Hyaline membrane disease"),
]


@pytest.mark.parametrize(("cause", "result"), PAIRS)
def test_a_pair_speaks_only_where_it_stands_upside_down(cause, result):
    assert stands_upside_down(cause, result)
    assert not stands_upside_down(result, cause)


def test_every_row_of_the_table_has_a_pair_that_speaks():
    table = sequence._table().leads_to
    plain = [(cause.lower(), result.lower()) for cause, result in PAIRS]
    for before, after in table:
        assert any(before.search(one) and after.search(other) for one, other in plain), before


@pytest.mark.parametrize(
    ("upper", "lower"),
    [
        # It says itself how it hangs together.
        ("Pulmonary embolism due to deep vein thrombosis", "Pulmonary infarction"),
        ("Blunt force injury of the head with subdural hematoma", "Subdural hematoma"),
        ("Portal hypertension", "Aortic dissection"),
        # Either may lead to the other.
        ("Pneumonia", "Sepsis"),
        ("Heart failure", "Renal failure"),
        ("", ""),
    ],
)
def test_what_may_be_right_is_not_asked(upper, lower):
    assert not stands_upside_down(upper, lower)


@pytest.mark.parametrize("lines", [*NATURAL, *(one[1:] for one in OTHERS)])
def test_right_certificates_are_left_alone(lines):
    assert asked_of_lines(certificate("accident", *lines)) == {}
    assert guidance_on(certificate("accident", *lines)) in (
        {},
        # The one that states no cause, with a manner that is settled.
        {"cause_a": [cautions.NO_CAUSE.say(cause="Undetermined")]},
    )


@pytest.mark.parametrize(
    ("words", "between"),
    [
        ("minutes", (60, 7200)),
        ("Minutes", (60, 7200)),
        ("5 minutes", (300, 300)),
        ("5-10 min", (300, 600)),
        ("2 to 3 days", (172800, 259200)),
        ("an hour", (3600, 3600)),
        ("three weeks", (1814400, 1814400)),
        ("about 2 hours", (3600, 14400)),
        ("< 1 hour", (0, 3600)),
        ("more than 10 years", (315576000, float("inf"))),
        ("several years", (31557600, 4733640000)),
        ("immediate", (0, 60)),
        ("unknown", None),
        ("", None),
        ("since childhood", None),
        ("3", None),
        ("days to weeks", None),
    ],
)
def test_an_interval_is_read_as_it_is_written_or_not_at_all(words, between):
    assert seconds_of(words) == between


def lines(*pairs, **more):
    entry = {"manner": "natural", **more}
    for letter, (cause, interval) in zip("abcd", pairs, strict=False):
        entry |= {f"cause_{letter}": cause, f"interval_{letter}": interval}
    return entry


@pytest.mark.parametrize(
    ("upper", "lower", "asked"),
    [
        ("minutes", "years", False),
        ("days", "hours", False),  # 24 hours to three days: they may agree
        ("2 years", "3 weeks", True),
        ("years", "minutes", True),
        ("1 hour", "1 hour", False),
        ("61 minutes", "1 hour", True),
        ("1 month", "30 days", False),
        ("31 days", "1 month", False),
        ("3 months", "1 month", True),
        ("unknown", "minutes", False),
    ],
)
def test_a_longer_interval_above_a_shorter_one_is_asked_about(upper, lower, asked):
    said = asked_of_lines(lines(("Hemopericardium", upper), ("Aneurysm of the aorta", lower)))
    words = sequence.INTERVALS_CROSS.say(upper=upper, above="a", lower=lower, below="b")
    assert said == ({"interval_a": [words]} if asked else {})


def test_a_missing_interval_is_asked_about_only_beside_others():
    both = lines(("Hemopericardium", "minutes"), ("Aortic dissection", ""))
    missing = {"interval_b": [sequence.INTERVAL_MISSING.say()]}
    assert asked_of_lines(both) == missing
    assert asked_of_lines(both | {"manner": "pending"}) == {}
    assert asked_of_lines(lines(("Hemopericardium", ""), ("Aortic dissection", ""))) == {}


@pytest.mark.parametrize(
    ("line", "word"),
    [
        ("Suicide by hanging", "Suicide"),
        ("Suicidal ingestion of oxycodone", "Suicidal"),
        ("Homicide", "Homicide"),
        ("Accidental fentanyl toxicity", "Accidental"),
        ("Homicidal violence of undetermined type", None),
        ("Cerebrovascular accident", None),
        ("Injuries of a motor vehicle accident", None),
        ("Probable asphyxia, possible drowning", None),
        ("Self-inflicted gunshot wound of the head", None),
    ],
)
def test_a_word_of_manner_in_a_line_is_named(line, word):
    expected = {"cause_a": [sequence.MANNER_WORDS.say(word=word)]} if word else {}
    assert asked_of_lines({"cause_a": line}) == expected


def test_a_line_that_stands_twice_is_asked_about_once():
    said = asked_of_lines(lines(("Pneumonia", ""), ("Dementia", ""), ("pneumonia.", "")))
    assert said == {"cause_c": [sequence.TWICE.say(cause="pneumonia.")]}


def test_guidance_stands_beside_the_line_it_is_about_and_the_list_says_all_of_it():
    entry = certificate("natural", "CHF", "Deep vein thrombosis", "Pulmonary embolism")
    asked = guidance_on(entry)
    upside = sequence.UPSIDE_DOWN.say(upper="Deep vein thrombosis", lower="Pulmonary embolism")
    assert asked == {
        "cause_a": [cautions.ABBREVIATIONS.say(words="CHF")],
        "cause_b": [upside],
    }
    assert cautions_on(entry) == [cautions.ABBREVIATIONS.say(words="CHF"), upside]
    assert cautions_on(entry, beside=True) == []


@pytest.mark.parametrize(
    ("entry", "asked"),
    [
        (
            {"cause_a": "Cardiac arrest"},
            {"cause_a": [cautions.MECHANISM.say(cause="Cardiac arrest")]},
        ),
        ({"cause_a": "Cardiac arrest", "cause_b": "Hypertrophic cardiomyopathy"}, {}),
        ({"cause_a": "Drug overdose"}, {"cause_a": [cautions.NO_DRUG.say(cause="Drug overdose")]}),
        ({"cause_a": "Drug overdose", "contributing": "Fentanyl toxicity"}, {}),
        ({"contributing": "Excited delirium"}, {"contributing": [cautions.EXCITED_DELIRIUM.say()]}),
        ({"contributing": "COPD"}, {"contributing": [cautions.ABBREVIATIONS.say(words="COPD")]}),
        (
            {"cause_a": "Pending", "manner": "natural"},
            {"cause_a": [cautions.PENDING_CAUSE.say(cause="Pending")]},
        ),
        ({}, {}),
    ],
)  # fmt: skip
def test_each_kind_of_question_has_its_line(entry, asked):
    assert guidance_on(entry) == asked


@pytest.mark.parametrize(
    ("lines", "asked"),
    [
        (("Cardiac arrest", "Fall on the stairs"), "cause_b"),
        (("Fall from a ladder",), "cause_a"),
        (("Exsanguination", "Motor vehicle collision"), "cause_b"),
        (("Hypoxia", "Shock", "Struck by a falling branch"), "cause_c"),
        # An injury or a disease is named, above it or beside it.
        (("Subdural hematoma", "Fall on the stairs"), ""),
        (("Pulmonary embolism", "Fall"), ""),
        (("Fall with fracture of the left hip",), ""),
        (("Fall with subarachnoid hemorrhage",), ""),
        (("Struck by lightning",), ""),
        (("Cardiac arrest", "Blunt force injuries of the chest", "Fall"), ""),
        (("Fall", "Seizure disorder"), ""),
    ],
)
def test_how_it_happened_alone_is_asked_for_the_injury(lines, asked):
    said = asked_of_lines(certificate("accident", *lines))
    found = {
        name for name, words in said.items() if any("names the injury" in one for one in words)
    }
    assert found == ({asked} if asked else set())
