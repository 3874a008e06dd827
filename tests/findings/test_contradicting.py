"""What speaks against a negative statement: by path, by layer, by class, by what was measured.

What speaks against a statement is common practice; no published list is reproduced.
"""

from __future__ import annotations

import pytest

from findings.questions import negatives
from findings.questions.contradicting import (
    blood_words,
    contradictions,
    measured_against,
    narrowed_words,
    speaks_against,
)
from findings.questions.negatives import STATEMENTS, Denies
from tests.findings.test_negatives import ARTIFACT, CHANGE, FEATURE, INJURY, MEDICAL, NATURAL, seen

MEASURED = {
    "right chest cavity": "cavities-pleura",
    "left chest cavity": "cavities-pleura",
    "pericardial sac": "cavities-pericardium",
    "abdominal cavity": "cavities-peritoneum",
    "epidural space": "internal-epidural",
    "subdural space": "internal-subdural",
}


@pytest.mark.parametrize(("cavity", "key"), sorted(MEASURED.items()))
def test_measured_blood_speaks_against_the_statement_of_its_own_cavity(cavity, key):
    statement = STATEMENTS[key]
    for volume, said in ((None, ""), (0, ""), (1, f"1 mL of blood in the {cavity}")):
        assert blood_words(statement, {cavity: volume}) == said
        assert measured_against(statement, {}, {cavity: volume}) == said
    written = {statement.section: statement.words}
    (found,) = contradictions(written, [], blood_ml={cavity: 1200})
    assert found.words == (
        f"“{statement.words}” is stated; 1,200 mL of blood in the {cavity} may speak against it."
    )
    for other in {*MEASURED.values()} - {key}:
        assert blood_words(STATEMENTS[other], {cavity: 1200}) == ""


def test_several_measurements_and_findings_are_joined_in_one_sentence():
    pleura = STATEMENTS["cavities-pleura"]
    blood = {"right chest cavity": 300, "left chest cavity": 900}
    both = "300 mL of blood in the right chest cavity, 900 mL of blood in the left chest cavity"
    assert blood_words(pleura, blood) == both
    found = contradictions({pleura.section: pleura.words}, [seen("Hemothorax")], None, blood)
    assert [one.words for one in found] == [
        f"“{pleura.words}” is stated; finding 1 and {both} may speak against it."
    ]
    arteries = {"left main coronary artery": 50, "right coronary artery": 80}
    assert narrowed_words(arteries) == (
        "left main coronary artery 50 %, right coronary artery 80 %"
    )
    # A narrowed artery says nothing of a cavity, nor blood of an artery.
    assert measured_against(pleura, arteries, {}) == ""
    assert measured_against(STATEMENTS["internal-coronaries"], {}, blood) == ""
    assert measured_against(STATEMENTS["external-scalp"], arteries, blood) == ""


def made(denies, sites, section="internal"):
    return negatives.Statement("x", section, "X.", frozenset(sites), denies)


@pytest.mark.parametrize("denies", Denies)
def test_a_path_through_a_structure_injures_it_and_fills_no_cavity(denies):
    # The term alone is no heart: only the path goes through it.
    path = seen("Track", regions=["leg_anterior"], klass="other", structures=["Heart"])
    injuring = {
        Denies.INJURY,
        Denies.BREAK,
        Denies.PERFORATION,
        Denies.ANYTHING,
        Denies.HEMORRHAGE,
    }
    assert speaks_against(made(denies, {"heart"}), path) is (denies in injuring)
    assert not speaks_against(made(denies, {"liver"}), path)


@pytest.mark.parametrize(
    ("layer", "site"),
    [
        ("galea", "scalp"),
        ("temporalis muscle", "scalp"),
        ("subgaleal", "scalp"),
        ("skull", "skull"),
        ("epidural", "epidural"),
        ("dura", "dura"),
        ("subdural", "subdural"),
        ("subarachnoid", "subarachnoid"),
        ("brain", "brain"),
    ],
)
def test_a_layer_of_the_head_is_a_site_wherever_the_finding_lies(layer, site):
    found = seen("Mark", "Somewhere", klass="other", layers=[(layer, "hemorrhage")])
    assert speaks_against(made(Denies.HEMORRHAGE, {site}), found)
    assert speaks_against(made(Denies.INJURY, {site}), found)
    assert not speaks_against(made(Denies.HEMORRHAGE, {"liver"}), found)
    # Asked of whatever is found, or of treatment, what a layer shows is no answer.
    assert not speaks_against(made(Denies.ANYTHING, {site}), found)


