"""Which explanations belong to a picture: each rule's two sides, written out by hand."""

from __future__ import annotations

import pytest

from cases.explanations.rules import (
    KEYS,
    FindingAsked,
    PictureAsked,
    explained_here,
    explained_of,
)
from cases.explanations.shipped import shipped
from me_office.statements import COMMON_PRACTICE, Ground, ground_of, statements


def picture(*findings: FindingAsked, view: str = "overview", scale: bool = True, **more):
    """A picture with its findings."""
    return PictureAsked(view=view, with_scale=scale, findings=findings, **more)


def seen(term: str = "Scar", klass: str = "identifying feature", **more):
    """A finding that nothing is explained of, but for what is named."""
    return FindingAsked(klass=klass, term=term, **more)


# Key, a picture to which it belongs, and pictures that differ from it in what matters.
SIDES = [
    ("scale", picture(), [picture(scale=False)]),
    ("no-scale", picture(seen(), scale=False), [picture(seen()), picture(scale=False)]),
    ("views", picture(seen(), view="close-up"), [picture(seen()), picture(view="close-up")]),
    ("views", picture(seen(), view="mid-range"), [picture(seen(), view="identification")]),
    ("covered", picture(covered=True), [picture()]),
    ("lividity", picture(seen("Fixed lividity")), [picture(seen("Livid contusion"))]),
    ("blanching", picture(seen(said="It does not blanch.")), [picture(seen(said="It is pale."))]),
    ("blanching", picture(seen("Blanching")), [picture(seen("Pallor"))]),
    (
        "drying",
        picture(seen("Drying artifact (parchmenting)", "artifact")),
        [picture(seen("Pressure mark", "artifact")), picture(seen("Dried abrasion", "injury"))],
    ),
    ("drying", picture(seen("Tache noire", "postmortem change")), [picture(seen("Tache noire"))]),
    (
        "animals",
        picture(seen("Insect activity", "postmortem change")),
        [picture(seen("Bite mark", "injury")), picture(seen("Marbling", "postmortem change"))],
    ),
    ("animals", picture(seen("Ant bites", "artifact")), [picture(seen("Plant stain", "artifact"))]),
    ("handling", picture(seen("Skin split", "artifact")), [picture(seen("Skin split", "other"))]),
    *(
        (
            "handling",
            picture(seen("Abrasion", "injury", timing=timing)),
            [
                picture(seen("Abrasion", "injury", timing="antemortem")),
                picture(seen("Abrasion", "injury")),
                picture(seen("Lividity", "postmortem change", timing=timing)),
            ],
        )
        for timing in ("postmortem", "perimortem", "undetermined")
    ),
    (
        "treatment",
        picture(seen("Needle puncture", "medical intervention")),
        [picture(seen("Needle puncture", "injury"))],
    ),
    ("beneath", picture(seen(layers_examined=1)), [picture(seen(layers_not_examined=1))]),
    ("not-examined", picture(seen(layers_not_examined=1)), [picture(seen(layers_examined=1))]),
    (
        "undetermined",
        picture(seen(timing="undetermined")),
        [picture(seen(timing="perimortem")), picture(seen())],
    ),
    (
        "count",
        picture(seen("Contusion", "injury")),
        [picture(seen("Contusion", "artifact")), picture(seen("Stab wound", "injury"))],
    ),
    (
        "count",
        picture(seen("Stab wound", "injury", impacts_kind="at least")),
        [picture(seen("Stab wound", "injury", impacts_kind="exactly"))],
    ),
    (
        "count",
        picture(seen("Fracture", "injury", mechanism="Blunt force")),
        [picture(seen("Contusion", "injury", mechanism="Firearm"))],
    ),
    (
        "color",
        picture(seen("Bruise", "injury")),
        [picture(seen("Bruise", "artifact")), picture(seen("Abrasion", "injury"))],
    ),
    (
        "consistent",
        picture(seen(strengths=frozenset({"consistent with"}))),
        [picture(seen(strengths=frozenset({"excluded", "not excluded"})))],
    ),
]


@pytest.mark.parametrize(("key", "belongs", "others"), SIDES)
def test_an_explanation_belongs_where_it_is_asked_and_nowhere_else(key, belongs, others):
    assert key in explained_here(belongs)
    for other in others:
        assert key not in explained_here(other)


def test_every_explanation_has_a_rule_with_two_sides_and_every_rule_a_text():
    assert tuple(shipped()) == KEYS
    assert {key for key, _, _ in SIDES} == set(KEYS)


def test_several_findings_are_explained_once_in_the_order_of_the_list():
    bruise = seen("Contusion", "injury", layers_examined=2)
    lividity = seen("Lividity", "postmortem change")
    assert explained_of([bruise, bruise, lividity]) == ("lividity", "beneath", "count", "color")
    shown = picture(bruise, lividity, view="close-up", scale=False)
    assert explained_here(shown)[:3] == ("no-scale", "views", "lividity")
    assert explained_here(picture(scale=False)) == ()


def test_each_text_is_registered_with_its_source_and_is_no_surer_than_that():
    listed = {one.key: one for one in statements() if one.key.startswith("explanation.")}
    assert set(listed) == {f"explanation.{key}" for key in KEYS}
    for key, text in shipped().items():
        said = listed[f"explanation.{key}"]
        assert text.question.endswith("?") and text.words.endswith("."), key
        assert text.words in said.text and said.source == text.source, key
        assert ground_of(said) is not Ground.MEMORY, key
        assert len(text.words) <= 420, f"{key} is too long to be said aloud"
        assert not {"always", "never", "proves", "certainly"} & set(text.words.split()), key
    assert shipped()["scale"].source == COMMON_PRACTICE
    assert "Langlois" in shipped()["color"].source
