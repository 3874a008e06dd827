"""Lividity against the position found: what is silent and what asks.

Sources: L = Levy AD, Harcke HT, Essentials of Forensic Imaging, chapter 3 (excerpt seen): the
supine body; C = common practice: the lowest parts in the other positions, and reading a
disagreement as a reason to ask.
"""

from __future__ import annotations

import pytest

from cases.lividity_rules import (
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
    ("semi-prone", "back", "the back", "C"),
    ("left side", "right side of trunk", "the right side", "C"),
    ("right side", "Back and buttocks", "the back", "C"),
    ("right side", "chest", "the front of the trunk", "C"),
    ("left side", "back", "the back", "C"),
    ("sitting", "back", "the back", "C"),
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
        f"{POSITION_WORDS[position]}. Was the body moved before anybody came?"
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
    assert "Recorded of moving it: not moved. Ask again who touched the body." in unmoved
    assert "EMS turned" in scene_question(SceneLividity("prone", "back", "", "EMS turned her"))


@pytest.mark.parametrize(
    ("blanching", "said"),
    [
        ("fixed", "Recorded as fixed: such lividity stays where it was when a body is moved."),
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
    assert "about 1 hours" in examination_question(SceneLividity("supine", hours=1.0), "chest")


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
    assert "it marks a surface" in spared_question("supine", "front of the trunk")
    assert spared_question("supine", "back of the trunk") == ""
    assert spared_question("sitting", "back of the trunk") == ""
