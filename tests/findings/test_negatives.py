"""Negative statements against what was found: sixty pairs, in both directions.

What speaks against a statement is common practice; no published list is reproduced.
"""

import pytest

from findings.questions import negatives
from findings.questions.contradicting import (
    Seen,
    contradictions,
    findings_against,
    narrowed_words,
    says_nothing_found,
    speaks_against,
)
from findings.questions.negatives import NO_LONGER_OFFERED, STATEMENTS, Denies
from findings.questions.sides import side_question
from me_office.statements import COMMON_PRACTICE

EPIGASTRIC = "Midline of the upper abdomen (epigastric region)"
INJURY, NATURAL, MEDICAL = "injury", "natural disease", "medical intervention"
ARTIFACT, CHANGE, FEATURE = "artifact", "postmortem change", "identifying feature"


def seen(term, place="", klass=INJURY, **more):
    return Seen(1, klass, term, place, **more)


SPEAK = [
    ("external-scalp", seen("Laceration", regions=["occipital_scalp"])),
    ("external-scalp", seen("Laceration", "Back of the head")),
    ("external-scalp", seen("Laceration", "Occipital, midline")),
    ("external-scalp", seen("Subgaleal hemorrhage", regions=["parietal_scalp"])),
    ("external-eyes", seen("Petechiae", "Left conjunctival sac")),
    ("external-eyes", seen("Conjunctival petechiae", klass="other")),
    ("external-sclerae", seen("Scleral hemorrhage")),
    ("external-lips", seen("Laceration", "Inner side of the lips")),
    ("external-lips", seen("Laceration", parts=[("mouth", "upper_lip")])),
    ("external-frenula", seen("Frenulum laceration")),
    ("external-mouth", seen("Contusion", parts=[("mouth", "cheek_mucosa_l")])),
    ("external-ears", seen("Laceration", regions=["ear"])),
    ("external-neck", seen("Abrasion", "Throat")),
    ("external-neck-back", seen("Contusion", regions=["neck_posterior"])),
    ("external-chest", seen("Gunshot wound of entrance", regions=["lower_chest"])),
    ("external-chest", seen("Defibrillator burn", regions=["pectoral"], klass=MEDICAL)),
    ("external-abdomen", seen("Stab wound", regions=["abdomen_upper"])),
    ("external-hands", seen("Abrasion", "Knuckles of the right hand")),
    ("external-hands", seen("Incised wound", regions=["thumb"])),
    ("external-arms", seen("Contusion", regions=["forearm_posterior"])),
    ("external-legs", seen("Contusion", regions=["leg_anterior"])),
    ("external-genitals", seen("Contusion", "Scrotum")),
    ("external-scrotum", seen("Contusion", parts=[("perineum_male", "scrotum_l")])),
    ("external-anus", seen("Laceration", parts=[("perineum_female", "anus")])),
    ("external-needle", seen("Injection mark, recent", "Left elbow", klass="other")),
    ("external-jaundice", seen("Jaundice", klass=NATURAL)),
    ("external-limbs", seen("Fracture", regions=["leg_anterior"])),
    ("treatment-none", seen("Electrode pads", "Chest", klass=MEDICAL)),
    ("treatment-none", seen("Resuscitation injury", klass=ARTIFACT)),
    ("cavities-pleura", seen("Hemothorax")),
    ("cavities-peritoneum", seen("Hemoperitoneum")),
    ("cavities-diaphragm", seen("Laceration", parts=[("torso_organs", "diaphragm")])),
    ("internal-skull", seen("Fracture", "Left temporal bone")),
    ("internal-skull", seen("Calvarium fracture")),
    ("internal-skull", seen("Fracture", parts=[("skull_left", "temporal_l")])),
    ("internal-skull", seen("Laceration", regions=["occipital_scalp"],
                            layers=[("skull", "linear fracture, 6.2 cm")])),
    ("internal-skull-base", seen("Fracture", parts=[("skull_base_inner", "petrous_l")])),
    ("internal-subdural", seen("Laceration", regions=["parietal_scalp"],
                               layers=[("subdural", "10 mL of liquid blood")])),
    ("internal-brain", seen("Cerebral contusion")),
    ("internal-hyoid", seen("Hyoid fracture")),
    ("internal-hyoid", seen("Fracture", parts=[("neck_organs", "hyoid_horn_r")])),
    ("internal-larynx", seen("Fracture", parts=[("neck_organs", "thyroid_horn_upper_l")])),
    ("internal-larynx", seen("Hyoid fracture", parts=[("neck_organs", "cricoid")])),
    ("deep-dissection-neck", seen("Stab wound", regions=["neck_lateral"],
                                  structures=["Right sternocleidomastoid muscle"])),
    ("systems-scalp", seen("Laceration", regions=["parietal_scalp"],
                           layers=[("galea", "hemorrhage, 3 cm")])),
    ("systems-pericardium", seen("Pericarditis, fibrinous pericardium", klass=NATURAL)),
    ("systems-heart-muscle", seen("Myocardial scar", klass=NATURAL)),
    ("systems-lymph-nodes", seen("Enlarged lymph nodes", klass=NATURAL)),
    ("systems-thymus", seen("Petechiae", parts=[("torso_organs", "thymus")])),
    ("internal-neck-muscles", seen("Hemorrhage", parts=[("neck_organs", "strap_muscles_r")])),
    ("internal-neck-muscles", seen("Contusion", regions=["neck_anterior"],
                                   layers=[("muscle", "hemorrhage, 2 cm")])),
    ("internal-airway-soot", seen("Soot", "Trachea", klass="other")),
    ("internal-heart", seen("Gunshot wound of entrance", regions=["lower_chest"],
                            structures=["Left lung, lower lobe", "Left ventricle of the heart"])),
    ("internal-coronaries", seen("Coronary atherosclerosis", klass=NATURAL)),
    ("internal-lungs", seen("Pneumonia", klass=NATURAL)),
    ("internal-pulmonary-arteries", seen("Pulmonary thromboembolus", klass=NATURAL)),
    ("internal-liver", seen("Laceration", parts=[("torso_organs", "liver")])),
    ("internal-bowel", seen("Perforation", parts=[("torso_organs", "small_intestine")])),
    ("internal-ribs", seen("Fractures", "Right ribs 5 to 8")),
    ("internal-ribs", seen("Fractures", regions=["lateral_chest"], klass=ARTIFACT)),
    ("internal-cervical-spine", seen("Fracture", parts=[("skeleton_anterior", "cervical_2")])),
    ("internal-pelvis", seen("Fracture", "Right pubic ramus")),
    ("deep-dissection-back", seen("Contusion", regions=["back_upper"])),
    ("deep-dissection-limbs", seen("Abrasion", regions=["thigh_anterior"],
                                   layers=[("subcutis", "hemorrhage")])),
]  # fmt: skip
SILENT = [
    ("systems-scalp", seen("Abrasion", regions=["parietal_scalp"])),
    ("systems-pericardium", seen("Pleurisy", klass=NATURAL)),
    ("systems-heart-muscle", seen("Aortic valve stenosis", klass=NATURAL)),
    ("systems-lymph-nodes", seen("Splenomegaly", klass=NATURAL)),
    ("systems-thymus", seen("Petechiae", "Left conjunctival sac")),
    ("external-scalp", seen("Fracture", "Left temporal bone")),
    ("external-scalp", seen("Subdural hemorrhage", regions=["parietal_scalp"])),
    ("external-scalp", seen("Scar", regions=["parietal_scalp"], klass=FEATURE)),
    ("external-eyes", seen("Contusion", regions=["cheek"])),
    ("external-lips", seen("Skin slippage", "Slipped over the hip", klass=CHANGE)),
    ("external-ears", seen("Abrasion", "Forearm")),
    ("external-ears", seen("Rupture", "Heart")),
    ("external-neck", seen("Contusion", regions=["pectoral"])),
    ("external-chest", seen("Lividity", regions=["pectoral"], klass=CHANGE)),
    ("external-chest", seen("Fractures", "Right ribs 5 to 8")),
    ("external-chest", seen("Electrode pads", regions=["pectoral"], klass=MEDICAL)),
    ("external-abdomen", seen("Surgical scar", regions=["abdomen_lower"], klass=FEATURE)),
    ("external-back", seen("Abrasion", "Back of the right hand")),
    ("external-back", seen("Abrasion", "Back of the head")),
    ("external-hands", seen("Contusion", regions=["wrist"])),
    ("external-legs", seen("Varicose veins", regions=["leg_posterior"], klass=NATURAL)),
    ("internal-thyroid", seen("Surgical scar", "Thyroid gland", klass=FEATURE)),
    ("external-genitals", seen("Laceration", parts=[("perineum_female", "anus")])),
    ("external-anus", seen("Contusion", "Scrotum")),
    ("external-penis", seen("Contusion", parts=[("perineum_male", "scrotum_l")])),
    ("external-needle", seen("Needle puncture", "Left elbow", klass=MEDICAL)),
    ("external-limbs", seen("Abrasion", regions=["leg_anterior"])),
    ("treatment-none", seen("Scar", regions=["abdomen_lower"], klass=FEATURE)),
    ("cavities-pleura", seen("Hemoperitoneum")),
    ("cavities-pericardium", seen("Hemothorax")),
    ("internal-skull", seen("Laceration", regions=["occipital_scalp"])),
    ("internal-skull", seen("Laceration", regions=["occipital_scalp"],
                            layers=[("skull", "no fracture"), ("brain", "not examined")])),
    ("internal-skull", seen("Fracture", "Left cheek")),
    ("internal-skull-base", seen("Fracture", parts=[("skull_superior", "parietal_l")])),
    ("internal-epidural", seen("Subdural hemorrhage")),
    ("internal-brain", seen("Contusion", regions=["forehead"])),
    ("internal-brain-mass", seen("Neurocysticercosis", "Brain", klass=NATURAL)),
    ("internal-hyoid", seen("Fracture", parts=[("neck_organs", "cricoid")])),
    ("internal-neck-muscles", seen("Contusion", regions=["neck_anterior"],
                                   layers=[("muscle", "no hemorrhage")])),
    ("internal-heart", seen("Stab wound", regions=["pectoral"])),
    ("internal-heart", seen("Gunshot wound of entrance", regions=["lower_chest"],
                            structures=["Left lung"])),
    ("internal-lungs", seen("Laceration", parts=[("torso_organs", "left_lung")])),
    ("internal-liver", seen("Cirrhosis", klass=NATURAL)),
    ("internal-ribs", seen("Contusion", regions=["lateral_chest"])),
    ("internal-ribs", seen("Scar", "Tribal mark of the arm", klass=FEATURE)),
    ("internal-pelvis", seen("Fracture", regions=["leg_anterior"])),
    ("deep-dissection-back", seen("Drying", regions=["back_upper"], klass=CHANGE)),
]  # fmt: skip


