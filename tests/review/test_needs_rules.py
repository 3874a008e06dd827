"""Which case needs what review, and what a review needs before it is signed: rules alone."""

from __future__ import annotations

import hashlib
import hmac
from decimal import Decimal
from uuid import UUID

import pytest

from cases.review.needs_rules import (
    ANSWERS,
    OF_ALL,
    QUESTIONS,
    Circumstances,
    Draw,
    Ground,
    Opinion,
    Rule,
    Settled,
    disagreement_lacks,
    draw_of,
    ground_words,
    grounds,
    opinion_lacks,
    opinion_wants,
    outside_wants,
    reviewer_words,
    sheet_lacks,
    unanswered_in,
    wrong_in_sheet,
)

JAIL = ("Jail or prison", "Police custody")


def death(manner="natural", age=None, place="Home", ground=""):
    return Circumstances(manner, manner, None if age is None else Decimal(age), place, ground)


# RFC 4231, test case 2: key, data, and the first eight bytes of HMAC-SHA-256.
PUBLISHED = [
    (b"Jefe".hex(), "what do ya want for nothing?", 0x5BDCC146BF60754E),
]


@pytest.mark.parametrize(("seed", "data", "first"), PUBLISHED)
def test_the_draw_is_hmac_sha256_as_published(seed, data, first):
    assert draw_of(seed, data, Decimal(10)).value == first


def test_the_same_case_and_seed_draw_the_same_for_ever():
    seed, key = "00" * 31 + "07", str(UUID(int=7))
    drawn = draw_of(seed, key, Decimal(10))
    by_hand = hmac.digest(bytes(31) + b"\x07", key.encode(), hashlib.sha256)[:8]
    assert drawn.value == int(by_hand.hex(), 16)
    assert drawn == draw_of(seed, key, Decimal(10))
    assert draw_of("01" * 32, key, Decimal(10)).value != drawn.value


