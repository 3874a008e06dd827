"""What is offered while a finding is typed, and how it is said.

Terms and their classes: common practice. Pressure injury and its stages: National Pressure Ulcer
Advisory Panel, April 2016.
"""

import pytest

from findings.prose.observed import Facts, standard_sentence
from findings.rules import FindingClass
from findings.words.vocabulary import (
    MECHANISMS,
    REPLACED,
    TERMS,
    UNCOUNTED,
    color_first,
    replaced_by,
    terms_of,
)

INJURY, CHANGE, ARTIFACT = "injury", "postmortem change", "artifact"
NATURAL, MEDICAL = "natural disease", "medical intervention"


@pytest.mark.parametrize(
    ("klass", "term"),
    [
        (NATURAL, "Coronary atherosclerosis"),
        (NATURAL, "Cerebral herniation"),
        (NATURAL, "Healed fracture"),
        (INJURY, "Cerebral herniation"),
        (INJURY, "Healing contusion"),
        (INJURY, "Healing abrasion"),
        (INJURY, "Healing fracture"),
        (INJURY, "Air embolism"),
        (INJURY, "Dismemberment"),
        (CHANGE, "Dismemberment"),
        ("identifying feature", "Circumcision scar"),
        ("identifying feature", "Dyed hair"),
        ("identifying feature", "Nail polish"),
        ("identifying feature", "Healed fracture"),
        ("other", "Injection tracks"),
        ("other", "Normal variant"),
        (NATURAL, "Acute myocardial infarct"),
        (NATURAL, "Pulmonary thromboembolus"),
        (NATURAL, "Ruptured berry aneurysm"),
        (NATURAL, "Cirrhosis"),
        (NATURAL, "Pressure injury, stage 3"),
        (INJURY, "Pressure injury, stage 3"),
        (INJURY, "Entrance gunshot wound, indeterminate range"),
        (INJURY, "Shored exit"),
        (INJURY, "Gunpowder stippling"),
        (INJURY, "Incised wound, superficial parallel"),
        (INJURY, "Contusion, fingertip-type"),
        (INJURY, "Conjunctival petechiae"),
        (INJURY, "Fracture of hyoid greater horn"),
        (INJURY, "Hemorrhage of strap muscle"),
        (INJURY, "Subdural hemorrhage, organizing"),
        (INJURY, "Diffuse axonal injury"),
        (INJURY, "Laceration of liver"),
        (INJURY, "Hemothorax"),
        (INJURY, "Aortic transection"),
        (INJURY, "Frenulum laceration"),
        (INJURY, "Classic metaphyseal lesion"),
        (INJURY, "Ligature furrow"),
        (INJURY, "Seat belt mark"),
        (CHANGE, "Purge fluid"),
        (CHANGE, "Immersion change of hands or feet"),
        (CHANGE, "Tardieu spots"),
        (ARTIFACT, "Drying artifact (parchmenting)"),
        (ARTIFACT, "Probe hole"),
        (ARTIFACT, "Heat epidural hemorrhage"),
        (ARTIFACT, "Rib fractures"),
        (MEDICAL, "Supraglottic airway"),
        (MEDICAL, "Thoracotomy"),
        (MEDICAL, "Procurement incision"),
        ("other", "Soot in airway"),
        ("other", "Injection mark"),
    ],
)
def test_what_is_recorded_daily_is_offered_in_its_class(klass, term):
    assert term in terms_of(klass)


def test_every_class_has_its_terms_and_no_class_has_none():
    assert terms_of("") == ()
    assert all(isinstance(terms_of(klass), tuple) for klass in FindingClass)


@pytest.mark.parametrize(
    ("seen", "split"),
    [
        ("Purple swelling, soft", ("", "Purple swelling, soft")),
        ("Dark swelling", ("", "Dark swelling")),
        ("Dark", ("", "Dark")),
        ("Dark red, soft", ("dark red", "soft")),
        ("", ("", "")),
    ],
)
def test_a_color_leads_only_where_every_word_of_it_is_one(seen, split):
    assert color_first(seen) == split


def test_terms_fit_their_field_and_stand_once_in_a_class():
    assert set(TERMS) == set(FindingClass)
    for klass, terms in TERMS.items():
        assert len(terms) == len(set(terms)), klass
        for term in terms:
            assert len(term) <= 80 and term[0].isupper() and term == term.strip()
    assert all(len(one) <= 60 for one in MECHANISMS)
    assert len(MECHANISMS) == len(set(MECHANISMS))
    assert sum(len(terms) for terms in TERMS.values()) >= 240


def test_what_was_offered_before_is_offered_no_more_but_still_reads():
    offered = {term for terms in TERMS.values() for term in terms} | set(MECHANISMS)
    assert set(REPLACED) == {"Drying", "Washerwoman change", "Pressure ulcer", "Asphyxial"}
    for old, new in REPLACED.items():
        assert old not in offered
        assert new and set(new) <= offered
        assert replaced_by(f" {old.upper()} ") == new
    assert replaced_by("Contusion") == replaced_by("") == ()
    # A record of before says what it said.
    assert standard_sentence(Facts(term="Drying", place="Left thigh")) == (
        "On the left thigh is drying."
    )


@pytest.mark.parametrize(
    ("term", "said"),
    [
        ("Hemothorax", "There is hemothorax."),
        ("Rib fractures", "There are rib fractures."),
        ("Tardieu spots", "There are Tardieu spots."),
        ("Purge fluid", "There is purge fluid."),
        ("Acute myocardial infarct", "There is an acute myocardial infarct."),
        ("Pressure injury, stage 3", "There is a pressure injury, stage 3."),
        ("Fracture of hyoid greater horn", "There is a fracture of hyoid greater horn."),
        ("Coronary atherosclerosis", "There is coronary atherosclerosis."),
        ("Immersion change of hands or feet", "There is immersion change of hands or feet."),
        ("Wischnewski spots", "There are Wischnewski spots."),
        ("CPR marks", "There are CPR marks."),
        ("Cerebral herniation", "There is cerebral herniation."),
        ("Dyed hair", "There is dyed hair."),
        ("Nail polish", "There is nail polish."),
        ("Dismemberment", "There is dismemberment."),
        ("Injection tracks", "There are injection tracks."),
        ("Air embolism", "There is an air embolism."),
    ],
)
def test_a_term_is_said_as_it_is_read_aloud(term, said):
    assert standard_sentence(Facts(term=term)) == said


def test_what_takes_no_article_is_written_small():
    assert all(term == term.lower() for term in UNCOUNTED)
