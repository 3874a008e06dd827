"""When a finding came about and what it may mean, in sentences that are never too sure."""

from __future__ import annotations

import pytest

from findings.prose.meaning import Meant, grounds, is_no_injury, meaning_paragraph
from findings.rules import FindingClass, Timing
from findings.words.terms import TERMS


@pytest.mark.parametrize(
    ("klass", "term", "timing", "said"),
    [
        ("injury", "Contusion", "antemortem", "The contusion was sustained before death."),
        ("injury", "Contusion, fingertip-type", "healed",
         "The contusion was sustained well before death, with healing (remote)."),
        ("injury", "Rib fractures", "perimortem",
         "The rib fractures were sustained about the time of death."),
        ("injury", "Fracture", "fresh bone",
         "The fracture was sustained while the bone was fresh, before or after death."),
        ("injury", "Abrasion", "postmortem", "The abrasion was sustained after death."),
        ("injury", "Burn, superficial", "undetermined",
         "Whether the burn was sustained before or after death cannot be said."),
        ("natural disease", "Ulcer", "antemortem", "The ulcer arose before death."),
        ("artifact", "Skin split", "undetermined",
         "Whether the skin split arose before or after death cannot be said."),
        ("medical intervention", "Needle puncture", "postmortem",
         "The needle puncture was made after death."),
        ("medical intervention", "Electrode pads", "postmortem",
         "The electrode pads were placed after death."),
        ("medical intervention", "Thoracotomy", "perimortem",
         "The thoracotomy was made about the time of death."),
        ("injury", "Contusion", "", ""),
    ],
)  # fmt: skip
def test_when_a_finding_came_about(klass, term, timing, said):
    assert meaning_paragraph(klass, term, timing, "", []) == said


def test_every_time_that_can_be_recorded_can_be_said():
    for timing in Timing:
        said = meaning_paragraph("injury", "Contusion", timing, "swelling", [])
        assert said.endswith(", judging by swelling.")
        assert timing.words.split(",")[0] in said or timing == Timing.UNDETERMINED


@pytest.mark.parametrize(
    ("ground", "said"),
    [
        ("", ""),
        (" . ", ""),
        ("Swelling and hemorrhage.", ", judging by swelling and hemorrhage"),
        ("red margin", ", judging by a red margin"),
        ("tissue bridges, dust", ", judging by tissue bridges and dust"),
        ("no hemorrhage in it", ", as there is no hemorrhage in it"),
        ("no tears", ", as there are no tears"),
        ("No hemorrhage; he was stiff when treatment began",
         ", as there is no hemorrhage and he was stiff when treatment began"),
        ("edges dry", ", as the edges are dry"),
        # Of two kinds, or not to be read: as it was written, in brackets.
        ("two zones; the record has the turning at 07:32",
         " (two zones; the record has the turning at 07:32)"),
        ("cut into: no blood in the tissue", " (cut into: no blood in the tissue)"),
        ("curbs at glimbly, worble", " (curbs at glimbly, worble)"),
    ],
)  # fmt: skip
def test_a_ground_follows_its_statement(ground, said):
    assert grounds(ground) == said


def test_what_fits_comes_first_and_nothing_is_made_surer_than_it_was():
    said = meaning_paragraph(
        "injury",
        "Contusion",
        "antemortem",
        "swelling",
        [
            Meant("Resuscitation", "excluded", "it lies at the side", "certain"),
            Meant("A blow with a ridged object.", "not excluded", "", "possible"),
            Meant("A fall against a ladder", "consistent with", "paired bands", "Probable"),
            Meant("a kick", "consistent with", "glimbly", "fairly sure"),
            Meant("The person was moved", "not excluded"),
        ],
    )
    assert said == (
        "The contusion was sustained before death, judging by swelling. It is consistent with a "
        "fall against a ladder, which is probable, judging by paired bands. It is also consistent "
        "with a kick (fairly sure) (glimbly). A blow with a ridged object cannot be excluded "
        "(possible). It cannot be excluded that the person was moved. Resuscitation can be "
        "excluded (certain), as it lies at the side."
    )
    alone = meaning_paragraph("other", "Soot", "", "", [Meant("smoke", "consistent with")])
    assert alone == "The soot is consistent with smoke."
    both = meaning_paragraph("injury", "Fractures", "", "", [Meant("a fall", "consistent with")])
    assert both == "The fractures are consistent with a fall."
    in_one = meaning_paragraph(
        "injury", "Scar", "", "", [Meant("a burn", "not excluded", "cut into: dry", "possible")]
    )
    assert in_one == "A burn cannot be excluded (possible; cut into: dry)."


# Written out a second time: which terms of the class are changes and no injury by what they are.
NO_INJURY = """
Lividity, Rigor, Drying artifact (parchmenting), Tache noire, Green discoloration, Marbling, Skin
slippage, Bloating, Purge fluid, Mummification, Adipocere, Immersion change of hands or feet,
Maceration
"""


def test_only_what_is_no_injury_is_called_none():
    named = {" ".join(one.split()) for one in NO_INJURY.split(",")}
    change = FindingClass.POSTMORTEM_CHANGE
    assert {one for one in TERMS[change] if is_no_injury(change, one, "")} == named
    assert {one for one in TERMS[change] if is_no_injury(change, one, "postmortem")} == named
    for timing in set(Timing) - {Timing.POSTMORTEM}:
        assert not is_no_injury(change, "Lividity", timing)
    for klass in set(FindingClass) - {change}:
        assert not is_no_injury(klass, "Drying artifact (parchmenting)", "")
    assert meaning_paragraph(change, "Lividity", "postmortem", "no swelling", []) == (
        "The lividity arose after death, as there is no swelling. It is a change after death, not "
        "an injury."
    )
