"""What is proposed and why, when a minor, when ready, what a log says. No database."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from uuid import UUID, uuid4

import pytest

from cases.decisions import proposal_rules as proposing
from cases.decisions import rules
from cases.decisions.proposal_rules import RuleNow, proposal_for
from cases.decisions.rules import Decided, DemandState, Item, ItemKind, Mark, Outcome, StopFound
from cases.decisions.shown import GoesOut

CASE = UUID(int=1)


def item(*marks: Mark, told: str = "words", **fields) -> Item:
    said = {"kind": ItemKind.PHOTOGRAPH, "case_id": CASE, "key": "k", "label": "Road", **fields}
    return Item(marks=frozenset(marks), told=dict.fromkeys(marks, told), **said)


def test_the_outcomes_and_kinds_are_these():
    assert dict(rules.Outcome.choices()) == {
        "release": "release",
        "redact": "release redacted",
        "withhold": "withhold",
        "missing": "does not exist",
        "not ours": "not ours",
        "sent": "sent earlier",
    }
    assert [one.value for one in rules.CHOSEN] == [
        "release", "redact", "withhold", "missing", "not ours",
    ]  # fmt: skip
    assert all(one.words for one in ItemKind) and set(rules.WITHOUT_DISCLOSING) == set(ItemKind)


@pytest.mark.parametrize(
    ("mark", "outcome", "rule"),
    [
        (Mark.SEALED, "withhold", "sealed"),
        (Mark.RESTRICTED, "withhold", "restricted"),
        (Mark.JUVENILE, "withhold", "juvenile"),
        (Mark.LIVING, "withhold", "living"),
        (Mark.NOT_DESCRIBED, "a person must look", "not-described"),
        (Mark.NOT_SIGNED, "a person must look", "not-signed"),
        (Mark.PAPERS, "a person must look", "papers"),
        (Mark.OF_OTHERS, "a person must look", "others"),
        (Mark.COPY_STANDS, "redact", "copy"),
        (Mark.COPY_ASKED, "redact", "copy-asked"),
        (Mark.FACE, "redact", "face"),
    ],
)
def test_each_mark_proposes_and_says_why(mark: Mark, outcome: str, rule: str):
    made = proposal_for(item(mark, told="in the ambulance"), {})
    assert (made.words, made.rule) == (outcome, rule)
    assert "{" not in made.why
    assert ("in the ambulance" in made.why) == (mark in TOLD)


TOLD = {Mark.LIVING, Mark.PAPERS, Mark.COPY_STANDS, Mark.COPY_ASKED, Mark.FACE}


def test_what_speaks_against_it_most_comes_first_and_nothing_proposes_release():
    made = proposal_for(item(Mark.FACE, Mark.LIVING, Mark.NOT_DESCRIBED), {})
    assert made.rule == "living"
    assert proposal_for(item(), {}).words == "release"
    assert proposal_for(item(), {}).rule == ""


def test_a_rule_of_the_office_is_off_or_names_its_ground_but_some_are_always_used():
    office = {key: RuleNow(key, is_on=False) for key in proposing.RULES_BY_KEY}
    assert proposal_for(item(Mark.FACE), office).words == "release"
    assert proposal_for(item(Mark.NOT_DESCRIBED), office).rule == "not-described"
    assert proposal_for(item(Mark.NOT_SIGNED), office).outcome is None
    named = {"face": RuleNow("face", ground=7), "papers": RuleNow("papers", ground=3)}
    assert proposal_for(item(Mark.FACE), named).ground == 7
    assert proposal_for(item(Mark.PAPERS), named).ground == 0, "where a person must look"


@pytest.mark.parametrize(
    ("words", "mark", "told"),
    [
        ("The other driver, injured, in the ambulance", Mark.LIVING, "other driver"),
        ("Paramedics treating a bystander", Mark.LIVING, "Paramedics treat"),
        ("Letter and wallet on the table", Mark.PAPERS, "Letter"),
        ("Driver's license", Mark.PAPERS, "license"),
        ("Front of the face", Mark.FACE, "face"),
        ("Left eyelid, petechiae", Mark.FACE, "eyelid"),
        ("Abrasion of the chin", Mark.FACE, "chin"),
        ("Nose and upper lip, dried blood", Mark.FACE, "Nose"),
        ("Whole body as found, from the south", Mark.FACE, "Whole body"),
        ("Rescued second driver beside the road", Mark.LIVING, "Rescued second driver"),
        ("Wounded officer being led away", Mark.LIVING, "Wounded officer"),
        ("Open envelope and bills on the desk", Mark.PAPERS, "envelope"),
        ("Laptop screen with messages", Mark.PAPERS, "Laptop screen"),
        ("Handwritten note on the shelf", Mark.PAPERS, "Handwritten note"),
        ("Pill bottles in the bathroom cabinet", Mark.PAPERS, "Pill bottles"),
    ],
)
def test_words_of_a_description_are_found(words: str, mark: Mark, told: str):
    assert proposing.words_that(words)[mark].startswith(told)


@pytest.mark.parametrize(
    "words",
    [
        "Road and vehicles",
        "Clock face at 2:10",
        "Surface of the road",
        "Right hand",
        "Note the scale",
        "Billet beside the saw",
        "Back of the head",
        "Noseband of the halter",
        "Officer at the gate",
    ],
)
def test_other_words_mark_nothing(words: str):
    assert proposing.words_that(words) == {}


@pytest.mark.parametrize(
    ("words", "kinds"),
    [
        ("Any and all photographs, in original form", ["photograph"]),
        ("The report of examination, with addenda", ["report", "addendum"]),
        ("Toxicology results and worksheets", ["result", "other"]),
        ("Histology slides", ["other"]),
        ("Chain of custody of all evidence", ["custody record"]),
        ("The audit trail and metadata", ["history"]),
        ("Audio recordings and transcripts", ["statement", "recording"]),
        ("Testimony of Dr. Vasko", []),
    ],
)
def test_the_words_of_a_demand_propose_what_it_reaches(words: str, kinds: list[str]):
    assert [one.value for one in proposing.kinds_named(words)] == kinds


def test_what_the_record_does_not_keep_is_named_once():
    assert proposing.others_named("Worksheets, slides", "all slides") == ["worksheets", "slides"]


def test_the_latest_earlier_release_is_told():
    first = proposing.Earlier("1", "sent on 1 Nov", frozenset({("photograph", "k")}))
    second = replace(first, release_id="2", words="sent on 24 Nov")
    other = replace(first, items=frozenset({("photograph", "other")}), words="no")
    sent = proposing.sent_before([item()], [first, second, other])
    assert sent == {("photograph", "k"): "sent on 24 Nov"}


@pytest.mark.parametrize(
    ("said", "field"),
    [
        ({"outcome": "withhold"}, "ground"),
        ({"outcome": "redact"}, "ground"),
        ({"outcome": "release", "has_ground": True}, "ground"),
        ({"outcome": "not ours"}, "held_by"),
        ({"outcome": "not ours", "held_by": "  "}, "held_by"),
        ({"outcome": "release", "held_by": "State laboratory"}, "held_by"),
        ({"outcome": "sent"}, "outcome"),
        ({"outcome": ""}, "outcome"),
        ({"outcome": "withhold", "has_ground": True}, ""),
        ({"outcome": "missing"}, ""),
        ({"outcome": "not ours", "held_by": "State laboratory"}, ""),
    ],
)
def test_a_decision_has_what_it_needs(said: dict, field: str):
    wrong = rules.wrong_in_decision(**{"has_ground": False, "held_by": "", **said})
    assert list(wrong) == ([field] if field else [])


def decided(**fields) -> Decided:
    said = {
        "decision_id": UUID(int=5), "demand": 1, "kind": "photograph", "item": "a", "digest": "d",
        "outcome": Outcome.RELEASE, "by": UUID(int=9), "number": "P 1", **fields,
    }  # fmt: skip
    return Decided(**said)


def test_the_digest_is_of_all_that_is_approved_and_of_no_order():
    one, two = decided(), decided(item="b", decision_id=UUID(int=6))
    digest = rules.decisions_digest([one, two])
    assert digest == rules.decisions_digest([two, one])
    for change in (
        {"demand": 2}, {"kind": "result"}, {"item": "c"}, {"digest": "e"}, {"ground": 4},
        {"outcome": Outcome.WITHHOLD}, {"held_by": "x"}, {"note": "x"}, {"copy_digest": "x"},
        {"decision_id": UUID(int=7)},
    ):  # fmt: skip
        assert rules.decisions_digest([replace(one, **change), two]) != digest, change
    assert rules.decisions_digest([one]) != digest


def test_a_second_person_is_one_who_decided_nothing_and_read_what_stands():
    who = uuid4()
    fine = {"lacks": [], "read": "a", "now": "a", "approver": who, "deciders": {uuid4()}}
    assert rules.why_not_approved(**fine) == ""
    assert "second person" in rules.why_not_approved(**{**fine, "deciders": {who}})
    assert "changed since" in rules.why_not_approved(**{**fine, "now": "b"})
    assert "Six wait." in rules.why_not_approved(**{**fine, "lacks": ["Six wait."]})


def test_a_demand_says_how_far_it_is():
    state = DemandState(2, True, reached=118, undecided=5, changed=1, lacks_copy=("P 112",))
    assert state.words == "112 of 118 decided, 6 wait"
    assert state.lacking == [
        "Demand 2: 5 items are undecided.",
        "Demand 2: 1 item has changed since the decision.",
        "Demand 2: no redacted copy of P 112.",
    ]
    assert replace(state, undecided=1).lacking[0] == "Demand 2: 1 item is undecided."
    assert replace(state, changed=2).lacking[1] == (
        "Demand 2: 2 items have changed since the decision."
    )
    many = replace(state, undecided=0, changed=0, lacks_copy=tuple("abcdefgh"))
    assert many.lacking == ["Demand 2: no redacted copy of a, b, c, d, e, f and 2 more."]
    assert replace(state, undecided=1, changed=0).words == "117 of 118 decided, 1 waits"
    done = DemandState(1, True, 1, 0, 0)
    assert (done.words, done.lacking, done.is_decided) == ("1 of 1 decided", [], True)
    none = DemandState(3, True, 0, 0, 0)
    assert (none.words, none.is_decided) == ("nothing chosen yet", False)
    testimony = DemandState(5, False, 0, 0, 0)
    assert (testimony.words, testimony.lacking) == ("", [])


def test_what_keeps_an_answer_back_is_said_and_nothing_else():
    done = DemandState(1, True, 1, 0, 0)
    fine = {"is_open": True, "demands": [done], "stops": [], "questions": [], "contradictions": []}
    assert rules.lacking(**fine) == []
    assert rules.lacking(**{**fine, "is_open": False}) == ["The request is closed."]
    assert rules.lacking(**{**fine, "demands": [DemandState(1, False, 0, 0, 0)]}) == [
        "No demand for records is noted."
    ]
    stop = StopFound("k", rules.StopKind.PROSECUTION, "2026-0002", "State v. Marsh")
    assert rules.lacking(**{**fine, "stops": [stop]}) == [
        "2026-0002: ongoing prosecution (State v. Marsh): decide whether it keeps the answer back."
    ]
    assert rules.lacking(**{**fine, "stops": [replace(stop, settled="by order")]}) == []
    assert rules.lacking(**{**fine, "questions": ["Dr. Amadi"]}) == [
        "Not answered yet by Dr. Amadi."
    ]
    assert len(rules.lacking(**{**fine, "closed_cases": 1, "contradictions": ["x"]})) == 2


def test_one_item_is_not_decided_in_two_ways():
    kept = decided(demand=2, outcome=Outcome.WITHHOLD)
    assert rules.contradicting([kept, decided()]) == [
        "P 1 is decided in two ways (demand 1: release, demand 2: withhold)."
    ]
    assert rules.contradicting([decided(), decided(demand=2, outcome=Outcome.SENT)]) == []
    both_back = [kept, decided(outcome=Outcome.NOT_OURS)]
    assert rules.contradicting(both_back) == []
    assert rules.contradicting([decided(), decided(item="b", outcome=Outcome.WITHHOLD)]) == []


@pytest.mark.parametrize(
    ("age", "born", "minor"),
    [
        (17.9, None, True),
        (18, None, False),
        (None, None, None),
        (None, date(2008, 11, 15), True),
        (None, date(2008, 11, 14), False),
        (None, date(2008, 10, 30), False),
        (30, date(2020, 1, 1), True),
        (17, date(1990, 1, 1), True),
        (30, date(1996, 1, 1), False),
    ],
)
def test_a_minor_is_younger_than_eighteen(age, born, minor):
    assert rules.is_minor(age, born, date(2026, 11, 14)) is minor


def test_a_stop_holds_to_its_last_day():
    day = date(2026, 11, 29)
    assert rules.still_stops(None, day)
    assert rules.still_stops(day, day)
    assert not rules.still_stops(date(2026, 11, 28), day)


def test_a_log_names_kind_and_number_and_nothing_of_what_it_shows():
    assert rules.log_words("photograph", "P 37") == ("P 37", "photograph")
    assert rules.log_words("document", "") == ("Document", "document")


def test_what_goes_out_is_told_with_each_item_once():
    assert GoesOut(documents=1).words == "1 document"
    said = GoesOut(documents=6, photographs=3, originals=2, redacted=1, others=1, withheld=2).words
    assert said == (
        "6 documents; 3 photographs (2 originals, 1 redacted copy); 1 other item; "
        "2 withheld, listed in the log"
    )
    assert GoesOut().words == "nothing yet"
    assert GoesOut(documents=2, papers_wait=1).words == "2 documents (1 waits for a copy)"


def test_the_right_of_who_asks_keeps_an_answer_back():
    done = DemandState(1, True, 1, 0, 0)
    fine = {"is_open": True, "demands": [done], "stops": [], "questions": [], "contradictions": []}
    assert rules.lacking(**fine, right="Not checked yet.") == ["Not checked yet."]
