"""Eighty certificates: half of them right, about which nothing is said; half with one thing wrong.

Sources: NCHS handbooks on completing the cause of death (from memory); Davis GG et al., Am J
Forensic Med Pathol 2020;41:152-159 (drugs by generic name); the withdrawal of excited delirium by
NAME and ACEP in 2023 (page of ACEP, 2024); the rest is common practice.
"""

from __future__ import annotations

import datetime as dt

import pytest

from cases.certification import cautions
from cases.certification.causes import is_mechanism_only, names_injury, names_no_drug
from cases.certification.cautions import cautions_on
from cases.certification.items import (
    PREGNANCY,
    injury_items_left,
    other_items_left,
    pregnancy_is_asked,
    wrong_in_items,
)
from findings.models import Examination

INJURED = {
    "injury_on": dt.date(2026, 11, 14), "injury_time": dt.time(20, 45), "injury_place": "Home",
    "injury_at_work": "no", "injury_city": "Fellmoor", "injury_how": "Fell down the stairs",
}  # fmt: skip


def certificate(manner, *lines, two="", injured=False, **fields):
    entry = {f"cause_{letter}": line for letter, line in zip("abcd", lines, strict=False)}
    return {
        **entry, "manner": manner, "contributing": two, **(INJURED if injured else {}), **fields
    }  # fmt: skip


NATURAL = [
    ("Atherosclerotic cardiovascular disease",),
    ("Cardiac arrest", "Acute myocardial infarction", "Coronary atherosclerosis"),
    ("Pulmonary thromboembolism", "Deep vein thrombosis"),
    ("Hemopericardium", "Ruptured aortic dissection", "Hypertensive cardiovascular disease"),
    ("Congestive heart failure", "Alcoholic cardiomyopathy"),
    ("Hypertensive heart failure",),
    ("Septic shock", "Acute pyelonephritis"),
    ("Sepsis due to perforated sigmoid diverticulitis",),
    ("Diabetic ketoacidosis", "Diabetes mellitus"),
    ("Atrial fibrillation with embolic stroke",),
    ("Ruptured berry aneurysm",),
    ("Metastatic carcinoma of the lung",),
    ("Chronic obstructive pulmonary disease",),
    ("Hepatic failure", "Alcoholic cirrhosis"),
    ("Acute respiratory failure because of bacterial pneumonia",),
    ("Probable cardiac arrhythmia", "Hypertrophic cardiomyopathy"),
    ("Acute kidney injury", "Polycystic kidney disease"),
    ("Pathologic fracture of the femur", "Multiple myeloma"),
    ("Alzheimer disease",),
    ("Perinatal asphyxia", "Abruption of the placenta"),
]
OTHERS = [
    ("accident", "Subdural hemorrhage", "Blunt force injury of the head"),
    ("accident", "Pulmonary thromboembolism", "Deep vein thrombosis", "Fracture of the left hip"),
    ("accident", "Acute fentanyl toxicity"),
    ("accident", "Combined effects of oxycodone and diazepam"),
    ("accident", "Mixed drug toxicity (cocaine, fentanyl)"),
    ("accident", "Drowning"),
    ("accident", "Positional asphyxia"),
    ("accident", "Inhalation of smoke"),
    ("accident", "Hypothermia"),
    ("accident", "Choking on food"),
    ("accident", "Anoxic encephalopathy", "Opiate overdose", "Heroin intoxication"),
    ("suicide", "Hanging"),
    ("suicide", "Gunshot wound of the head"),
    ("suicide", "Carbon monoxide poisoning"),
    ("suicide", "Asphyxia due to hanging"),
    ("homicide", "Exsanguination", "Stab wound of the chest"),
    ("homicide", "Blunt force injuries"),
    ("undetermined", "Drowning"),
    ("undetermined", "Undetermined"),
    ("undetermined", "Sudden unexplained infant death"),
]


@pytest.mark.parametrize("lines", NATURAL)
def test_nothing_is_said_of_a_right_certificate_of_a_natural_death(lines):
    assert cautions_on(certificate("natural", *lines)) == []


@pytest.mark.parametrize(("manner", "lines"), [(one[0], one[1:]) for one in OTHERS])
def test_nothing_is_said_of_a_right_certificate_of_another_death(manner, lines):
    assert cautions_on(certificate(manner, *lines, injured=True)) == []


