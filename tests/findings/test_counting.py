"""Wounds by firearm and blade, impacts by blunt force: what the report says of their number.

Source of every rule here: common practice; no published standard for counting was found.
"""

from __future__ import annotations

import pytest

from cases.review.content import report_content
from findings.calculations.registry import calculate
from findings.computing.prefill import known_for
from findings.queries import injury_counts_of
from findings.words.counting import (
    _SHARP_KINDS,
    Cause,
    CountedInjury,
    _kind_of,
    cause_of,
    counts_among,
    counts_of,
    least_of,
)
from findings.words.vocabulary import MECHANISMS
from tests.findings.builders import make_examination, make_finding

EXACTLY, AT_LEAST, CANNOT = "exactly", "at least", "cannot be determined"
MORE = "There may have been more impacts than could be told apart."


def blunt(kind=EXACTLY, number=1, group="", **fields):
    return CountedInjury(kind, number, group, mechanism="Blunt force", **fields)


def wound(term, number=None, kind="", **fields):
    return CountedInjury(kind, number, term=term, **fields)


@pytest.mark.parametrize(
    ("injuries", "said"),
    [
        ([blunt()], ["Exactly 1 blunt impact is distinguished."]),
        ([blunt(), blunt()], ["Exactly 2 blunt impacts are distinguished."]),
        ([blunt(), blunt(number=2), blunt()], ["Exactly 4 blunt impacts are distinguished."]),
        ([blunt(group="A"), blunt(group="B")], ["Exactly 2 blunt impacts are distinguished."]),
        # One impact may have left both: one or two.
        ([blunt(group="A"), blunt(group="A")], ["At least 1 blunt impact is distinguished.", MORE]),
        ([blunt(group="A"), blunt(group="A"), blunt()],
         ["At least 2 blunt impacts are distinguished.", MORE]),
        ([blunt(AT_LEAST)], ["At least 1 blunt impact is distinguished.", MORE]),
        ([blunt(), blunt(AT_LEAST, 2)], ["At least 3 blunt impacts are distinguished.", MORE]),
        ([blunt(), blunt(CANNOT, None)],
         ["At least 1 blunt impact is distinguished; 1 finding without a determined number.",
          MORE]),
        ([blunt(), blunt(CANNOT, None), blunt(CANNOT, None), blunt(CANNOT, None)],
         ["At least 1 blunt impact is distinguished; 3 findings without a determined number.",
          MORE]),
        # A number without its kind, or a kind without its number, is none.
        ([blunt(), blunt("", 4), blunt(EXACTLY, None)],
         ["At least 1 blunt impact is distinguished; no number recorded for 2 findings.", MORE]),
        ([blunt(CANNOT, None)], ["The number of blunt impacts is not determined."]),
        ([blunt(CANNOT, None)] * 3, ["The number of blunt impacts is not determined."]),
        ([blunt(), blunt("", None)],
         ["At least 1 blunt impact is distinguished; no number recorded for 1 finding.", MORE]),
        ([blunt(), blunt("", None), blunt("", None)],
         ["At least 1 blunt impact is distinguished; no number recorded for 2 findings.", MORE]),
        ([blunt("", None)], []),
        ([], []),
    ],
)  # fmt: skip
def test_blunt_impacts_stay_exact_where_nothing_stands_against_it(injuries, said):
    assert counts_of(injuries).sentences == said


ENTRANCE, EXIT = "Gunshot wound of entrance", "Gunshot wound of exit"