@pytest.mark.parametrize(("key", "found"), SPEAK)
def test_a_finding_that_denies_a_statement_speaks(key, found):
    assert speaks_against(STATEMENTS[key], found)


@pytest.mark.parametrize(("key", "found"), SILENT)
def test_a_finding_elsewhere_or_of_another_kind_is_silent(key, found):
    assert not speaks_against(STATEMENTS[key], found)


def test_every_statement_is_one_sentence_and_can_be_denied():
    assert len(STATEMENTS) >= 80
    for one in (*STATEMENTS.values(), *NO_LONGER_OFFERED):
        assert one.words.endswith(".") and one.words.count(".") == 1
        assert one.sites or one.denies in (Denies.JAUNDICE, Denies.NEEDLE, Denies.TREATMENT)
        assert not one.needs or one.needs in negatives.NEEDS
    words = [one.words for one in (*STATEMENTS.values(), *NO_LONGER_OFFERED)]
    assert len(words) == len(set(words))


# For every statement a finding that denies it and nothing else would catch: its own sites in words.
@pytest.mark.parametrize(
    ("key", "term", "place", "klass"),
    [
        ("external-face", "Contusion", "Left cheek", INJURY),
        ("external-eyelids", "Petechiae", "Left upper eyelid", INJURY),
        ("external-face-petechiae", "Petechiae", "Face", INJURY),
        ("external-nose", "Abrasion", "Nose", INJURY),
        ("external-nasal-bones", "Fracture", "Nose", INJURY),
        ("external-nasal-septum", "Perforation", "Nasal septum", NATURAL),
        ("external-teeth", "Avulsion", "Upper incisors", INJURY),
        ("external-mouth-petechiae", "Petechiae", "Oral mucosa", INJURY),
        ("external-ear-canals", "Blood", "Left ear canal", "other"),
        ("external-breasts", "Contusion", "Left breast", INJURY),
        ("external-breast-mass", "Tumor", "Right breast", NATURAL),
        ("external-back", "Contusion", "Lumbar region", INJURY),
        ("external-buttocks", "Contusion", "Left buttock", INJURY),
        ("external-penis", "Laceration", "Penis", INJURY),
        ("external-vulva", "Laceration", "Posterior fourchette", INJURY),
        ("external-nails", "Avulsion", "Nail of the right index finger", INJURY),
        ("external-feet", "Abrasion", "Left heel", INJURY),
        ("cavities-pericardium", "Hemopericardium", "", INJURY),
        ("cavities-adhesions", "Pleural adhesions", "", NATURAL),
        ("internal-facial-bones", "Fracture", "Mandible", INJURY),
        ("internal-middle-ears", "Hemorrhage", "Left middle ear", INJURY),
        ("internal-dura", "Laceration", "Dura", INJURY),
        ("internal-epidural", "Epidural hemorrhage", "", INJURY),
        ("internal-subarachnoid", "Subarachnoid hemorrhage", "", NATURAL),
        ("internal-brain-mass", "Neoplasm", "Left frontal lobe", NATURAL),
        ("internal-pituitary", "Adenoma", "Pituitary", NATURAL),
        ("internal-neck-vessels", "Carotid intimal tear", "", INJURY),
        ("internal-tongue", "Hemorrhage", "Tongue", INJURY),
        ("internal-airway", "Aspiration of gastric contents", "Trachea and bronchi", "other"),
        ("internal-thyroid", "Nodule", "Thyroid gland", NATURAL),
        ("internal-esophagus", "Varices", "Esophagus", NATURAL),
        ("internal-valves", "Stenosis", "Aortic valve", NATURAL),
        ("internal-great-vessels", "Laceration", "Aorta at the isthmus", INJURY),
        ("internal-lungs-injury", "Laceration", "Left lung", INJURY),
        ("internal-gallbladder", "Gallstones", "", NATURAL),
        ("internal-spleen", "Laceration", "Spleen", INJURY),
        ("internal-pancreas", "Necrosis", "Pancreas", NATURAL),
        ("internal-kidneys", "Contusion", "Left kidney", INJURY),
        ("internal-adrenals", "Hemorrhage", "Both adrenal glands", NATURAL),
        ("internal-stomach", "Laceration", "Stomach", INJURY),
        ("internal-stomach-tablets", "Tablets", "Stomach", "other"),
        ("internal-bladder", "Rupture", "Urinary bladder", INJURY),
        ("internal-uterus", "Leiomyoma", "Uterus", NATURAL),
        ("internal-prostate", "Enlargement", "Prostate", NATURAL),
        ("internal-sternum", "Fracture", "Sternum", ARTIFACT),
        ("internal-spine", "Fracture", "Third lumbar vertebra", INJURY),
        ("deep-dissection-neck", "Hemorrhage", "Right strap muscle", INJURY),
    ],
)
def test_each_further_statement_has_what_speaks_against_it(key, term, place, klass):
    assert speaks_against(STATEMENTS[key], seen(term, place, klass))