def test_the_layers_after_one_that_shows_nothing_are_read():
    for nothing in ("no hemorrhage", "", " "):
        layers = [("dura", nothing), ("subdural", "10 mL of blood")]
        found = seen("Mark", "Somewhere", klass="other", layers=layers)
        assert speaks_against(made(Denies.HEMORRHAGE, {"subdural"}), found)
        assert not speaks_against(made(Denies.HEMORRHAGE, {"dura"}), found)


@pytest.mark.parametrize(
    ("klass", "term", "speaks"),
    [
        (INJURY, "Mark", True),
        (ARTIFACT, "Mark", False),
        (ARTIFACT, "ABRASION by transport", True),
        (MEDICAL, "Puncture", False),
        (MEDICAL, "Resuscitation injuries", True),
        (NATURAL, "Laceration", False),
        (FEATURE, "Laceration", False),
    ],
)
def test_an_injury_goes_by_class_and_damage_by_its_words(klass, term, speaks):
    found = seen(term, regions=["pectoral"], klass=klass)
    assert speaks_against(STATEMENTS["external-chest"], found) is speaks


@pytest.mark.parametrize(
    ("klass", "term", "speaks"),
    [
        (MEDICAL, "Mark", True),
        (ARTIFACT, "Resuscitation mark", True),
        (NATURAL, "defibrillator pads", True),
        ("other", "Therapeutic puncture", True),
        ("other", "cpr marks", True),
        (INJURY, "Contusion", False),
        (INJURY, "Cprx", False),
    ],
)
def test_treatment_goes_by_class_or_by_its_words(klass, term, speaks):
    assert speaks_against(STATEMENTS["treatment-none"], seen(term, klass=klass)) is speaks


def test_jaundice_is_read_in_term_and_place_and_other_things_in_the_term():
    assert speaks_against(STATEMENTS["external-jaundice"], seen("Color", "Yellow sclerae"))
    needle = made(Denies.NEEDLE, {"arms"})
    assert not speaks_against(needle, seen("Mark", "Injection site of the arm", klass="other"))
    everything = made(Denies.ANYTHING, {"chest"})
    for klass in (INJURY, NATURAL, MEDICAL, ARTIFACT, CHANGE):
        assert speaks_against(everything, seen("Mark", regions=["pectoral"], klass=klass))
    assert not speaks_against(everything, seen("Mark", regions=["pectoral"], klass=FEATURE))


BROKEN = ("bone", "fracture")


def test_a_broken_bone_under_a_region_concerns_the_bone_and_not_its_skin():
    by_region = seen("Mark", "Hand", regions=["pectoral"], klass="other", layers=[BROKEN])
    by_place = seen("Mark", "Left cheek", klass="other", layers=[BROKEN])
    for found, bone, elsewhere in (
        (by_region, "ribs", {"chest", "limb bones", "hands"}),
        (by_place, "facial bones", {"face", "ribs"}),
    ):
        assert speaks_against(made(Denies.BREAK, {bone}), found)
        assert not speaks_against(made(Denies.BREAK, elsewhere), found)


@pytest.mark.parametrize("layer", ["subcutis", "fascia", "muscle"])
def test_soft_layers_lie_beneath_their_region_where_one_is_known(layer):
    found = seen("Mark", regions=["ear", "palm"], klass="other", layers=[(layer, "hemorrhage")])
    assert speaks_against(made(Denies.HEMORRHAGE, {"limb layers"}), found)
    assert not speaks_against(made(Denies.HEMORRHAGE, {"hands", "ears", "back layers"}), found)


def test_a_layer_without_a_site_is_read_by_what_was_found_there():
    found = seen("Mark", regions=["palm"], klass="other", layers=[("serosa", "liver lacerated")])
    assert speaks_against(made(Denies.PERFORATION, {"liver"}), found)
    assert not speaks_against(made(Denies.PERFORATION, {"limb layers", "hands"}), found)


@pytest.mark.parametrize("marks", [{"regions": ["pectoral"]}, {"parts": [("mouth", "tongue")]}])
def test_a_place_in_words_is_not_read_where_a_mark_was_drawn(marks):
    # The term names something deep, so the skin does not count either.
    drawn = seen("Rib contusion", "Liver", **marks)
    assert not speaks_against(made(Denies.INJURY, {"liver", "chest"}), drawn)
    assert speaks_against(made(Denies.INJURY, {"ribs"}), drawn)
    assert speaks_against(made(Denies.INJURY, {"liver"}), seen("Rib contusion", "Liver"))


def test_a_fracture_named_by_its_term_alone_concerns_the_bone():
    found = seen("Fracture of the hand")
    assert speaks_against(made(Denies.BREAK, {"limb bones"}), found)
    assert not speaks_against(made(Denies.INJURY, {"hands"}), found)
