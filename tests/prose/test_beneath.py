"""Layers beneath a finding in sentences: each recorded layer is said, examined or not."""

from __future__ import annotations

import pytest

from findings.prose.beneath import LayerSeen, layers_sentences

SKIN = LayerSeen("skin", True, "not broken")


@pytest.mark.parametrize(
    ("layer", "found", "said"),
    [
        ("subcutaneous tissue", "no hemorrhage",
         "Beneath it, there is no hemorrhage in the subcutaneous tissue."),
        ("muscle", "No tears.", "Beneath it, there are no tears in the muscle."),
        ("muscle", "no hemorrhage in it", "Beneath it, there is no hemorrhage in the muscle."),
        ("brain", "no injury seen", "Beneath it, no injury is seen in the brain."),
        ("muscle", "no tears found", "Beneath it, no tears are found in the muscle."),
        ("subgaleal space", "hemorrhage, 7 × 5 cm",
         "Beneath it, the subgaleal space shows hemorrhage over 7 × 5 cm."),
        ("epidural space", "60 mL of blood",
         "Beneath it, the epidural space holds 60 mL of blood."),
        ("skull", "hairline fracture, 4 cm",
         "Beneath it, the skull shows a hairline fracture 4 cm long."),
        ("muscle", "hemorrhage, intercostals 5 to 7",
         "Beneath it, the muscle shows hemorrhage, intercostals 5 to 7."),
        ("galea", "split, 1.5 cm", "Beneath it, the galea is split over 1.5 cm."),
        ("muscle", "none", "Beneath it, nothing was found in the muscle."),
        ("muscle", "two spaces are bloody", "Beneath it, in the muscle, two spaces are bloody."),
        ("muscle", "bleeds on pressure", "Beneath it, the muscle bleeds on pressure."),
        # The bone is named by its own name; any other layer is always said.
        ("bone", "ribs 5 to 8 broken, see finding 5",
         "Beneath it, ribs 5 to 8 are broken, see finding 5."),
        ("bone", "edges blood-stained", "Beneath it, in the bone, the edges are blood-stained."),
        ("organ", "outer coat torn", "Beneath it, in the organ, the outer coat is torn."),
        ("muscle", "glimbly", "Beneath it, the muscle was described as “glimbly”."),
    ],
)  # fmt: skip
def test_what_was_found_in_a_layer(layer, found, said):
    told = layers_sentences([SKIN, LayerSeen(layer, True, found)])
    assert told == f"The skin is not broken. {said}"


def test_layers_of_one_state_are_told_together_and_the_unexamined_last():
    rows = [
        SKIN,
        LayerSeen("subcutaneous tissue", True, "no hemorrhage"),
        LayerSeen("muscle", True, "no hemorrhage."),
        LayerSeen("periosteum", False),
        LayerSeen("bone", False, ""),
        LayerSeen("pleura", False, "embalmed."),
    ]
    assert layers_sentences(rows, many=True) == (
        "The skin is not broken. Beneath them, there is no hemorrhage in the subcutaneous tissue "
        "or the muscle. The periosteum and the bone were not examined. The pleura was not examined "
        "(embalmed)."
    )
    same = [LayerSeen("galea", True, "torn"), LayerSeen("periosteum", True, "torn")]
    assert layers_sentences(same) == "The galea and the periosteum are torn."
    assert layers_sentences([]) == ""


def test_only_what_lies_under_the_skin_lies_beneath():
    rows = [LayerSeen("periosteum", True, "hemorrhage"), LayerSeen("bone", True, "broken")]
    assert layers_sentences(rows) == "The periosteum shows hemorrhage. The bone is broken."
    assert layers_sentences([LayerSeen("skin", False), rows[1]]) == (
        "The bone is broken. The skin was not examined."
    )