@pytest.mark.parametrize("one", NO_LONGER_OFFERED, ids=lambda one: one.key)
def test_a_statement_of_before_is_still_compared(one):
    places = {
        "external-nose-before": ("Abrasion", "Nose"),
        "external-mouth-before": ("Laceration", "Upper lip"),
        "external-ears-before": ("Abrasion", "Left ear"),
        "external-chest-before": ("Gunshot wound of entrance", "Left chest"),
        "external-abdomen-before": ("Stab wound", "Abdomen"),
        "external-genitals-before": ("Contusion", "Scrotum"),
        "external-hands-before": ("Abrasion", "Knuckles"),
        "internal-meninges-before": ("Subdural hemorrhage", ""),
        "internal-neck-before": ("Hyoid fracture", ""),
        "internal-neck-muscles-before": ("Hemorrhage", "Strap muscle"),
        "internal-heart-before": ("Laceration", "Aorta"),
        "internal-coronaries-before": ("Coronary thrombosis", ""),
        "internal-skeleton-before": ("Fractures", "Left ribs 2 to 4"),
    }
    found = contradictions({one.section: f"Dry. {one.words}"}, [seen(*places[one.key])])
    assert [each.statement.key for each in found] == [one.key]
    assert found[0].words == f"“{one.words}” is stated; finding 1 may speak against it."