MECHANISMS = [
    "Cardiac arrest.", "Congestive heart failure", "Acute respiratory failure",
    "Hypovolemic shock", "Septic shock", "Hemorrhage", "Anoxic encephalopathy",
    "Cardiac arrhythmia", "Old age", "Asphyxia", "Pulmonary edema", "Cerebral edema", "Sepsis",
    "Ventricular fibrillation", "Pulseless electrical activity", "Hypoxia", "Metabolic acidosis",
    "Electrolyte imbalance", "Aspiration", "Cerebral herniation", "Coagulopathy",
    "Failure to thrive", "Natural causes", "Sudden cardiac death", "Multi-organ failure",
]  # fmt: skip


@pytest.mark.parametrize("cause", MECHANISMS)
@pytest.mark.parametrize("above", [(), ("Cardiopulmonary arrest",)])
def test_a_mechanism_on_the_lowest_line_is_pointed_out(above, cause):
    said = cautions_on(certificate("natural", *above, cause))
    assert cautions.MECHANISM.say(cause=cause) in said


WRONG = [
    (certificate("natural", "Gunshot wound"), cautions.NATURAL_INJURY),
    (certificate("natural", "Pneumonia", "Fracture of the hip"), cautions.NATURAL_INJURY),
    (certificate("natural", "Pneumonia", two="Fracture of the hip"), cautions.NATURAL_PART_II),
    (certificate("natural", "Coronary atherosclerosis", two="Cocaine toxicity"),
     cautions.NATURAL_PART_II),
    (certificate("natural", "Sudden infant death syndrome"), cautions.SUDDEN_INFANT),
    (certificate("accident", "Excited delirium", injured=True), cautions.EXCITED_DELIRIUM),
    (certificate("undetermined", "Cardiac arrest", "Excited-delirium syndrome"),
     cautions.EXCITED_DELIRIUM),
    (certificate("accident", "Drug overdose", injured=True), cautions.NO_DRUG),
    (certificate("accident", "Mixed drug toxicity", injured=True), cautions.NO_DRUG),
    (certificate("suicide", "Acute opioid intoxication", injured=True), cautions.NO_DRUG),
    (certificate("natural", "CHF", "ASCVD"), cautions.ABBREVIATIONS),
    (certificate("pending"), cautions.PENDING_NO_CAUSE),
    (certificate("pending", "Pending toxicology"), cautions.PENDING),
    (certificate("accident", "Pending toxicology", injured=True), cautions.PENDING_CAUSE),
    (certificate("undetermined", "Drowning"), cautions.INJURY_LEFT),
]  # fmt: skip


@pytest.mark.parametrize(("entry", "caution"), WRONG)
def test_what_is_wrong_with_a_certificate_is_said(entry, caution):
    begins = caution.text.split("{")[0]
    assert any(said.startswith(begins) for said in cautions_on(entry))


def test_half_of_eighty_certificates_are_silent():
    assert len(NATURAL) + len(OTHERS) == len(MECHANISMS) + len(WRONG) == 40


@pytest.mark.parametrize(
    ("age", "basis", "is_asked"),
    [(0.5, "", True), (0.99, "", True), (1, "", False), (40, "", False), (None, "", False),
     (0.5, "Bronchopneumonia by histology", False)],
)  # fmt: skip
def test_an_infant_called_natural_needs_its_ground(age, basis, is_asked):
    entry = certificate("natural", "Bronchopneumonia", basis=basis)
    assert (cautions.INFANT_GROUND.say() in cautions_on(entry, age_years=age)) is is_asked


LEFT_ALL = [
    "date of injury (38)", "time of injury (39)", "place of injury (40)", "injury at work (41)",
    "location of injury (42)", "how the injury occurred (43)",
]  # fmt: skip


@pytest.mark.parametrize("manner", ["accident", "suicide", "homicide"])
def test_the_injury_is_asked_for_by_these_manners_whatever_the_cause(manner):
    assert injury_items_left(certificate(manner, "Drowning")) == LEFT_ALL
    assert injury_items_left(certificate(manner, "Something")) == LEFT_ALL
    assert injury_items_left(certificate(manner, "Drowning", injured=True)) == []


