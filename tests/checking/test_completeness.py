"""Rules of completeness: each passes, fails and keeps silent where its own examples say so."""

from __future__ import annotations

from dataclasses import replace

import pytest

from cases.checking import docs, rules
from cases.checking.applies import APPLIES, OFFICE_APPLIES
from cases.checking.facts import Facts, Injury, Specimen, facts_from
from cases.checking.lacks import LACKS
from cases.checking.rules import (
    Answer,
    Answered,
    Change,
    Level,
    Outcome,
    Rule,
    Standing,
    allowed_answers,
    counted,
    examples,
    in_force,
    outcome_of,
    outcomes,
    shipped,
)

KEYS = list(shipped())
OPENED = Facts(kind="full autopsy")
SHOT = Injury(term="Gunshot wound of entrance", cause="firearm", groups=("chest",))
STAB = Injury(term="Stab wound", cause="sharp force")


@pytest.mark.parametrize("key", KEYS)
def test_a_rule_is_documented_missing_and_silent_as_its_examples_say(key: str):
    rule, example = shipped()[key], examples()[key]
    passed = outcome_of(rule, facts_from(example.passes))
    failed = outcome_of(rule, facts_from(example.fails))
    assert (passed.standing, passed.detail) == (Standing.DOCUMENTED, "")
    assert failed.standing is Standing.MISSING
    assert failed.detail
    assert failed.sentence == f"{rule.words}: {failed.detail}."
    if example.silent is None:
        assert rule.applies == "always"
        return
    silent = outcome_of(rule, facts_from(example.silent))
    assert silent.standing is Standing.NOT_APPLICABLE
    assert silent.detail.endswith(".")


def test_every_predicate_is_asked_by_a_rule_and_every_rule_names_one():
    assert {rule.applies for rule in shipped().values()} | {"neck"} == set(APPLIES)
    assert {rule.lacks for rule in shipped().values()} == set(LACKS)
    assert set(OFFICE_APPLIES) <= set(APPLIES)
    assert len(KEYS) == len(set(KEYS)) >= 60
    # The page of each is titled by its words.
    assert len({rule.words for rule in shipped().values()}) == len(KEYS)


def test_a_number_is_given_only_where_it_was_seen_and_with_its_edition():
    seen = {"A1", "A2", "B3", "B4", "B5", "C7", "C8", "D9"}
    numbers = {rule.number for rule in shipped().values() if rule.number}
    assert numbers == seen
    for rule in shipped().values():
        if rule.number:
            assert rule.named == f"{rule.number} (2016 edition), {rule.title}"
            assert "number and title seen" in rule.source
        else:
            assert rule.named == rule.title
            assert not any(letter in rule.title for letter in "0123456789")


# The standards by title, written out a second time; services and equipment are an office's, no
# case's. What follows in a title after "including" is left out.
TITLES = {
    "Responsibilities",
    "Initial inquiry",
    "Selecting deaths requiring forensic autopsies",
    "Forensic autopsy performance",
    "Interpretation and opinions",
    "Standard identification procedures",
    "Procedures prior to disposition of unidentified bodies",
    "Preliminary procedures",
    "Physical characteristics",
    "Postmortem changes",
    "Suspected sexual assault",
    "Injuries: general",
    "Photographic documentation",
    "Firearm injuries",
    "Sharp force injuries",
    "Burn injuries",
    "Patterned injuries",
    "Thoracic and abdominal cavities",
    "Internal organs and viscera",
    "Head",
    "Neck",
    "Penetrating injuries",
    "Blunt impact injuries",
    "Radiography",
    "Specimens for laboratory testing",
    "Histological examination",
    "Content of toxicology procedures",
    "Evidence processing",
    "Postmortem examination report",
}


def test_every_standard_has_a_rule():
    assert TITLES - {rule.title for rule in shipped().values()} == set()


def test_the_document_is_what_the_rules_make_it():
    assert docs.PAGE.read_text(encoding="utf-8") == docs.document()


def test_facts_take_no_name_that_is_not_theirs():
    with pytest.raises(ValueError, match="No facts: heart"):
        facts_from({"heart": 1})