def test_a_statement_is_stated_as_a_sentence_of_its_own():
    lungs = STATEMENTS["internal-lungs-injury"]
    assert negatives.is_stated(lungs, "the lungs show no injury.")
    assert negatives.is_stated(lungs, "Pale.\nThe lungs show no injury. Dry.")
    assert not negatives.is_stated(lungs, "It cannot be said that the lungs show no injury.")
    arms = STATEMENTS["external-arms"]
    assert not negatives.is_stated(arms, "The forearms show no injury.")


def test_two_findings_against_a_statement_are_both_named():
    written = {"external": "The chest shows no injury. The abdomen shows no injury."}
    two = [
        Seen(4, INJURY, "Contusion", regions=["pectoral"]),
        Seen(9, INJURY, "Abrasion", regions=["lateral_chest"]),
        Seen(10, INJURY, "Abrasion", regions=["palm"]),
    ]
    assert findings_against(STATEMENTS["external-chest"], two) == [4, 9]
    found = contradictions(written, two)
    assert [one.words for one in found] == [
        "“The chest shows no injury.” is stated; findings 4, 9 may speak against it."
    ]


@pytest.mark.parametrize(("percent", "asks"), [(None, False), (0, False), (49, False), (50, True)])
def test_a_measured_narrowing_speaks_against_no_significant_stenosis(percent, asks):
    # Significant from 50 % or from 75 % by author: common practice, the smaller one asks earlier.
    arteries = {"left main coronary artery": 10, "right coronary artery": percent}
    written = {"internal": STATEMENTS["internal-coronaries"].words}
    found = contradictions(written, [], arteries)
    assert bool(found) is asks
    assert narrowed_words(arteries) == ("right coronary artery 50 %" if asks else "")
    other = {"internal": STATEMENTS["internal-heart"].words}
    assert contradictions(other, [], arteries) == []


