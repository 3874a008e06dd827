"""Checking marks, and the standard sentence."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cases.rules.lividity import SceneLividity
from findings.chart.placing import middle
from findings.postmortem.lividity import is_lividity, lividity_caution
from findings.questions import negatives
from findings.rules import (
    TIMING_WORDS,
    Timing,
    impacts_words,
    timing_sentence,
    wrong_with_points,
    wrong_with_times,
)
from findings.words.layers import LAYER_WORDS, Layer, next_layer, usual_layers
from findings.words.sentences import (
    Facts,
    article,
    is_plural,
    layers_sentence,
    share_words,
    standard_sentence,
)
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


def test_the_standard_sentence():
    said = standard_sentence(
        Facts(
            term="Contusion",
            place="Right lateral chest wall",
            above_heel_cm=121.4,
            from_midline_cm=-14.2,
            midline="anterior",
            length_mm=110,
            width_mm=65,
            seen_as="Purple-red",
        )
    )
    assert said == (
        "On the right lateral chest wall, centered 121.4 cm above the heel and 14.2 cm right of "
        "the anterior midline, is an 11.0 × 6.5 cm purple-red contusion."
    )


def test_a_share_that_rounds_to_nothing_is_said_to_be_small():
    assert [share_words(one) for one in (0.8, 0.05, 0.04, 0)] == [
        "0.8 %",
        "0.1 %",
        "under 0.1 %",
        "under 0.1 %",
    ]


@pytest.mark.parametrize(
    ("facts", "said"),
    [
        (Facts(term=""), ""),
        (Facts(term="Scar"), "There is a scar."),
        (Facts(term="Lividity", place="Back"), "On the back is lividity."),
        (
            Facts(term="Fractures", place="Right ribs 5 to 8", seen_as="Lateral, displaced"),
            "On the right ribs 5 to 8 are fractures. Also seen: lateral, displaced.",
        ),
        (
            Facts(term="Stab wound", length_mm=21, depth_mm=84),
            "There is a 2.1 cm stab wound, 8.4 cm deep.",
        ),
        (
            Facts(term="Hemorrhage", length_mm=90, width_mm=60),
            "There is a 9.0 × 6.0 cm hemorrhage.",
        ),
        (
            Facts(term="Abrasion", place="Both wrists", above_heel_cm=93, places=2),
            "On both wrists, the first of 2 marks centered 93.0 cm above the heel, is an abrasion.",
        ),
        (
            Facts(term="Abrasion", from_midline_cm=0, midline="posterior"),
            "Centered in the posterior midline is an abrasion.",
        ),
        (
            Facts(
                term="Gunshot wound of entrance",
                place="Midline of the upper abdomen (epigastric region)",
                above_heel_cm=114.57,
                from_midline_cm=0,
                midline="anterior",
                tapped_cm=171,
            ),
            "In the midline of the upper abdomen (epigastric region), centered about 115 cm above "
            "the heel, is a gunshot wound of entrance.",
        ),
        (
            Facts(
                term="Scar",
                place="Left cheek",
                above_heel_cm=154.4,
                from_midline_cm=3.6,
                midline="anterior",
                tapped_cm=100,
            ),
            "On the left cheek, centered about 154 cm above the heel and about 4 cm left of the "
            "anterior midline, is a scar.",
        ),
        (
            Facts(
                term="Scar",
                place="Gluteal cleft",
                above_heel_cm=28.31,
                from_midline_cm=0,
                midline="posterior",
                tapped_cm=99.9,
            ),
            "In the gluteal cleft, centered about 28.5 cm above the heel and in the posterior "
            "midline, is a scar.",
        ),
    ],
)
def test_the_sentence_with_less_to_say(facts, said):
    assert standard_sentence(facts) == said


@pytest.mark.parametrize(
    ("seen", "said"),
    [
        (
            {
                "colour": "Purple-red",
                "shape": "Oval",
                "margins": "Ill-defined",
                "pattern": "Two parallel bands.",
                "vital_reaction": "Red rim of 2 mm",
            },
            "There is a purple-red contusion. Shape: oval. Margins: ill-defined. Pattern: two "
            "parallel bands. Vital reaction: red rim of 2 mm.",
        ),
        (
            {"colour": "Blue", "seen_as": "Blue, firm"},
            "There is a blue contusion. Also seen: firm.",
        ),
        (
            {"colour": "Blue", "seen_as": "Purple, firm"},
            "There is a blue contusion. Also seen: purple, firm.",
        ),
        ({"colour": "Like slate"}, "There is a contusion. Color: like slate."),
        ({"seen_as": "Blue, firm"}, "There is a blue contusion. Also seen: firm."),
    ],
)
def test_the_sentence_names_what_was_seen_part_by_part(seen, said):
    assert standard_sentence(Facts(term="Contusion", **seen)) == said


@pytest.mark.parametrize(
    ("words", "expected"),
    [("8.0 cm", "an"), ("11.0 cm", "an"), ("18.5 cm", "an"), ("80.1 cm", "an"), ("1.8 cm", "a")],
)
def test_the_article_follows_the_number_as_it_is_read_aloud(words, expected):
    assert article(words) == expected


def test_plurals_of_the_trade():
    assert is_plural("Fractures") and is_plural("Petechiae") and is_plural("Electrode pads")
    assert not is_plural("Abscess") and not is_plural("Cyanosis") and not is_plural("Callus")


def test_layers_say_what_was_not_examined():
    rows = [("skin", True, "not broken"), ("bone", False, ""), ("organ", False, "decomposed.")]
    assert layers_sentence(rows) == (
        "Skin: not broken. Bone: not examined. Organ: not examined (decomposed)."
    )


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
    assert TIMING_WORDS[Timing.PERIMORTEM] == "about the time of death"
    assert TIMING_WORDS[Timing.FRESH_BONE] == "while the bone was fresh, before or after death"
    assert TIMING_WORDS[Timing.HEALED] == "well before death, with healing (remote)"
    assert set(TIMING_WORDS) == set(Timing)


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


@pytest.mark.parametrize(
    ("klass", "timing", "said"),
    [
        ("injury", "antemortem", "It was sustained before death (bleeding into the edges)."),
        (
            "injury",
            "healed",
            "It was sustained well before death, with healing (remote) (bleeding into the edges).",
        ),
        ("injury", "perimortem", "It was sustained about the time of death"),
        (
            "injury",
            "fresh bone",
            "It was sustained while the bone was fresh, before or after death",
        ),
        ("injury", "postmortem", "It was sustained after death"),
        ("injury", "undetermined", "Whether it was sustained before or after death cannot be said"),
        ("natural disease", "antemortem", "It arose before death"),
        ("artifact", "postmortem", "It arose after death"),
        ("artifact", "undetermined", "Whether it arose before or after death cannot be said"),
        ("injury", "", ""),
    ],
)
def test_an_injury_is_sustained_and_a_change_arises(klass, timing, said):
    ground = " (bleeding into the edges)."
    said = said.removesuffix(ground)
    assert timing_sentence(klass, timing) == (f"{said}." if said else "")
    with_ground = timing_sentence(klass, timing, "bleeding into the edges")
    assert with_ground == (f"{said}{ground}" if said else "")