@pytest.mark.parametrize(
    ("injuries", "said"),
    [
        ([wound(ENTRANCE, 1, EXACTLY)], "Gunshot wounds: entrance 1."),
        ([wound(ENTRANCE), wound(EXIT)], "Gunshot wounds: entrance 1, exit 1."),
        ([wound(ENTRANCE)] * 3 + [wound(EXIT)] * 2, "Gunshot wounds: entrance 3, exit 2."),
        ([wound("Entrance gunshot wound"), wound("Exit gunshot wound")],
         "Gunshot wounds: entrance 1, exit 1."),
        ([wound("Graze gunshot wound")], "Gunshot wounds: graze 1."),
        ([wound(ENTRANCE), wound("Shored exit")], "Gunshot wounds: entrance 1, exit 1."),
        ([wound("Re-entry gunshot wound"), wound("Atypical entrance gunshot wound")],
         "Gunshot wounds: entrance 2."),
        ([wound("GSW, exit"), wound("GSW")],
         "Gunshot wounds: exit 1, entrance or exit not said 1."),
        ([wound("Shotgun wound")], "Gunshot wounds: entrance or exit not said 1."),
        ([wound(ENTRANCE, 2, AT_LEAST), wound(ENTRANCE)], "Gunshot wounds: entrance at least 3."),
        ([wound("Gunshot wounds")], "Gunshot wounds: entrance or exit not said at least 2."),
        ([wound(ENTRANCE, None, CANNOT)], "Gunshot wounds: entrance number not determined."),
        ([wound(ENTRANCE), wound(ENTRANCE, None, CANNOT)],
         "Gunshot wounds: entrance at least 1 and 1 finding without a determined number."),
        ([wound(ENTRANCE), wound(ENTRANCE, None, CANNOT), wound(ENTRANCE, None, CANNOT)],
         "Gunshot wounds: entrance at least 1 and 2 findings without a determined number."),
        ([wound(ENTRANCE, 2, EXACTLY), wound(ENTRANCE, 3, EXACTLY)], "Gunshot wounds: entrance 5."),
        # A number without its kind is not counted, nor a kind without its number: one wound each.
        ([wound(ENTRANCE, 4), wound(ENTRANCE, None, EXACTLY)], "Gunshot wounds: entrance 2."),
        ([wound("GUNSHOT WOUNDS")], "Gunshot wounds: entrance or exit not said at least 2."),
        ([wound("gunshot injuries")], "Gunshot wounds: entrance or exit not said at least 2."),
        # Two findings with both ends marked, and ends beside wounds of that name.
        ([wound("Gunshot wound", ends=frozenset({"entrance", "exit"}))] * 2,
         "Gunshot wounds: entrance 2, exit 2."),
        ([wound(EXIT, None, CANNOT), wound(EXIT), wound(ENTRANCE, ends=frozenset({"exit"}))],
         "Gunshot wounds: entrance 1, exit at least 2 and 1 finding without a determined number."),
        # Both ends marked on one finding.
        ([wound("Gunshot wound", ends=frozenset({"entrance", "exit"}))],
         "Gunshot wounds: entrance 1, exit 1."),
        ([wound(ENTRANCE, ends=frozenset({"entrance", "exit"}))],
         "Gunshot wounds: entrance 1, exit 1."),
        # What lies on the path is no wound more.
        ([wound(ENTRANCE), wound("Fracture", 1, EXACTLY, mechanism="Firearm")],
         "Gunshot wounds: entrance 1."),
        ([wound(ENTRANCE), wound("Stippling", mechanism="Firearm")], "Gunshot wounds: entrance 1."),
        ([wound(ENTRANCE, projectile_paths=1)],
         "Gunshot wounds: entrance 1. The recorded wound path ends at no recovered projectile."),
        ([wound(ENTRANCE, projectile_paths=1, projectiles=1)] * 2,
         "Gunshot wounds: entrance 2. Each of the 2 recorded wound paths ends at a recovered"
         " projectile."),
        ([wound(ENTRANCE, projectile_paths=1, projectiles=1)],
         "Gunshot wounds: entrance 1. The recorded wound path ends at a recovered projectile."),
        ([wound(ENTRANCE, projectile_paths=1)] * 2,
         "Gunshot wounds: entrance 2. None of the 2 recorded wound paths ends at a recovered"
         " projectile."),
        ([wound(ENTRANCE, projectile_paths=3, projectiles=1)],
         "Gunshot wounds: entrance 1. 1 of the 3 recorded wound paths ends at a recovered"
         " projectile."),
        ([wound(ENTRANCE, projectile_paths=3, projectiles=2)],
         "Gunshot wounds: entrance 1. 2 of the 3 recorded wound paths end at a recovered"
         " projectile."),
        ([wound("Stab wound", 12, EXACTLY), wound("Incised wound")] + [wound("Incised wound")] * 2,
         "Sharp force wounds: stab 12, incised 3."),
        ([wound("Stab wounds")], "Sharp force wounds: stab at least 2."),
        ([wound("Chop wound"), wound("Hemothorax", mechanism="Sharp force")],
         "Sharp force wounds: chop 1."),
        ([wound("Sharp force injury")], "Sharp force wounds: other 1."),
    ],
)  # fmt: skip
def test_firearm_and_blade_are_counted_as_wounds_and_never_as_impacts(injuries, said):
    assert counts_of(injuries).words == said