@pytest.mark.parametrize(
    ("deep", "asked"),
    [
        ("", True),
        ("The back was incised.", True),
        ("The neck was dissected in layers.", False),
        ("Layered dissection of the neck after the brain was removed.", False),
        ("The neck is thick. The back was dissected.", True),
    ],
)
def test_strap_muscles_are_stated_after_a_dissection_in_layers_only(deep, asked):
    statement = STATEMENTS["internal-neck-muscles"]
    assert bool(negatives.needed_first(statement, deep)) is asked
    assert negatives.needed_first(STATEMENTS["internal-hyoid"], "") == ""


@pytest.mark.parametrize(
    ("found", "nothing"),
    [
        ("no hemorrhage", True),
        ("intact; no fracture", True),
        ("not broken", True),
        ("scraped", False),
        ("no fracture, hemorrhage 3 cm", False),
        ("hemorrhage but no fracture", False),
        ("", False),
    ],
)
def test_a_layer_that_shows_nothing_speaks_against_nothing(found, nothing):
    assert says_nothing_found(found) is nothing


@pytest.mark.parametrize(
    ("place", "offset", "drawn", "asked"),
    [
        ("Left upper quadrant of abdomen", 0.0, EPIGASTRIC, True),
        ("Left upper quadrant of abdomen", 0.0, "", True),
        ("Left upper quadrant of abdomen", 4.0, "Left flank", False),
        ("Left upper quadrant of abdomen", -4.0, "", True),
        ("Left upper quadrant of abdomen", -0.5, "", False),
        ("Left upper quadrant of abdomen", -0.6, "", True),
        ("Left upper quadrant of abdomen", None, "Right flank", True),
        ("Left upper quadrant of abdomen", None, "Left flank", False),
        ("Midline of the upper abdomen (epigastric region)", 0.0, "Left medial thigh", False),
        ("Right side of the forehead", 3.0, "", True),
        ("Left and right wrists", -14.0, "Right wrist", False),
        ("Bright red rim", 3.0, "Left cheek", False),
        ("Left medial thigh", 0.0, "Left medial thigh", False),
    ],
)
def test_a_side_that_does_not_hold_together_is_asked_about(place, offset, drawn, asked):
    assert bool(side_question(place, offset, drawn)) is asked