@pytest.mark.parametrize("manner", ["undetermined", "pending", "natural"])
def test_the_injury_is_asked_for_by_other_manners_where_one_is_named(manner):
    assert injury_items_left(certificate(manner, "Drowning")) == LEFT_ALL
    assert injury_items_left(certificate(manner, "Pneumonia", two="Hip fracture")) == LEFT_ALL
    assert injury_items_left(certificate(manner, "Pneumonia", two="Diabetes mellitus")) == []


def test_words_stand_for_a_date_and_time_that_nobody_knows():
    entry = certificate("accident", "Drowning", injury_at_words="unknown")
    assert injury_items_left(entry) == LEFT_ALL[2:]


@pytest.mark.parametrize(
    ("how", "is_asked"),
    [
        ("Driver of a car that met a van head on", True),
        ("Pedestrian struck by a train", True),
        ("Fell down the stairs", False),
        ("Struck by a falling cart", False),
    ],
)
def test_the_role_is_asked_for_in_a_transportation_injury(how, is_asked):
    entry = certificate("accident", "Blunt force injuries", injured=True, injury_how=how)
    assert injury_items_left(entry) == (
        ["role in a transportation injury (44)"] if is_asked else []
    )
    assert injury_items_left({**entry, "transport_role": "driver"}) == []


# Ages: NCHS edit specifications, from memory.
@pytest.mark.parametrize(
    ("sex", "age", "is_asked"),
    [("female", 30, True), ("female", None, True), ("female", 5, True), ("female", 75, True),
     ("female", 4.9, False), ("female", 75.1, False), ("male", 30, False), ("", 30, False)],
)  # fmt: skip
def test_pregnancy_is_asked_for_a_female_of_the_ages_only(sex, age, is_asked):
    assert pregnancy_is_asked(sex, age) is is_asked
    assert ("pregnancy (36)" in other_items_left({}, sex=sex, age_years=age)) is is_asked


def test_autopsy_findings_are_asked_for_only_after_an_autopsy():
    words = "autopsy findings available (34)"
    assert words in other_items_left({"autopsy": "yes"})
    assert words not in other_items_left({"autopsy": "no"})


TODAY = dt.date(2026, 11, 28)


@pytest.mark.parametrize(
    ("entry", "field"),
    [
        ({"death_on": dt.date(2026, 11, 29), "death_on_is": "actual"}, "death_on"),
        ({"injury_on": dt.date(2026, 11, 29)}, "injury_on"),
        ({"death_on": dt.date(2026, 11, 14), "death_on_is": "actual",
          "injury_on": dt.date(2026, 11, 15)}, "injury_on"),
        ({"death_on": dt.date(2026, 11, 14)}, "death_on_is"),
        ({"death_on_is": "presumed"}, "death_on"),
        ({"death_time": dt.time(1, 0)}, "death_time_is"),
        ({"autopsy": "no", "autopsy_available": "yes"}, "autopsy_available"),
        ({"transport_role": "driver", "transport_other": "sled"}, "transport_other"),
        ({"transport_role": "other"}, "transport_other"),
    ],
)  # fmt: skip
def test_items_that_do_not_hold_together_are_refused_beside_the_field(entry, field):
    assert list(wrong_in_items(entry, today=TODAY)) == [field]


def test_items_that_hold_together_pass():
    same_day = {"death_on": TODAY, "death_on_is": "actual", "injury_on": TODAY}
    assert wrong_in_items({**same_day, "pregnancy": "1"}, sex="female", today=TODAY) == {}
    assert list(wrong_in_items({"pregnancy": "1"}, sex="male")) == ["pregnancy"]


@pytest.mark.parametrize(
    "line",
    ["Cerebral infarct", "Hypertensive heart disease", "Birth asphyxia", "Traumatic asphyxia",
     "Gastrointestinal hemorrhage", "Neonatal sepsis", "Inguinal hernia", "Angioedema",
     "Dehydration due to gastroenteritis", "Shock due to a burst ulcer", "Aspiration of a toy"],
)  # fmt: skip
def test_what_names_a_disease_or_injury_is_no_mechanism(line):
    assert not is_mechanism_only(line)


@pytest.mark.parametrize(
    "text",
    ["Pressure injury, stage 4", "Acute lung injury", "Surgical wound infection",
     "Nontraumatic subarachnoid hemorrhage", "Non-traumatic hemorrhage", "Anoxic brain injury",
     "Fallopian tube carcinoma", "Heartburn"],
)  # fmt: skip
def test_words_of_a_disease_are_no_injury(text):
    assert not names_injury(text)


