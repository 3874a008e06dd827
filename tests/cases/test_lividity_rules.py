"""Lividity against the position found: what is silent and what asks.

Sources: L = Levy AD, Harcke HT, Essentials of Forensic Imaging, chapter 3 (excerpt seen): the
supine body; C = common practice: the lowest parts in the other positions, and reading a
disagreement as a reason to ask.
"""

from __future__ import annotations

import pytest

from cases.rules import lividity as lividity_rules
from cases.rules.lividity import (
    ASKS,
    EXPECTED,
    NEVER,
    POSITION_WORDS,
    SceneLividity,
    examination_question,
    scene_question,
    sides_named,
    spared_question,
)
from me_office import statements

SILENT = [
    ("supine", "back, spares shoulder blades", "L"),
    ("supine", "posterior, none on the chest", "L"),
    ("supine", "faint", "C"),
    ("supine", "", "C"),
    ("supine", "left calf", "C"),
    ("supine", "left lateral chest wall", "C"),
    ("supine", "right flank", "C"),
    ("supine", "backs of arms and legs", "L"),
    ("prone", "face and chest", "C"),
    ("prone", "left hand", "C"),
    ("prone", "back of the left hand", "C"),
    ("prone", "abdomen and fronts of the thighs", "C"),
    ("semi-prone", "front and right side", "C"),
    ("left side", "left side of trunk and limbs", "C"),
    ("left side", "left side, back of the trunk on the left", "C"),
    ("right side", "right side of head, trunk and limbs", "C"),
    ("hanging", "left lower leg", "C"),
    ("hanging", "back of both lower legs", "C"),
    ("hanging", "lower legs, feet, hands and genitals", "C"),
    ("hanging", "abdomen below the waistband", "C"),
    ("partly suspended", "legs and feet; front of the trunk", "C"),
    ("sitting", "left and right feet", "C"),
    ("sitting", "buttocks", "C"),
    ("sitting", "lower legs, buttocks and backs of thighs", "C"),
    ("sitting", "lower back and buttocks", "C"),
    ("hanging", "low back, buttocks and legs", "C"),
    ("partly suspended", "lumbar region of the back", "C"),
    ("seated leaning", "left side of the trunk", "C"),
    ("crouched", "lower legs, chest", "C"),
    ("kneeling", "shins and feet", "C"),
    ("head down", "face, neck and upper chest", "C"),
    ("in water", "face and chest", "C"),
    ("in a vehicle", "back and legs", "C"),
    ("", "front of the trunk", "C"),
    ("other", "front of the trunk", "C"),
]
ASKED = [
    ("supine", "face, chest and abdomen", "the front of the trunk and the abdomen", "L"),
    ("supine", "front of the trunk", "the front of the trunk", "L"),
    ("supine", "left side of the trunk", "the left side", "C"),
    ("prone", "back and buttocks", "the back", "C"),
    ("prone", "upper back", "the back", "C"),
    ("prone", "lower back", "the back", "C"),
    ("semi-prone", "back", "the back", "C"),
    ("left side", "right side of trunk", "the right side", "C"),
    ("right side", "Back and buttocks", "the back", "C"),
    ("right side", "chest", "the front of the trunk", "C"),
    ("left side", "back", "the back", "C"),
    ("sitting", "back", "the back", "C"),
    ("sitting", "upper back", "the back", "C"),
    ("sitting", "upper and lower back", "the back", "C"),
    ("sitting", "chest", "the front of the trunk", "C"),
    ("hanging", "back", "the back", "C"),
    ("hanging", "back of the trunk", "the back", "C"),
    ("partly suspended", "back", "the back", "C"),
    ("kneeling", "back", "the back", "C"),
    ("crouched", "back", "the back", "C"),
    ("head down", "abdomen", "the abdomen", "C"),
]


@pytest.mark.parametrize(("position", "where", "source"), SILENT)
def test_lividity_that_can_be_says_nothing(position, where, source):
    for blanching in ("", "fixed", "blanches"):
        assert scene_question(SceneLividity(position, where, blanching)) == ""