def test_what_is_read_once_at_the_start_is_read_the_same_again():
    # Such code ran before a test began; only calling it again tells whether it is right.
    assert {one.key: one for one in negatives._read("offered")} == dict(STATEMENTS)
    assert negatives._read("no_longer_offered") == NO_LONGER_OFFERED
    assert STATEMENTS["external-scalp"] == negatives.Statement(
        "external-scalp",
        "external",
        "The scalp shows no injury.",
        frozenset({"scalp"}),
        Denies.INJURY,
        "",
    )
    assert STATEMENTS["internal-neck-muscles"].needs == "neck dissection"
    listed = list(negatives._as_listed())
    assert len(listed) == len(STATEMENTS)
    first = listed[0]
    assert (first.key, first.text, first.where, first.source) == (
        "negative.external-scalp",
        "The scalp shows no injury.",
        "Examination, negative findings",
        COMMON_PRACTICE,
    )


def test_words_are_matched_whole_in_any_case_and_each_alternative_alike():
    words = negatives._words("stab|wounds?")
    found = ["Stab", "a WOUND.", "wounds", "stab-like"]
    assert [one for one in found if words.search(one)] == found
    missed = ["stable", "unstab", "wounded", "rewound"]
    assert [one for one in missed if words.search(one)] == []


def test_a_section_offers_its_own_statements_in_their_order():
    for section in {one.section for one in STATEMENTS.values()}:
        offered = negatives.statements_of(section)
        assert offered == [one for one in STATEMENTS.values() if one.section == section]
        assert offered
    assert negatives.statements_of("microscopy of another office") == []


def test_statements_are_found_in_their_own_section_only():
    scalp, lungs = STATEMENTS["external-scalp"], STATEMENTS["internal-lungs-injury"]
    before = NO_LONGER_OFFERED[0]
    written = {
        "external": f"{scalp.words} {before.words} {lungs.words}",
        "internal": f"  {lungs.words.upper()}",
    }
    assert before.section == "external"
    assert negatives.stated_in(written) == [scalp, lungs, before]
    assert negatives.stated_in({}) == []


@pytest.mark.parametrize("mark", [".", "!", "?", ";", "\n", ".  "])
def test_a_sentence_begins_after_a_mark_or_a_line(mark):
    lungs = STATEMENTS["internal-lungs-injury"]
    assert negatives.is_stated(lungs, f"Dry{mark}The lungs show no injury.")
    assert not negatives.is_stated(lungs, f"Dry{mark}So the lungs show no injury.")
    assert not negatives.is_stated(lungs, "Dry, the lungs show no injury.")
    assert not negatives.is_stated(lungs, "The lungs show no injury, as far as seen")


def test_a_statement_is_added_after_one_space_and_nothing_else_changes():
    scalp = STATEMENTS["external-scalp"]
    assert negatives.added(scalp, "") == scalp.words
    assert negatives.added(scalp, " \n") == scalp.words
    assert negatives.added(scalp, "Dry.\nCold. \n") == f"Dry.\nCold. {scalp.words}"


def test_what_is_needed_first_is_said_until_it_is_recorded():
    neck = STATEMENTS["internal-neck-muscles"]
    assert negatives.needed_first(neck, "") == (
        "Record the layered dissection of the neck first, under Deep dissection."
    )
    assert negatives.needed_first(neck, "The neck was dissected in layers.") == ""
    assert negatives.needed_first(STATEMENTS["external-scalp"], "") == ""
