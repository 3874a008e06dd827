"""What a result and its lines may say, and what is not available; pure."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from cases.review.reported import FromOutside, passage_key, sections_of
from evidence.items.receivers import Where
from evidence.results.rules import (
    Kind,
    Party,
    Relation,
    Reported,
    Status,
    Taken,
    examinations_of,
    is_only_kept,
    line_words,
    not_available,
    wrong_in_line,
    wrong_in_result,
)

DAY = date(2026, 11, 20)
FRIDGE = Party("Specimen refrigerator 2", False, "storage")
LABORATORY = Party("Courier of the toxicology laboratory", False, "toxicology")


def line(**fields):
    return {"analyte": "Oxycodone", "relation": "=", "value": "0.42", "unit": "mg/L", **fields}


def taken(number, purpose="Toxicology", parties=(FRIDGE,), words="blood, femoral vein"):
    return Taken(number, words, purpose, parties)


def keys(*args):
    return [one.key for one in not_available(*args)]


@pytest.mark.parametrize(
    ("relation", "wrong_with", "wrong_without"),
    [
        ("=", set(), {"value"}), ("<", set(), {"value"}), (">", set(), {"value"}),
        ("detected", {"value"}, set()), ("not detected", {"value"}, set()),
        ("not tested", {"value"}, set()), ("about", {"relation"}, {"relation"}),
    ],
)  # fmt: skip
def test_a_value_goes_with_a_relation_that_has_one(relation, wrong_with, wrong_without):
    assert set(wrong_in_line(line(relation=relation))) == wrong_with
    assert set(wrong_in_line(line(relation=relation, value=""))) == wrong_without


def test_every_relation_reads_as_it_was_reported():
    said = {one: line_words(line(relation=one.value, value="0.40")) for one in Relation}
    assert said == {
        Relation.EQUAL: "0.40 mg/L", Relation.LESS: "less than 0.40 mg/L",
        Relation.GREATER: "greater than 0.40 mg/L", Relation.DETECTED: "detected",
        Relation.NOT_DETECTED: "not detected", Relation.NOT_TESTED: "not tested",
    }  # fmt: skip


@pytest.mark.parametrize("value", ["1,2", "1 200", "-1", ".5", "5.", "1e3", "<0.1", "0.42 mg/L",
                                   "٤٢", "0.４", "²"])  # fmt: skip
def test_a_value_is_a_plain_number(value):
    assert "value" in wrong_in_line(line(value=value))
    assert "reporting_limit" in wrong_in_line(line(reporting_limit=value))


def test_what_a_line_lacks_is_said_beside_its_field():
    assert set(wrong_in_line(line(analyte=" "))) == {"analyte"}
    assert set(wrong_in_line(line(unit=""))) == {"unit"}
    without = line(relation="not detected", value="", unit="", reporting_limit="0.01")
    assert set(wrong_in_line(without)) == {"unit"}
    assert wrong_in_line({**without, "unit": "mg/L"}) == {}


@pytest.mark.parametrize(
    ("reported", "received", "wrong"),
    [
        (0, 0, set()), (-1, 0, set()), (0, -1, {"received_on"}),
        (1, 1, {"reported_on", "received_on"}),
        (-1, 1, {"received_on"}), (1, 0, {"reported_on"}),
    ],
)  # fmt: skip
def test_a_report_is_dated_received_and_entered_in_this_order(reported, received, wrong):
    days = {
        "reported_on": DAY + timedelta(days=reported),
        "received_on": DAY + timedelta(days=received),
    }
    assert set(wrong_in_result(**days, today=DAY, replaces=False, why="")) == wrong


def test_a_replacement_says_why():
    common = {"reported_on": DAY, "received_on": DAY, "today": DAY}
    assert set(wrong_in_result(**common, replaces=True, why=" ")) == {"why_replaced"}
    assert not wrong_in_result(**common, replaces=True, why="Amended")


# Common practice: what is written on specimen labels as the examination that is wanted.
@pytest.mark.parametrize(
    ("purpose", "expected"),
    [
        ("Toxicology", {"toxicology"}), ("tox screen", {"toxicology"}),
        ("Alcohol and drugs", {"toxicology"}), ("Carbon monoxide, alcohol", {"toxicology"}),
        ("Cyanide", {"toxicology"}), ("Volatiles", {"toxicology"}),
        ("Histology", {"histology"}), ("Microscopy", {"histology"}),
        ("Chemistry, drugs", {"chemistry", "toxicology"}), ("Electrolytes, glucose", {"chemistry"}),
        ("Metabolic screening", {"chemistry"}), ("Tryptase", {"chemistry"}),
        ("Microbiology", {"microbiology"}), ("Blood culture", {"microbiology"}),
        ("PCR", {"microbiology"}), ("DNA", {"genetic"}), ("Genetic testing", {"genetic"}),
        ("Neuropathology", {"neuropathology"}), ("Cardiac pathology", {"cardiac"}),
        ("Radiology", {"radiology"}), ("Odontology", {"odontology"}),
        ("Anthropology", {"anthropology"}), ("Toxicology, then hold", {"toxicology"}),
        ("Fire accelerant", {"fire accelerant"}), ("Diatoms, control", {"diatoms, control"}),
        ("", set()), ("Hold", set()), ("Storage", set()), ("Retained for the family", set()),
        ("Kept", set()), ("To be returned", set()),
        # Letters inside another word name nothing.
        ("Detoxified", {"detoxified"}), ("Sedna", {"sedna"}),
    ],
)  # fmt: skip
def test_what_a_specimen_was_taken_for(purpose, expected):
    assert examinations_of(purpose) == expected


def test_every_kind_has_words():
    assert all(one.words for one in Kind)


@pytest.mark.parametrize(
    ("party", "in_office"),
    [
        (FRIDGE, True), (Party("M. Renn", True, "toxicology"), True), (LABORATORY, False),
        (Party("State laboratory", False, "storage"), True), (Party("Freezer 1", False), True),
        (Party("Histology cabinet 1", False), True), (Party("Evidence locker 2", False), True),
        (Party("Specimen safe", False), True), (Party("Cooler 3", False), True),
        (Party("State crime laboratory", False, "DNA"), False),
        (Party("County evidence room", False, "storage", True), False),
        (Party("Safety Laboratories", False, "DNA"), False), (Party("Detective Orr", False), False),
    ],
)  # fmt: skip
def test_what_stays_in_the_office(party, in_office):
    assert party.is_in_office is in_office


def test_blood_that_never_left_and_has_no_result_is_said_twice():
    tox, sent = not_available([taken(3)], [])
    assert tox.words == "Toxicology of item 3 (blood, femoral vein): no result is on file."
    assert sent.words == (
        "Item 3 (blood, femoral vein), taken for toxicology: no transfer out of the office "
        "is on record; the last holder on record is Specimen refrigerator 2."
    )
    assert keys([taken(3, parties=(FRIDGE, LABORATORY))], []) == ["none-toxicology-3"]
    assert keys([taken(3, parties=())], []) == ["none-toxicology-3", "not-sent-3"]
    assert keys([taken(3, purpose="Hold")], []) == []
    # What it was taken for is not said: it may well have been for testing.
    (unsaid,) = not_available([taken(3, purpose=" ")], [])
    assert unsaid.words.startswith("Item 3 (blood, femoral vein): no transfer out of the office")


def test_a_result_counts_for_what_it_names():
    blood, urine = taken(3), taken(4, words="urine, bladder")
    on = lambda *numbers, kind="toxicology", status="final": Reported(  # noqa: E731
        kind, status, frozenset(numbers)
    )
    both = [blood, urine]
    assert keys(both, []) == ["none-toxicology-3-4", "not-sent-3", "not-sent-4"]
    # The urine's result says nothing of blood that never left the office.
    assert keys(both, [on(4)]) == ["not-sent-3"]
    assert keys(both, [on(3), on(4)]) == []
    assert keys(both, [on()]) == ["not-sent-3", "not-sent-4"]
    assert keys(both, [on(9)]) == keys(both, [])
    assert keys(both, [on(kind="histology")]) == keys(both, [])


@pytest.mark.parametrize(
    ("statuses", "expected"),
    [
        ([Status.PRELIMINARY], ["preliminary-toxicology-3"]),
        ([Status.PRELIMINARY, Status.FINAL], []), ([Status.FINAL], []), ([Status.AMENDED], []),
    ],
)  # fmt: skip
def test_a_preliminary_result_is_not_the_result(statuses, expected):
    reported = [Reported("toxicology", one.value, frozenset({3})) for one in statuses]
    found = not_available([taken(3)], reported)
    assert [one.key for one in found] == expected
    assert all("only a preliminary result is on file" in one.words for one in found)


def test_an_examination_of_no_known_kind_needs_a_result_that_names_the_item():
    lung = taken(5, purpose="Diatoms", parties=(LABORATORY,))
    assert keys([lung], [Reported("other", "final")]) == ["none-diatoms-5"]
    assert keys([lung], [Reported("other", "final", frozenset({5}))]) == []


UNTOLD = Party("Tox bench 2", False, "toxicology")
SAID = [
    (Party("Tox bench 2", False, "toxicology", said="office"), Where.OFFICE),
    (Party("Tox bench 2", False, "toxicology", said="outside"), Where.OUTSIDE),
    (UNTOLD, Where.UNSAID),
    # What was recorded goes before what the name or the purpose tells.
    (Party("Freezer truck of Ostler & Sons", False, said="outside"), Where.OUTSIDE),
    (Party("State laboratory", False, "storage", said="outside"), Where.OUTSIDE),
    (Party("Histology laboratory", False, "histology", said="office"), Where.OFFICE),
    (Party("Histology laboratory", False, "histology"), Where.OUTSIDE),
    (Party("Freezer 1", False, gave_receipt=True, said="office"), Where.OUTSIDE),
    (Party("D. Renn", True, gave_receipt=True), Where.OUTSIDE),
    (Party("D. Renn", True, "toxicology", said="outside"), Where.OFFICE),
]


@pytest.mark.parametrize(("party", "where"), SAID)
def test_where_a_receiver_is_follows_from_what_was_recorded(party, where):
    assert party.where is where


def test_a_receiver_of_whom_nobody_said_where_it_is_is_pointed_out():
    def said(*parties):
        found = not_available([taken(3, parties=parties)], [])
        return {one.key: one.words for one in found if not one.key.startswith("none-")}

    assert said(FRIDGE, UNTOLD) == {
        "not-said-3": "Item 3 (blood, femoral vein), taken for toxicology: handed to Tox bench 2; "
        "whether that is outside the office is not recorded."
    }
    assert list(said(UNTOLD)) == ["not-said-3"]
    assert list(said(FRIDGE, SAID[0][0])) == ["not-sent-3"]
    assert said(FRIDGE, SAID[1][0]) == said(LABORATORY, UNTOLD) == said(UNTOLD, LABORATORY) == {}


PLAIN_NUMBER = "A number with a point, without separators: 0.42"


@pytest.mark.parametrize(
    ("changed", "wrong"),
    [
        ({}, {}),
        ({"analyte": None}, {"analyte": "Name the analyte."}),
        ({"analyte": " "}, {"analyte": "Name the analyte."}),
        ({"relation": "about"}, {"relation": "Choose what was reported."}),
        ({"relation": None}, {"relation": "Choose what was reported."}),
        (
            {"value": None},
            {"value": "Give the value, or choose detected, not detected or not tested."},
        ),
        ({"unit": ""}, {"unit": "Give the unit as it was reported."}),
        ({"unit": None, "reporting_limit": "0.01"}, {"unit": "Give the unit as it was reported."}),
        (
            {"relation": "detected"},
            {"value": "A value does not go with “detected”; choose =, < or >."},
        ),
        ({"value": "1,5"}, {"value": PLAIN_NUMBER}),
        ({"reporting_limit": "x"}, {"reporting_limit": PLAIN_NUMBER}),
        (
            {"relation": "not detected", "value": "", "unit": "", "reporting_limit": "0.01"},
            {"unit": "Give the unit of the reporting limit."},
        ),
        ({"relation": "not detected", "value": "", "unit": ""}, {}),
    ],
)
def test_each_refusal_of_a_line_has_its_sentence(changed, wrong):
    assert wrong_in_line(line(**changed)) == wrong


AHEAD = "This date is in the future."


@pytest.mark.parametrize(
    ("reported", "received", "why", "wrong"),
    [
        (0, 0, "Amended", {}),
        (None, None, "Amended", {}),
        (1, None, "Amended", {"reported_on": AHEAD}),
        (None, 1, "Amended", {"received_on": AHEAD}),
        (1, 1, "Amended", {"reported_on": AHEAD, "received_on": AHEAD}),
        (
            0, -1, "Amended",
            {"received_on": "It was received before the day on which it was reported."},
        ),
        (0, 0, " ", {"why_replaced": "Say why it replaces the earlier one."}),
    ],
)  # fmt: skip
def test_each_refusal_of_a_result_has_its_sentence(reported, received, why, wrong):
    def day(after):
        return None if after is None else DAY + timedelta(days=after)

    said = wrong_in_result(
        reported_on=day(reported), received_on=day(received), today=DAY, replaces=True, why=why
    )
    assert said == wrong


@pytest.mark.parametrize(
    ("purpose", "expected"),
    [
        ("tox", {"toxicology"}),
        ("toxicity", {"toxicity"}),  # three letters are a whole word
        ("pcr", {"microbiology"}),
        ("dnase test", {"dnase test"}),
        ("drugs", {"toxicology"}),
        ("DNA, and Histology", {"genetic", "histology"}),
    ],
)
def test_three_letters_are_a_whole_word_and_more_the_beginning_of_one(purpose, expected):
    assert examinations_of(purpose) == frozenset(expected)


@pytest.mark.parametrize(
    ("purpose", "kept"),
    [("Hold", True), ("Retained", True), ("Hold, toxicology", False), ("", False), (" ", False),
     ("blot", False), ("HOLD\tfor now", True)],
)  # fmt: skip
def test_what_is_only_kept_is_for_no_examination(purpose, kept):
    assert is_only_kept(purpose) is kept


def test_each_specimen_that_never_left_is_named_whatever_stands_between():
    kept = taken(1, purpose="Hold")
    named, left = taken(2), taken(3, parties=(LABORATORY,))
    here, nowhere = taken(4), taken(5, parties=())
    found = not_available(
        [nowhere, here, left, named, kept],
        [Reported(Kind.TOXICOLOGY, Status.FINAL, frozenset({2}))],
    )
    stayed = [one for one in found if one.key.startswith("not-sent")]
    assert [(one.key, one.numbers) for one in stayed] == [
        ("not-sent-4", (4,)),
        ("not-sent-5", (5,)),
    ]
    assert [one.words for one in stayed] == [
        "Item 4 (blood, femoral vein), taken for toxicology: no transfer out of the office "
        "is on record; the last holder on record is Specimen refrigerator 2.",
        "Item 5 (blood, femoral vein), taken for toxicology: no transfer out of the office "
        "is on record.",
    ]


def test_a_kind_without_a_result_names_its_specimens():
    parties = (LABORATORY,)
    members = [taken(4, parties=parties), taken(3, parties=parties)]
    found = not_available(members, [])
    assert [(one.key, one.words, one.numbers) for one in found] == [
        (
            "none-toxicology-3-4",
            "Toxicology of item 3 (blood, femoral vein), item 4 (blood, femoral vein): no result "
            "is on file.",
            (3, 4),
        )
    ]
    early = Reported(Kind.TOXICOLOGY, Status.PRELIMINARY, frozenset({3}))
    assert [(one.key, one.words) for one in not_available(members, [early])] == [
        (
            "preliminary-toxicology-3-4",
            "Toxicology of item 3 (blood, femoral vein), item 4 (blood, femoral vein): only a "
            "preliminary result is on file.",
        )
    ]


@pytest.mark.parametrize(
    ("purpose", "name"),
    [("Chemistry of vitreous", "Clinical chemistry"), ("DNA", "Genetics or DNA"),
     ("Cardiac pathology", "Cardiac pathology"), ("Diatoms", "Diatoms")],
)  # fmt: skip
def test_an_examination_is_named_in_words(purpose, name):
    (gap,) = not_available([taken(3, purpose=purpose, parties=(LABORATORY,))], [])
    assert gap.words == f"{name} of item 3 (blood, femoral vein): no result is on file."
    assert gap.alike == ""


def test_specimens_that_stayed_for_the_same_reason_are_alike():
    stay = [taken(3), taken(4, words="urine, bladder"), taken(5, purpose="Histology")]
    held = [one for one in not_available(stay, []) if one.key.startswith("not-sent")]
    stayed = "no transfer out of the office is on record; the last holder on record is Specimen"
    assert [one.alike for one in held] == [
        f"specimens, taken for toxicology: {stayed} refrigerator 2",
        f"specimens, taken for toxicology: {stayed} refrigerator 2",
        f"specimens, taken for histology: {stayed} refrigerator 2",
    ]
    sections = {one["key"]: one["passages"] for one in sections_of(FromOutside(not_available=held))}
    told = sections["not-available"]
    assert [one["text"] for one in told] == [
        f"Items 3 (blood, femoral vein) and 4 (urine, bladder), taken for toxicology: {stayed} "
        "refrigerator 2.",
        f"Item 5 (blood, femoral vein), taken for histology: {stayed} refrigerator 2.",
    ]
    assert [one["key"] for one in told] == [
        passage_key("not-sent-3 not-sent-4"), passage_key("not-sent-5")
    ]  # fmt: skip


def test_of_two_receivers_of_whom_nobody_said_where_they_are_the_last_is_named():
    first, last = (Party(f"Tox bench {n}", False, "toxicology") for n in (1, 2))
    for parties, named in (
        ([first, last], "Tox bench 2"),
        ([last, first], "Tox bench 1"),
        ([first, Party("D. Renn", True), last], "Tox bench 2"),
        ([last, Party("Freezer 1", False, "toxicology")], "Tox bench 2"),
        ([first, Party("State laboratory", False, "toxicology"), last], ""),
    ):
        assert Taken(3, "blood", "toxicology", parties).unsaid == named


@pytest.mark.parametrize(
    ("words", "tissue", "listed"),
    [
        ("heart, left ventricle", "Heart muscle, left ventricle, anterior wall", False),
        ("liver, right lobe", "Liver", False),
        ("heart, left ventricle", "Heart muscle, septum", True),
        ("skin, edge of the wound", "Skin, neck", True),
        ("tissue, left", "Tissue block", True),
    ],
)
def test_histology_that_was_read_in_this_office_is_not_missing(words, tissue, listed):
    one = taken(7, purpose="Histology", words=words)
    assert bool(not_available([one], [], [tissue])) is listed
    # A slide is no toxicology.
    tox = taken(8, words=words)
    assert len(not_available([tox], [], [tissue])) == len(not_available([tox], []))
