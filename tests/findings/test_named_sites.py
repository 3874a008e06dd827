"""What is written without a mark, against negative statements: as people of the trade write it.

What speaks against a statement is common practice; no published list is reproduced.
"""

from __future__ import annotations

import pytest

from findings.questions.contradicting import speaks_against
from findings.questions.negatives import STATEMENTS
from tests.findings.test_negatives import ARTIFACT, INJURY, MEDICAL, NATURAL, seen

OTHER = "other"


@pytest.mark.parametrize(
    ("key", "term", "place", "klass"),
    [
        # A term that names its own place needs no other.
        ("external-neck", "Ligature furrow", "", INJURY),
        ("external-neck", "Ligature mark", "", INJURY),
        ("external-neck", "Ligature furrow", "Beneath the chin, above the larynx", INJURY),
        ("internal-skull", "Diastatic fracture", "Sagittal suture", INJURY),
        ("internal-skull", "Hinge fracture", "", INJURY),
        ("internal-skull-base", "Hinge fracture", "", INJURY),
        ("internal-skull-base", "Ring fracture", "", INJURY),
        ("internal-facial-bones", "Le Fort fracture", "", INJURY),
        ("internal-facial-bones", "Fracture", "Left orbit", INJURY),
        ("internal-ribs", "Flail chest", "", INJURY),
        ("internal-brain", "Coup contusion", "", INJURY),
        ("internal-brain", "Contrecoup contusion", "", INJURY),
        ("internal-brain-mass", "Meningioma", "", NATURAL),
        ("internal-brain-mass", "Glioblastoma", "Right temporal lobe", NATURAL),
        ("external-sclerae", "Subconjunctival hemorrhage", "", INJURY),
        ("internal-dura", "Dural tear", "", INJURY),
        ("internal-airway", "Aspiration", "", OTHER),
        ("internal-lungs", "Bronchopneumonia", "", NATURAL),
        ("internal-pulmonary-arteries", "Saddle embolus", "", NATURAL),
        ("internal-coronaries", "Occlusion", "Proximal LAD", NATURAL),
        ("internal-thyroid", "Goiter", "", NATURAL),
        ("internal-gallbladder", "Cholelithiasis", "", NATURAL),
        ("internal-prostate", "Prostatic hyperplasia", "", NATURAL),
        ("internal-bowel", "Perforated sigmoid", "", NATURAL),
        ("internal-bowel", "Perforation", "Cecum", NATURAL),
        ("deep-dissection-neck-back", "Posterior neck hemorrhage", "", INJURY),
        ("deep-dissection-neck-back", "Hemorrhage", "Suboccipital muscles", INJURY),
        ("deep-dissection-back", "Hemorrhage", "Left paraspinal muscles", INJURY),
        ("external-limbs", "Bumper fracture", "", INJURY),
        # A place by the bone beneath the skin, or by a quadrant.
        ("external-chest", "Contusion", "Sternum", INJURY),
        ("external-chest", "Abrasion", "Over the left clavicle", INJURY),
        ("external-chest", "Contusion", "Left ribs", INJURY),
        ("external-abdomen", "Stab wound", "Left lower quadrant", INJURY),
        ("external-abdomen", "Contusion", "RUQ", INJURY),
        ("external-back", "Contusion", "Left scapula", INJURY),
        ("external-back", "Pressure injury, stage 3", "Sacrum", INJURY),
        ("external-back", "Pressure injury, stage 4", "Coccyx", INJURY),
        ("external-back", "Gunshot wound of exit", "Right posterior chest", INJURY),
        ("external-back", "Stab wound", "Posterior thorax, left", INJURY),
        ("external-face", "Contusion", "Left mandible", INJURY),
        ("external-arms", "Abrasion", "Left olecranon", INJURY),
        ("external-legs", "Abrasion", "Left patella", INJURY),
        ("external-legs", "Contusion", "Lateral malleolus", INJURY),
        ("external-nails", "Broken nail", "Right thumbnail", INJURY),
        ("treatment-none", "Endotracheal tube", "", ARTIFACT),
    ],
)
def test_a_finding_without_a_mark_speaks_by_its_words(key, term, place, klass):
    assert speaks_against(STATEMENTS[key], seen(term, place, klass))


@pytest.mark.parametrize(
    ("key", "term", "place", "klass"),
    [
        ("external-neck", "Ligature mark", "Both wrists", INJURY),
        ("external-neck", "Ligature mark", "Left ankle", INJURY),
        ("external-face", "Ligature furrow", "Beneath the chin", INJURY),
        ("external-face", "Abrasion", "Below the chin", INJURY),
        ("external-chest", "Gunshot wound of exit", "Right posterior chest", INJURY),
        ("external-chest", "Fracture", "Sternum", INJURY),
        ("external-chest", "Rib fractures", "Left ribs 4 to 6", INJURY),
        ("external-chest", "Hemorrhage", "Sternum", INJURY),
        ("external-back", "Fracture", "Left scapula", INJURY),
        ("external-abdomen", "Contusion", "Lower pole of the kidney", INJURY),
        ("external-legs", "Fracture", "Left patella", INJURY),
        ("external-face", "Fracture", "Mandible", INJURY),
        ("external-arms", "Fracture", "Olecranon", INJURY),
        ("internal-brain-mass", "Hematoma", "Brain", INJURY),
        ("internal-skull-base", "Ring fracture", "Pelvis", INJURY),
        ("internal-skull", "Sutured laceration", "Left arm", INJURY),
        ("internal-airway", "Edema", "Lungs", NATURAL),
        ("internal-dura", "Subdural hemorrhage", "", INJURY),
        ("internal-coronaries", "Contusion", "Ladder-like, left arm", INJURY),
        ("external-nails", "Incised wound", "Right thumb", INJURY),
        ("treatment-none", "Pacemaker", "", "identifying feature"),
        ("treatment-none", "Tourniquet", "Left arm", OTHER),
        ("external-needle", "Endotracheal tube", "", MEDICAL),
    ],
)
def test_a_finding_that_lies_elsewhere_by_its_words_is_silent(key, term, place, klass):
    assert not speaks_against(STATEMENTS[key], seen(term, place, klass))


def test_a_mark_says_where_it_is_whatever_its_term_is_used_of():
    neck, airway = STATEMENTS["external-neck"], STATEMENTS["internal-airway"]
    assert not speaks_against(neck, seen("Ligature mark", regions=["wrist"]))
    assert speaks_against(neck, seen("Ligature mark", regions=["neck_anterior"]))
    lung = seen("Aspiration", parts=[("torso_organs", "left_lung")], klass=OTHER)
    assert not speaks_against(airway, lung)