def test_what_is_no_wound_is_of_no_kind():
    assert _kind_of("Hemothorax", _SHARP_KINDS) == ""
    assert _kind_of("Stab wound", _SHARP_KINDS) == "stab"


def test_a_gunshot_is_not_added_to_the_blows():
    said = counts_of([blunt(), wound(ENTRANCE, 1, EXACTLY, mechanism="Firearm"), blunt()])
    assert said.sentences == [
        "Gunshot wounds: entrance 1.",
        "Exactly 2 blunt impacts are distinguished.",
    ]


@pytest.mark.parametrize("mechanism", sorted(set(MECHANISMS) - {"Blunt force", "Sharp force"}))
def test_no_other_offered_mechanism_is_counted_in_blunt_impacts(mechanism):
    counts = counts_of([CountedInjury(EXACTLY, 1, term="Contusion", mechanism=mechanism)])
    assert counts.impacts.number == 0


@pytest.mark.parametrize(
    ("mechanism", "term", "cause"),
    [
        ("Blunt force", "Fracture", Cause.BLUNT),
        ("blunt", "", Cause.BLUNT),
        ("Sharp force", "Contusion", Cause.SHARP),
        ("Firearm", "Contusion", Cause.FIREARM),
        ("Blunt and sharp force", "Laceration", Cause.OTHER),
        ("Explosion", "Laceration", Cause.OTHER),
        ("stabilizing collar", "Contusion", Cause.OTHER),
        ("", "Gunshot wound of entrance", Cause.FIREARM),
        ("", "Stab wound", Cause.SHARP),
        ("", "Contusion", Cause.BLUNT),
        ("", "Patterned abrasion", Cause.BLUNT),
        ("", "Burn, superficial", Cause.NOT_SAID),
        ("", "Cutaneous emphysema", Cause.NOT_SAID),
        ("", "Fracture", Cause.NOT_SAID),
        ("", "Shored exit", Cause.FIREARM),
        ("", "Exit site of a drain", Cause.NOT_SAID),
    ],
)
def test_a_mechanism_goes_before_the_term_and_is_never_guessed(mechanism, term, cause):
    assert cause_of(mechanism, term) == cause


def test_a_number_without_mechanism_is_said_as_such():
    said = counts_of([wound("Fracture", 1, AT_LEAST), wound("Burn, superficial")]).sentences
    assert said == ["At least 1 impact of another or no recorded mechanism is distinguished.", MORE]


@pytest.mark.django_db
def test_the_counts_of_a_case_leave_out_what_is_no_injury_or_was_voided():
    examination = make_examination()
    number = {"impacts_kind": EXACTLY, "impacts": 1}
    make_finding(examination, mechanism="Blunt force", **number)
    make_finding(examination, term=ENTRANCE, mechanism="Firearm", **number)
    make_finding(examination, klass="artifact", term="Transport abrasion")
    voided = make_finding(examination, mechanism="Blunt force", **number)
    voided.voided_at = voided.created_at
    found = [*type(voided).objects.filter(voided_at=None).order_by("number")]
    assert injury_counts_of([*found[:3], voided]).sentences == [
        "Gunshot wounds: entrance 1.",
        "Exactly 1 blunt impact is distinguished.",
    ]


@pytest.mark.parametrize(
    ("injuries", "said"),
    [
        ([wound(ENTRANCE), wound(EXIT), blunt(), blunt()], "2 gunshot wounds, 2 blunt impacts"),
        ([wound(ENTRANCE)], "1 gunshot wound"),
        (
            [wound("Stab wounds"), blunt(AT_LEAST)],
            "at least 2 sharp force wounds, at least 1 blunt impact",
        ),
        ([blunt(CANNOT, None)], ""),
        ([], ""),
    ],
)  # fmt: skip
def test_the_head_of_the_list_says_numbers_alone(injuries, said):
    assert counts_of(injuries).brief == said