def test_the_office_changes_words_and_level_switches_off_and_adds_its_own():
    changes = [
        Change("length", "Crown-heel length", Level.MUST),
        Change("weight", "", Level.SHOULD, is_off=True),
        Change("own-1", "Films compared", Level.MUST, is_own=True, applies="firearm"),
        Change("own-2", "Not any more", is_own=True, is_off=True),
    ]
    kept = {rule.key: rule for rule in in_force(changes)}
    assert (kept["length"].words, kept["length"].must) == ("Crown-heel length", True)
    assert "weight" not in kept
    assert "own-2" not in kept
    assert kept["own-1"].named == "The office’s own"
    assert list(kept)[-1] == "own-1"
    assert in_force([]) == list(shipped().values())


OWN = Rule("own-1", "Films compared", level=Level.MUST, is_own=True)


def test_a_rule_of_the_office_is_missing_until_a_person_confirms_it():
    assert outcome_of(OWN, OPENED).detail == "not confirmed"
    done = outcome_of(OWN, OPENED, Answer(Answered.CONFIRMED, "By two people"))
    assert (done.standing, done.detail) == (Standing.DOCUMENTED, "By two people")
    other = outcome_of(OWN, OPENED, Answer(Answered.NOT_APPLICABLE, "No films"))
    assert (other.standing, other.detail) == (Standing.NOT_APPLICABLE, "No films")
    silent = outcome_of(replace(OWN, applies="firearm"), OPENED)
    assert silent.standing is Standing.NOT_APPLICABLE


def test_what_is_needed_keeps_the_report_until_it_is_left_out_with_a_reason():
    must = replace(shipped()["length"], level=Level.MUST)
    missing = outcome_of(must, OPENED)
    assert missing.blocks
    left = outcome_of(must, OPENED, Answer(Answered.LEFT_OUT, "Burned beyond measuring"))
    assert (left.blocks, left.is_left_out, left.standing) == (False, True, Standing.MISSING)
    assert not outcome_of(shipped()["length"], OPENED).blocks
    assert not outcome_of(must, replace(OPENED, length=True)).blocks
    # What is recorded since needs no answer.
    assert outcome_of(must, replace(OPENED, length=True), Answer(Answered.LEFT_OUT)).answer is None


def test_only_what_is_missing_can_be_answered():
    must = replace(shipped()["length"], level=Level.MUST)
    assert allowed_answers(outcome_of(must, OPENED)) == [
        Answered.NOT_APPLICABLE,
        Answered.LEFT_OUT,
    ]
    assert allowed_answers(outcome_of(shipped()["length"], OPENED)) == [Answered.NOT_APPLICABLE]
    assert allowed_answers(outcome_of(OWN, OPENED)) == [
        Answered.CONFIRMED,
        Answered.NOT_APPLICABLE,
        Answered.LEFT_OUT,
    ]
    assert allowed_answers(Outcome(OWN, Standing.DOCUMENTED)) == []
    assert allowed_answers(Outcome(OWN, Standing.NOT_APPLICABLE)) == []


def test_outcomes_are_counted():
    found = outcomes([OWN, shipped()["length"], shipped()["neck-layers"]], OPENED, {})
    count = counted(found)
    assert (count.missing, count.must, count.documented, count.not_applicable) == (2, 1, 0, 1)
    left = outcomes([OWN], OPENED, {"own-1": Answer(Answered.LEFT_OUT, "x")})
    assert (counted(left).left_out, counted(left).must, counted(left).missing) == (1, 0, 1)
    assert (
        counted(outcomes([shipped()["length"]], replace(OPENED, length=True), {})).documented == 1
    )


