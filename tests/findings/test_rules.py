"""Checking marks, times, layers, words."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cases.rules.lividity import SceneLividity
from findings.chart.placing import middle
from findings.postmortem.lividity import is_lividity, lividity_caution
from findings.questions import negatives
from findings.rules import Timing, impacts_words, wrong_with_points, wrong_with_times
from findings.words.layers import LAYER_WORDS, Layer, next_layer, usual_layers
from findings.words.sentences import article, is_plural, share_words
from findings.words.vocabulary import (
    COLOR_CAUTION,
    YELLOW_CAUTION,
    bruise_caution,
    color_first,
    names_a_color,
)


def test_a_count_is_said_with_how_it_is_meant():
    assert impacts_words("at least", 2) == "at least 2"
    assert impacts_words("cannot be determined", None) == "cannot be determined"
    assert impacts_words("", None) == ""


@pytest.mark.parametrize(
    ("kind", "fewest", "most"),
    [("point", 1, 1), ("line", 2, 400), ("area", 3, 400), ("paired", 1, 1), ("pattern", 3, 400)],
)
def test_each_kind_of_mark_has_its_fewest_and_its_most_points(kind, fewest, most):
    for count in range(5):
        said = wrong_with_points(kind, [[0.1, 0.2]] * count)
        assert (said is None) == (fewest <= count <= most), (kind, count)
    for count in (400, 401):
        said = wrong_with_points(kind, [[0.1, 0.2]] * count)
        assert (said is None) == (count <= most), (kind, count)


@given(st.text(max_size=5), st.recursive(st.floats() | st.none(), st.lists, max_leaves=6))
def test_anything_a_client_sends_as_points_gets_an_answer(kind, points):
    said = wrong_with_points(kind, points)
    assert said is None or said.endswith(".")


def test_times_of_an_examination():
    now = datetime(2026, 11, 14, 12, tzinfo=UTC)
    hour = timedelta(hours=1)
    assert wrong_with_times(began_at=now - hour, ended_at=now, now=now) is None
    assert wrong_with_times(began_at=now + hour, ended_at=None, now=now)[0] == "began_at"
    assert wrong_with_times(began_at=now - hour, ended_at=now + hour, now=now)[0] == "ended_at"


def test_the_middle_of_a_mark():
    square = [(0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (0.0, 4.0)]
    assert middle("point", [(3.0, 4.0)]) == (3.0, 4.0)
    assert middle("line", [(0.0, 0.0), (0.0, 6.0), (2.0, 6.0)]) == (0.0, 4.0)
    assert middle("area", square) == (2.0, 2.0)
    assert middle("area", [(1.0, 1.0)] * 3) == (1.0, 1.0)


def test_a_share_that_rounds_to_nothing_is_said_to_be_small():
    assert [share_words(one) for one in (0.8, 0.05, 0.04, 0)] == [
        "0.8 %",
        "0.1 %",
        "under 0.1 %",
        "under 0.1 %",
    ]


@pytest.mark.parametrize(
    ("words", "expected"),
    [("8.0 cm", "an"), ("11.0 cm", "an"), ("18.5 cm", "an"), ("80.1 cm", "an"), ("1.8 cm", "a")],
)
def test_the_article_follows_the_number_as_it_is_read_aloud(words, expected):
    assert article(words) == expected


def test_plurals_of_the_trade():
    assert is_plural("Fractures") and is_plural("Petechiae") and is_plural("Electrode pads")
    assert not is_plural("Abscess") and not is_plural("Cyanosis") and not is_plural("Callus")


def test_a_leading_color_is_told_from_the_rest():
    assert color_first("Purple-red, ill-defined edge") == ("purple-red", "ill-defined edge")
    assert color_first("Ill-defined, purple") == ("", "Ill-defined, purple")
    assert names_a_color("edge with a bluish tinge") and not names_a_color("four bands")


def test_a_statement_is_added_at_the_end_of_its_section():
    statement = negatives.STATEMENTS["cavities-pleura"]
    written = negatives.added(statement, "")
    assert written == "The pleural cavities contain no abnormal fluid."
    assert negatives.is_stated(statement, f"Dry. {written}")
    assert negatives.added(statement, "Dry.").startswith("Dry. The pleural")


def test_layers_are_offered_in_the_order_of_dissection():
    assert next_layer([]) == "skin"
    assert next_layer(["skin", "muscle"]) == "subcutis"
    assert next_layer(["skin", "subcutis"], region="occipital_scalp_l") == "galea"
    assert next_layer(["skin", "subcutis", "muscle", "periosteum", "bone"]) == ""


# From the skin inward (common anatomy): the scalp's five layers, then bone, meninges and spaces.
SCALP = (
    "skin, subcutaneous tissue, galea, subgaleal space, periosteum, skull, epidural space, dura, "
    "subdural space, arachnoid, subarachnoid space, brain"
)


@pytest.mark.parametrize(
    ("region", "layers"),
    [
        ("parietal_scalp_l", SCALP),
        ("occipital_scalp_r", SCALP),
        ("frontal_scalp", SCALP),
        ("temporal_scalp_r", SCALP.replace("galea,", "galea, temporalis muscle,")),
        ("forehead", SCALP.replace("galea, subgaleal space", "muscle")),
        ("ear_l", "skin, subcutaneous tissue, periosteum, skull"),
        ("cheek_l", "skin, subcutaneous tissue, muscle, periosteum, bone"),
        ("thigh_anterior_l", "skin, subcutaneous tissue, muscle, periosteum, bone"),
        ("", "skin, subcutaneous tissue, muscle, periosteum, bone"),
    ],
)
def test_each_region_has_its_layers_in_order_under_report_words(region, layers):
    usual = usual_layers(region)
    assert ", ".join(LAYER_WORDS[layer] for layer in usual) == layers
    assert list(usual) == sorted(usual, key=list(Layer).index)
    offered = []
    while following := next_layer(offered, region=region):
        offered.append(following)
    assert offered == [layer.value for layer in usual]


@pytest.mark.parametrize(
    ("klass", "term", "seen", "said"),
    [
        ("injury", "Contusion", "Purple-red", COLOR_CAUTION),
        ("injury", "Contusion", "Purple with a yellow rim", YELLOW_CAUTION),
        ("injury", "Subcutaneous bruise", "Yellowish", YELLOW_CAUTION),
        ("injury", "Contusion", "Ill-defined", ""),
        ("injury", "Abrasion", "Red", ""),
        ("postmortem change", "Lividity", "Violet", ""),
        ("natural disease", "Ecchymosis", "Purple", ""),
    ],
)
def test_color_allows_one_thing_and_of_a_bruise_only(klass, term, seen, said):
    # Yellow not before about 18 hours: Langlois and Gresham, Forensic Sci Int 1991;50:227-238.
    assert bruise_caution(klass, term, seen) == said
    assert "18 hours" in COLOR_CAUTION and "18 hours" in YELLOW_CAUTION


def test_both_meanings_of_perimortem_and_healed_are_told_apart():
    assert Timing.PERIMORTEM.words == "about the time of death"
    assert Timing.FRESH_BONE.words == "while the bone was fresh, before or after death"
    assert Timing.HEALED.words == "well before death, with healing (remote)"
    assert all(one.words for one in Timing)


@pytest.mark.parametrize(
    ("position", "where", "seen_as", "said"),
    [
        ("supine", "Back, spares shoulder blades", "Fixed", ""),
        ("", "Chest", "Fixed", ""),
        ("supine", "Everywhere", "Fixed", ""),
        ("supine", "Chest", "Cannot be judged, dark skin", ""),
        ("supine", "Chest", "Fixed", "Recorded as fixed"),
        ("supine", "Chest", "Blanches on pressure", "It blanched: it could"),
        ("supine", "Chest", "Not fixed", "It blanched: it could"),
        ("supine", "Chest", "Blanches in part", "It blanched in part"),
        ("supine", "Chest", "", "Whether it blanched is not recorded"),
    ],
)
def test_lividity_is_compared_with_the_position_found(position, where, seen_as, said):
    caution = lividity_caution(SceneLividity(position), where, seen_as)
    assert said in caution and bool(caution) == bool(said)
    # A question to the pathologist, whatever it says.
    assert not caution or caution.endswith("never a conclusion.")


def test_lividity_is_told_by_its_term():
    assert is_lividity("Lividity ") and not is_lividity("Contusion")