@pytest.mark.parametrize(
    ("line", "nameless"),
    [
        ("Polysubstance overdose", True),
        ("Overdose of prescription medication", True),
        ("Chronic drug abuse", True),
        ("Morphine overdose", False),
        ("Drug-induced liver failure", False),
        ("Digoxin toxicity", False),
        ("Carbon monoxide poisoning", False),
        ("Mixed connective tissue disease", False),
    ],
)
def test_a_line_about_drugs_that_names_none_is_told_apart(line, nameless):
    assert names_no_drug(line) is nameless


# (certificate, {field: caution}); an empty one is right as it stands.
BESIDE = [
    (certificate("natural", "Pending"), {"cause_a": cautions.PENDING_CAUSE}),
    (certificate("undetermined", "Pending"), {"cause_a": cautions.PENDING_CAUSE}),
    (certificate("homicide", "Hemothorax", "Pending toxicology"),
     {"cause_b": cautions.PENDING_CAUSE}),
    (certificate("suicide", "Pending", "Deferred"),
     {"cause_a": cautions.PENDING_CAUSE, "cause_b": cautions.PENDING_CAUSE}),
    (certificate("accident", "Drowning", two="Toxicology pending"),
     {"contributing": cautions.PENDING_CAUSE}),
    (certificate("natural", "Undetermined"), {"cause_a": cautions.NO_CAUSE}),
    (certificate("accident", "Unknown"), {"cause_a": cautions.NO_CAUSE}),
    (certificate("pending", "Undetermined"), {"cause_a": cautions.PENDING_ENDED}),
    (certificate("pending", "Unknown"), {"cause_a": cautions.PENDING_ENDED}),
    (certificate("pending", "Pending toxicology"), {}),
    (certificate("pending"), {}),
    (certificate("undetermined", "Undetermined"), {}),
    (certificate("undetermined", "Unknown"), {}),
    (certificate("homicide", "Undetermined", basis="Skeletal remains in a grave"), {}),
    (certificate("natural", "Liver cirrhosis", "Unknown"), {}),
    (certificate("natural", "Drowning", two="None"), {}),
    (certificate("", "Pending"), {}),
    (certificate("natural", "Impending eclampsia"), {}),
]  # fmt: skip


@pytest.mark.parametrize(("entry", "beside"), BESIDE)
def test_a_line_that_is_pending_or_no_cause_is_pointed_out_beside_it(entry, beside):
    said = {name: caution.say(cause=entry[name]) for name, caution in beside.items()}
    assert cautions.cautions_beside(entry) == said
    assert all(words in cautions_on(entry) for words in said.values())
    assert not set(said.values()) & set(cautions_on(entry, beside=True))


@pytest.mark.parametrize("sex", ["male", "female", "unknown", ""])
@pytest.mark.parametrize("said", ["", *(code for code, _ in PREGNANCY)])
def test_a_pregnancy_of_a_male_is_pointed_out_whatever_it_says(sex, said):
    entry = certificate("natural", "Hypertensive heart disease", pregnancy=said)
    words = cautions.PREGNANCY_SEX.say(said=dict(PREGNANCY).get(said, ""))
    assert (words in cautions_on(entry, sex=sex)) is (sex == "male" and said != "")


# Kinds in which a body was dissected, and those in which none was (common practice).
DISSECTED = {"limited", "full autopsy", "second autopsy"}
NOT_DISSECTED = {"external", "view and release", "imaging only"}


@pytest.mark.parametrize("said", ["yes", "no", ""])
@pytest.mark.parametrize("kind", [*dict(Examination.KINDS), ""])
def test_an_autopsy_that_does_not_go_with_the_examination_is_pointed_out(kind, said):
    # US Standard Certificate of Death, 2003 revision, item 33.
    entry = certificate("natural", "Hypertensive heart disease", autopsy=said)
    words = dict(Examination.KINDS).get(kind, "")
    expected = []
    if said == "yes" and kind in NOT_DISSECTED:
        expected = [cautions.NO_AUTOPSY_SEEN.say(kind=words)]
    elif said == "no" and kind in DISSECTED:
        expected = [cautions.AUTOPSY_SEEN.say(kind=words)]
    assert cautions_on(entry, kind=kind) == expected
    assert cautions_on(entry) == []