@pytest.mark.parametrize(
    ("value", "percent", "drawn", "number"),
    [
        (0, "0", False, "0.000000"),
        (0, "0.01", True, "0.000000"),
        (OF_ALL // 10, "10", True, "0.099999"),
        (OF_ALL // 10 + 1, "10", False, "0.100000"),
        (OF_ALL // 2, "50", False, "0.500000"),
        (OF_ALL - 1, "100", True, "0.999999"),
    ],
)
def test_a_case_is_drawn_below_the_share_and_not_at_it(value, percent, drawn, number):
    found = Draw(value, Decimal(percent))
    assert (found.is_drawn, found.number) == (drawn, number)
    below = "below" if drawn else "not below"
    said = f"drawn number {number}, {below} the share of {Decimal(percent).normalize():f} %"
    assert found.words == said


def test_about_the_share_is_drawn():
    drawn = sum(draw_of("5e" * 32, str(UUID(int=n)), Decimal(10)).is_drawn for n in range(4000))
    # Four standard deviations of a binomial count of 4,000 at 0.1: 400 give or take 76.
    assert 324 <= drawn <= 476


@pytest.mark.parametrize(
    ("rule", "of", "found"),
    [
        (Rule(), death("homicide", "3", "Police custody"), []),
        (Rule(manners=["homicide"]), death("homicide"), [Ground.MANNER]),
        (Rule(manners=["homicide"]), death("suicide"), []),
        (Rule(under_age=18), death(age="17.99"), [Ground.AGE]),
        (Rule(under_age=18), death(age="18"), []),
        (Rule(under_age=18), death(age="0"), [Ground.AGE]),
        (Rule(under_age=18), death(age=None), []),
        (Rule(custody=True), death(place=" jail OR prison"), [Ground.CUSTODY]),
        (Rule(custody=True), death(place="Home"), []),
        (Rule(custody=True), death(place=""), []),
        (Rule(custody=False), death(place="Police custody"), []),
        (Rule(custody=True), death(place="Custody"), [Ground.CUSTODY]),
        (Rule(custody=True), death(place="County detention center"), [Ground.CUSTODY]),
        (Rule(custody=True), death(ground="Death in custody"), [Ground.CUSTODY]),
        (Rule(custody=True), death(place="Street, not in custody"), []),
        (Rule(custody=True), death(ground="Sudden death"), []),
        (
            Rule(["homicide"], 18, custody=True),
            death("homicide", "9", "Police custody"),
            [Ground.MANNER, Ground.AGE, Ground.CUSTODY],
        ),
    ],
)
def test_a_rule_asks_for_what_its_grounds_say(rule, of, found):
    assert grounds(rule, of, JAIL) == found


def test_an_office_without_places_of_custody_finds_none():
    assert grounds(Rule(custody=True), death(place=""), [" "]) == []


def test_custody_is_said_by_the_words_that_say_so():
    rule = Rule(custody=True)
    for of, said in (
        (death(place="Jail or prison"), "place of death: jail or prison"),
        (death(ground="Death in custody"), "ground of jurisdiction: Death in custody"),
    ):
        assert ground_words(Ground.CUSTODY, rule, of, JAIL) == said


def test_grounds_are_said():
    rule, of = Rule(["homicide"], 18, custody=True), death("homicide", "9", "Police custody")
    assert [ground_words(one, rule, of) for one in Ground] == [
        "manner of death: homicide", "under 18 years", "place of death: police custody",
        "drawn by lot",
    ]  # fmt: skip


def answer(question, answer, words=""):
    return {"question": question, "answer": answer, "words": words}


def test_a_sheet_takes_three_answers_and_wants_words_for_a_no():
    assert list(ANSWERS) == ["yes", "no", "na"]
    assert wrong_in_sheet([answer("A?", "yes"), answer("B?", "na"), answer("C?", "")]) == ""
    assert wrong_in_sheet([answer("A?", "no", "Rib 6 is missing.")]) == ""
    assert wrong_in_sheet([answer("A?", "no", " ")]) == "Say in words what is wrong: A?"
    assert wrong_in_sheet([answer("A?", "perhaps")]) == "Answer yes, no or not applicable."


def test_what_a_sheet_lacks_is_counted():
    said = [answer("A?", "yes"), answer("B?", ""), answer("Gone?", "yes")]
    assert unanswered_in(["A?", "B?", "C?"], said) == 2
    assert sheet_lacks(0) == ""
    assert sheet_lacks(1) == "1 question of the review sheet is not answered."
    assert sheet_lacks(2) == "2 questions of the review sheet are not answered."


def opinion(own=True, compared=True, differs=False, settled=False):
    return Opinion(own, compared, differs, settled)


@pytest.mark.parametrize(
    ("said", "lacks"),
    [
        ({"kind": "own"}, ["cause", "manner"]),
        ({"kind": "own", "cause": "Cold", "manner": " "}, ["manner"]),
        ({"kind": "own", "cause": "Cold", "manner": "accident"}, []),
        ({"kind": "knows", "cause": "Cold"}, ["knows_why"]),
        ({"kind": "knows", "knows_why": "We spoke."}, []),
        ({}, ["cause", "manner"]),
    ],
)
def test_what_an_opinion_of_its_kind_wants_is_said_by_field(said, lacks):
    assert list(opinion_wants(said)) == lacks


@pytest.mark.parametrize(
    ("stands", "begins"),
    [
        (None, "Your own opinion"),
        (opinion(own=False, compared=False), ""),
        (opinion(compared=False), "Your opinion is not compared"),
        (opinion(), ""),
        (opinion(differs=True), "A reviewer disagrees"),
        (opinion(differs=True, settled=True), ""),
    ],
)
def test_what_an_opinion_lacks_is_said(stands, begins):
    said = opinion_lacks(stands)
    assert said.startswith(begins) and bool(said) is bool(begins)


@pytest.mark.parametrize(
    ("stands", "blocks"),
    [
        (opinion(differs=True), True),
        (opinion(differs=True, settled=True), False),
        (opinion(differs=True, compared=False), True),
        (opinion(differs=True, own=False), False),
        (opinion(), False),
    ],
)
def test_only_an_open_disagreement_keeps_another_from_finishing(stands, blocks):
    assert bool(disagreement_lacks(stands)) is blocks


def test_every_way_to_settle_and_every_question_has_words():
    assert all(one.words for one in Settled)
    assert len({one.text for one in QUESTIONS}) == len(QUESTIONS) == 9
    assert all(one.text.endswith("?") for one in QUESTIONS)


def test_what_somebody_has_to_do_is_said():
    assert reviewer_words(open_reviews=1, open_cases=1, wrote=[]) == "1 open review, 1 open case"
    said = reviewer_words(open_reviews=2, open_cases=0, wrote=["findings", "the examination"])
    assert said == "2 open reviews, 0 open cases; wrote findings and the examination"


OUTSIDE = {"kind": "own", "cause": "Cold", "manner": "accident", "cause_agrees": True}


@pytest.mark.parametrize(
    ("stated", "fields"),
    [
        ({}, ["kind"]),
        (OUTSIDE, []),
        ({**OUTSIDE, "cause": " "}, ["cause"]),
        ({**OUTSIDE, "manner": ""}, ["manner"]),
        ({**OUTSIDE, "cause_agrees": None}, ["cause_agrees"]),
        ({**OUTSIDE, "cause_agrees": False}, ["settled_words"]),
        ({**OUTSIDE, "cause_agrees": False, "settled_words": " "}, ["settled_words"]),
        ({**OUTSIDE, "cause_agrees": False, "settled_words": "Talked over."}, []),
        ({**OUTSIDE, "manner": "homicide"}, ["settled_words"]),
        ({"kind": "own"}, ["cause", "manner", "cause_agrees"]),
        ({"kind": "knows"}, ["knows_why"]),
        ({"kind": "knows", "knows_why": "Told by the author."}, []),
        ({"kind": "knows", "knows_why": "Told.", "manner": "homicide"}, ["settled_words"]),
    ],
)
def test_what_another_office_states_is_asked_as_of_a_reviewer_here(stated, fields):
    assert list(outside_wants(stated, "accident")) == fields