@pytest.mark.parametrize(("position", "where", "shown", "source"), ASKED)
def test_lividity_of_the_trunk_elsewhere_is_asked_about(position, where, shown, source):
    asked = scene_question(SceneLividity(position, where, "fixed"))
    assert asked.startswith(
        f"The pattern does not go with the position found: lividity on {shown}, body "
        f"{POSITION_WORDS[position]}. Was the body moved before anyone arrived?"
    )
    assert asked.endswith(NEVER)
    assert "probably" not in asked
    # What could not be judged or seen is never compared.
    assert scene_question(SceneLividity(position, where, "cannot be judged")) == ""


def test_what_fits_a_position_never_asks_there():
    assert set(EXPECTED) == set(ASKS) == set(POSITION_WORDS)
    for position in ASKS:
        assert not ASKS[position] & EXPECTED[position]


def test_two_patterns_are_said_to_be_two():
    asked = scene_question(SceneLividity("supine", "back and front of trunk"))
    assert asked.startswith(
        "Lividity on the front of the trunk as well as the back of a body found on the back: two "
        "patterns can mean that it was turned while lividity could still shift."
    )


def test_a_recorded_turn_stands_in_the_question():
    # The body found on its right side and turned on its back by helpers.
    asked = scene_question(
        SceneLividity(
            "right side",
            "Back and buttocks",
            "partly",
            "Turned on his back by the ambulance crew, then left as he was",
        )
    )
    assert asked == (
        "The pattern does not go with the position found: lividity on the back, body on the right "
        "side. Recorded: turned on his back by the ambulance crew, then left as he was. Does that "
        "explain it, and at what hour was it? It blanched in part: a part of it could still shift. "
        + NEVER
    )
    unmoved = scene_question(SceneLividity("prone", "back", "", "Not moved"))
    assert "Recorded about moving it: not moved. Ask again who touched the body." in unmoved
    assert "EMS turned" in scene_question(SceneLividity("prone", "back", "", "EMS turned her"))


@pytest.mark.parametrize(
    ("blanching", "said"),
    [
        (
            "fixed",
            "Recorded as fixed: such lividity mostly stays where it was when a body is moved.",
        ),
        ("blanches", "It blanched: it could still shift."),
        ("partly", "It blanched in part: a part of it could still shift."),
        ("not tested", "Whether it blanched is not recorded."),
        ("", "Whether it blanched is not recorded."),
    ],
)
def test_blanching_changes_the_sentence(blanching, said):
    assert said in scene_question(SceneLividity("prone", "back", blanching))


def test_the_scene_is_compared_before_the_examination():
    fits = SceneLividity("supine", "back", "blanches", hours=20)
    assert examination_question(fits, "front of the trunk", "fixed") == ""
    asks = SceneLividity("right side", "back", "partly", "Turned on his back", hours=20)
    asked = examination_question(asks, "right side of the trunk", "fixed")
    assert asked.startswith("At the scene: The pattern does not go with the position found")
    assert asked.endswith(
        "Lividity at the examination, about 20 hours later and commonly after storage on the back, "
        "says little."
    )


def test_without_the_scenes_lividity_the_back_is_not_asked_about_after_storage():
    nothing = SceneLividity("prone", "", "", hours=20)
    assert examination_question(nothing, "back of the trunk", "fixed") == ""
    asked = examination_question(SceneLividity("supine"), "chest", "fixed")
    assert asked.startswith("At the examination: The pattern does not go with the position found")
    assert "hours" not in asked.replace("at what hour", "")
    assert examination_question(SceneLividity("supine"), "chest", "cannot be judged") == ""
    unjudged = SceneLividity("supine", "", "cannot be judged")
    assert examination_question(unjudged, "chest", "") == ""
    assert "0 hours" not in examination_question(SceneLividity("supine", hours=0.9), "chest")
    for hours, said in ((1.0, "1 hour later"), (1.4, "1 hour later"), (2.0, "2 hours later")):
        assert f"about {said}" in examination_question(
            SceneLividity("supine", hours=hours), "chest"
        )