@pytest.mark.django_db
def test_the_offered_minimum_presets_blunt_injuries_and_leaves_out_the_others():
    examination = make_examination()
    rows = [
        ("Contusion", "Blunt force", "count"),
        ("Contusion", "Blunt", "count"),
        ("Contusion", "", "count"),
        ("Fracture", "Blunt force", "count"),
        (ENTRANCE, "Firearm", "leave"),
        (ENTRANCE, "", "leave"),
        ("Stab wound", "", "leave"),
        ("Burn, superficial", "Thermal", "leave"),
        ("Fracture", "", "leave"),
    ]
    for term, mechanism, _ in rows:
        make_finding(examination, term=term, mechanism=mechanism)
    known = known_for("impacts", examination.case, {})
    presets = [known[f"mark__{number}"].value for number in range(1, len(rows) + 1)]
    assert presets == [preset for *_, preset in rows]


@pytest.mark.parametrize(
    ("excluded", "number"), [([], 4), (["A"], 3), (["A", "C"], 2), (["A", "B", "C"], 1)]
)
def test_each_excluded_mark_counts_one_less(excluded, number):
    marks = {"marks": ["A", "B", "C", "D"], "excluded": excluded}
    assert calculate("impacts", marks).outcome.value == number


def test_an_excluded_mark_in_a_chain_of_three_leaves_the_others_joined():
    found = calculate(
        "impacts",
        {"marks": ["A", "B", "C"], "overlapping": [["A", "B", "C"]], "excluded": ["B"]},
    )
    assert found.outcome.fields["groups"] == [["A", "C"]]


@pytest.mark.django_db
def test_the_report_counts_a_single_gunshot_as_one_wound():
    examination = make_examination()
    make_finding(examination, term=ENTRANCE, mechanism="Firearm", impacts_kind=EXACTLY, impacts=1)
    sections = {one["key"]: one for one in report_content(examination.case_id)["sections"]}
    text = sections["injury"]["passages"][0]["text"]
    assert text.startswith("Gunshot wounds: entrance 1. Numbers in brackets")
    assert "may have been more" not in text


@pytest.mark.parametrize(
    ("injuries", "said"),
    [
        ([], ""),
        ([blunt()], "at least 1 blunt impact"),
        ([blunt(number=2), blunt()], "at least 3 blunt impacts"),
        ([blunt(AT_LEAST, 2)], "at least 2 blunt impacts; there may have been more"),
        (
            [blunt(group="A"), blunt(number=2, group="A")],
            "at least 2 blunt impacts; there may have been more",
        ),
        ([blunt(CANNOT, None)], "a number cannot be determined for 1 finding"),
        (
            [blunt(), blunt("", None)],
            "at least 1 blunt impact; there may have been more; no number is recorded for 1 "
            "finding",
        ),
        ([wound("Gunshot wound of entrance"), wound("Stab wound")],
         "1 gunshot wound, 1 sharp force wound"),
        ([wound("Stab wounds")], "at least 2 sharp force wounds; there may have been more"),
        (
            [CountedInjury(EXACTLY, 2, mechanism="Thermal")],
            "at least 2 impacts of another or no recorded mechanism",
        ),
    ],
)  # fmt: skip
def test_the_smallest_number_is_said_as_one(injuries, said):
    assert least_of(counts_of(injuries)).words == said


def test_the_far_end_of_a_wound_is_not_counted_in_a_picture_of_its_near_one():
    ends = frozenset({"entrance", "exit"})
    through = wound("Gunshot wound of entrance", ends=ends, projectile_paths=1)
    unsaid = wound("Gunshot wound", ends=ends, number=3, kind=AT_LEAST)
    assert least_of(counts_of([through])).words == "2 gunshot wounds"
    assert least_of(counts_among({4: through}, {4})).words == "1 gunshot wound"
    assert counts_among({4: through}, {4}).projectile_paths == 0
    # Neither more than the whole says, nor left out.
    assert least_of(counts_of([unsaid])).words == "2 gunshot wounds"
    assert least_of(counts_among({4: unsaid}, {4})).words == "1 gunshot wound"
    assert least_of(counts_among({4: through}, {5})).words == ""
