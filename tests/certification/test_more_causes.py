"""Lines as certifiers write them: mechanisms, injuries and drugs that were passed over before.

Which words name a mechanism, an injury or a drug: common practice, after the NCHS handbooks on
completing the cause of death (from memory).
"""

from __future__ import annotations

import pytest

from cases.certification import causes

MECHANISMS = [
    "Cardiorespiratory arrest", "Cardio-respiratory arrest", "Cardio-pulmonary arrest",
    "Multiple organ dysfunction syndrome", "Bradycardia", "Hypotension", "Uremia", "Coma",
    "Brain death", "Increased intracranial pressure", "Volume depletion",
    "Respiratory insufficiency", "Chronic renal insufficiency", "Bedridden state",
    "Anoxic-ischemic encephalopathy", "Global hypoxic-ischemic brain injury", "Cardiac tamponade",
    "Vasoplegic shock", "Bacteremia", "Unknown natural cause", "Natural disease",
    "Intractable cardiac arrhythmia", "Cardiac standstill", "Myocardial failure", "Pump failure",
    "Lethal cardiac dysrhythmia",
]  # fmt: skip
NO_MECHANISM = [
    "Adrenal insufficiency", "Aortic valve insufficiency", "Insufficiency", "Standstill",
    "Gastrointestinal hemorrhage", "Hypertensive intracerebral hemorrhage",
    "Sudden unexplained death in epilepsy", "Sudden unexplained infant death",
    "Ischemic heart disease", "Diabetic coma", "Portal hypertension", "Valvular heart disease",
    "Hypoxic-ischemic brain injury due to drowning", "Subarachnoid hemorrhage",
]  # fmt: skip


@pytest.mark.parametrize("line", MECHANISMS)
def test_a_further_mechanism_alone_is_pointed_out(line):
    assert causes.is_mechanism_only(line)
    assert not causes.is_mechanism_only(f"{line} due to a burst ulcer")


@pytest.mark.parametrize("line", NO_MECHANISM)
def test_a_disease_that_sounds_like_a_mechanism_is_none(line):
    assert not causes.is_mechanism_only(line)


INJURIES = [
    "GSW to the chest", "Stabbed in the neck", "Struck by a vehicle", "Lightning strike",
    "Compression of the neck", "Neck compression", "Overlaying", "Overlay", "Exposure to cold",
    "Environmental heat exposure", "Cold exposure", "Mauled by a dog", "Dog mauling", "Dog bites",
    "Anaphylaxis due to a bee sting", "Wasp stings", "Snake envenomation", "Concussion",
    "Airway obstruction by a food bolus", "Bolus of food", "Ligature around the neck",
    "Homicidal violence", "Scalding", "Beating", "Beaten by others", "Battered child",
    "Electrical shock", "Electric shock", "Dislocation of the cervical spine", "Bomb blast",
    "Assault",
]  # fmt: skip
NO_INJURIES = [
    "Stroke", "Obstruction of the airway by a tumor", "Exposure to asbestos", "Septic shock",
    "Compression of the spinal cord by a metastasis", "Blastoma", "Overload of iron",
    "Testing", "Beats of the heart", "Insect", "Enlightening",
]  # fmt: skip


@pytest.mark.parametrize("text", INJURIES)
def test_a_further_injury_is_seen(text):
    assert causes.names_injury(text)


@pytest.mark.parametrize("text", NO_INJURIES)
def test_what_sounds_like_an_injury_is_none(text):
    assert not causes.names_injury(text)


@pytest.mark.parametrize(
    ("line", "no_drug"),
    [
        ("Polypharmacy", True),
        ("Polysubstance toxicity", True),
        ("Substance abuse", True),
        ("Narcotism", True),
        ("Intravenous narcotism", True),
        ("Drug-related death", True),
        ("Adverse drug reaction", True),
        # Alcohol is named; the drugs beside it are not.
        ("Acute mixed drug and alcohol intoxication", True),
        ("Combined ethanol and opioid toxicity", True),
        ("Acute alcohol intoxication", False),
        ("Ethanol toxicity", False),
        ("Mixed ethanol and methadone toxicity", False),
        ("Alcohol and drug intoxication (ethanol, diazepam)", False),
    ],
)
def test_a_further_line_about_drugs_is_told_from_one_that_names_one(line, no_drug):
    assert causes.names_no_drug(line) is no_drug