def test_a_scene_that_names_no_side_leaves_the_examination_to_be_compared():
    assert examination_question(SceneLividity("supine", "faint"), "chest", "fixed")
    assert examination_question(SceneLividity("supine", "back"), "chest", "fixed") == ""


def test_what_is_denied_or_of_a_limb_names_nothing():
    assert sides_named("back of trunk, none on the face") == {"back"}
    assert sides_named("left calf") == set()
    assert sides_named("backs of both thighs") == set()
    assert sides_named("chest with the left arm") == {"front"}
    assert sides_named("Backpack strap") == set()


def test_pressure_pale_skin_on_a_side_not_lain_on_is_asked_about():
    assert "such as a surface, clothing" in spared_question("supine", "front of the trunk")
    assert spared_question("supine", "back of the trunk") == ""
    assert spared_question("sitting", "back of the trunk") == ""


def test_a_sentence_is_registered_with_its_place_and_its_source(monkeypatch):
    # Such code ran before a test began; only calling it again tells whether it is right.
    monkeypatch.setattr(statements, "_KNOWN", {})
    said = lividity_rules._says("any", "Words.")
    assert said == statements.statement_of("lividity.any")
    assert (said.text, said.where) == ("Words.", "Scene and examination, lividity")
    assert said.source == lividity_rules._LOWEST


@pytest.mark.parametrize(
    ("words", "sides"),
    [
        ("none on the chest, back", {"back"}),
        ("back but pale chest", {"back"}),
        ("back and pale chest", {"back"}),
        ("back with pale chest", {"back"}),
        ("back; not the chest. Belly", {"back", "abdomen"}),
        ("left calf, back", {"back"}),
        ("back of the left hand, chest", {"front"}),
        ("back of both hands, left side", {"left side"}),
        ("LEFT HALF and RIGHT TRUNK", {"left side", "right side"}),
    ],
)
def test_a_clause_that_says_nothing_does_not_end_the_description(words, sides):
    assert sides_named(words) == sides


@pytest.mark.parametrize(
    ("moved", "said"),
    [
        (" Turned by the crew. ", "Recorded: turned by the crew. Does that explain it"),
        ("Carried to room X.", "Recorded: carried to room X. Does that explain it"),
        ("MDs turned him", "Recorded: MDs turned him. Does that explain it"),
        ("EMS turned him", "Recorded: EMS turned him. Does that explain it"),
        ("I turned him", "Recorded: I turned him. Does that explain it"),
        ("A neighbor did", "Recorded: a neighbor did. Does that explain it"),
        (".5 m pulled", "Recorded: .5 m pulled. Does that explain it"),
        ("Nobody.", "Recorded about moving it: nobody. Ask again who touched the body."),
        ("  ", "Was the body moved before anyone arrived?"),
    ],
)
def test_what_is_recorded_of_moving_the_body_is_said_as_written(moved, said):
    assert f" {said}" in scene_question(SceneLividity("prone", "back", "", moved))


def test_the_whole_question_of_an_examination_without_the_scenes_lividity():
    found = SceneLividity("supine", "", "", "Turned by the crew")
    pattern = (
        "At the examination: The pattern does not go with the position found: lividity on the "
        "front of the trunk, body on the back. Recorded: turned by the crew. Does that explain it, "
        "and at what hour was it? "
    )
    assert examination_question(found, "chest", "blanches partly") == (
        f"{pattern}It blanched in part: a part of it could still shift. {NEVER}"
    )
    later = SceneLividity("supine", "", "", "Turned by the crew", hours=5)
    assert examination_question(later, "chest") == (
        f"{pattern}Whether it blanched is not recorded. Lividity at the examination, about 5 hours "
        f"later and commonly after storage on the back, says little. {NEVER}"
    )


def test_the_whole_question_of_skin_spared_by_pressure():
    assert spared_question("right side", "back of the trunk, left side") == (
        "Pressure-spared skin on the back and the left side does not go with a body found on the "
        "right side: something pressed there at some time, such as a surface, clothing or a strap. "
        f"{NEVER}"
    )