@pytest.mark.parametrize(
    ("key", "facts", "standing", "detail"),
    [
        ("organ-weights", replace(OPENED, organs=("brain", "heart", "liver", "spleen",
            "lungs combined", "right kidney")), "missing", "left kidney"),
        ("organ-weights", replace(OPENED, organs=("brain", "heart", "liver", "spleen",
            "right lung", "right kidney", "left kidney")), "missing", "left lung"),
        ("injury-size", replace(OPENED, injuries=tuple(
            Injury(number=n, sized=False) for n in (4, 2))), "missing", "no size: findings 2, 4"),
        ("injury-size", replace(OPENED, injuries=tuple(
            Injury(number=n, sized=False) for n in range(1, 14))), "missing",
            "no size: findings 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12 and more"),
        ("evidence-seal", Facts(items_without_seal=tuple(range(1, 10))), "missing",
            "seal: items 1, 2, 3, 4, 5, 6, 7, 8 and more"),
        ("evidence-collector", Facts(items_without_collector=(3,)), "missing",
            "collector or time: item 3"),
        ("firearm-range", replace(OPENED, injuries=(replace(SHOT, is_exit=True),)),
            "documented", ""),
        ("paths", replace(OPENED, injuries=(replace(SHOT, term="Gunshot wound of exit"),)),
            "does not apply", "No gunshot or stab wound is recorded."),
        ("paths", replace(OPENED, injuries=(replace(STAB, number=7),)), "missing",
            "no path or layer: finding 7"),
        ("paths", replace(OPENED, injuries=(replace(STAB, term="Incised wound"),)),
            "does not apply", "No gunshot or stab wound is recorded."),
        ("radiographs", replace(OPENED, age_years=0.4, manner="undetermined"), "missing",
            "no radiograph or scan named"),
        ("radiographs", replace(OPENED, age_years=0.4, manner="natural"), "does not apply",
            "No firearm, explosion or charring, and no infant whose death is unexplained."),
        ("radiographs", replace(OPENED, age_years=1, manner="undetermined"), "does not apply",
            "No firearm, explosion or charring, and no infant whose death is unexplained."),
        ("radiographs", replace(OPENED, heading="Explosion in a garage",
            internal="Radiographs of the whole body were made."), "documented", ""),
        ("radiographs", replace(OPENED, injuries=(Injury(term="Burn with charring"),)), "missing",
            "no radiograph or scan named"),
        ("no-autopsy", Facts(kind="external", age_years=0.9), "missing", "not recorded"),
        ("no-autopsy", Facts(kind="external", age_years=1), "does not apply",
            "Nothing recorded calls for an autopsy."),
        ("no-autopsy", OPENED, "does not apply", "An autopsy is made."),
        ("no-autopsy", Facts(), "does not apply", "No examination is opened."),
        ("unidentified", replace(OPENED, specimens=(Specimen(purpose="DNA"),)), "documented", ""),
        *(
            ("unidentified", replace(OPENED, identity_tried=("visual", tried)), "documented", "")
            for tried in ("fingerprints", "dental", "dna", "radiograph")
        ),
        ("unidentified", replace(OPENED, identity_tried=("visual", "tattoo or scar", "none")),
            "missing", "fingerprints, dental or DNA comparison, or a DNA specimen"),
        ("identity", Facts(identity="tentative", identity_method="none"), "missing", "the method"),
        ("identity", Facts(), "missing", "no step of identification"),
        ("physical", replace(OPENED, external="Well nourished."), "missing", "hair, eyes"),
        ("known-alive", Facts(), "missing", "last known alive, found by"),
        ("projectiles", replace(OPENED, injuries=(SHOT, replace(SHOT, is_exit=True))),
            "documented", ""),
        ("assault", Facts(kind="external", circumstances="Sexually assaulted, as was told"),
            "missing", "no kit and no swabs"),
        ("clothing", replace(OPENED, injuries=(STAB,), clothing_kept=True), "documented", ""),
        ("clothing", replace(OPENED, manner="undetermined"), "does not apply",
            "Nothing recorded makes the death suspicious."),
        ("clothing", replace(OPENED, manner="undetermined", injuries=(Injury(),)), "missing",
            "not recorded"),
        ("histology", replace(OPENED, manner="pending", slides=True), "documented", ""),
        ("toxicology", Facts(), "does not apply", "No toxicology result is recorded."),
        ("specimens", replace(OPENED, internal="No specimens were taken."), "documented", ""),
        ("specimens", replace(OPENED, specimens=(Specimen(by_office=False),)), "missing", "none"),
        ("certificate-injury", Facts(manner="undetermined"), "does not apply",
            "No injury caused or contributed to the death as it is stated."),
    ],
)  # fmt: skip
def test_what_is_asked_where(key: str, facts: Facts, standing: str, detail: str):
    found = outcome_of(shipped()[key], facts)
    assert (found.standing.value, found.detail) == (standing, detail)


def test_a_conflict_has_the_same_key_while_both_sides_stay_as_they_are():
    one = rules.Alarm("side", "Finding 2: its place says left.", sides=("left thigh", "2.0"))
    assert one.key == replace(one, places=(rules.Place("x", "y"),)).key
    assert one.key != replace(one, sides=("left thigh", "3.0")).key
    assert one.key != replace(one, words="Finding 3: its place says left.").key
    assert one.key.startswith("side:")
    assert len(one.key) <= 80
