"""Fields of every kind row by row: what comes back, what is refused and in which words."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

import pytest

from findings.calculations.fields import (
    LONGEST_LIST,
    LONGEST_TEXT,
    BadInput,
    Field,
    Inputs,
    Kind,
    check,
)

KG = Field("n", Kind.NUMBER, "", "kg", minimum=2, maximum=5)
OVER = Field("n", Kind.NUMBER, "", "kg", above=2)
BARE = Field("n", Kind.NUMBER, "", minimum=2, maximum=5)
PLAIN = Field("n", Kind.NUMBER, "")
RANGE = Field("n", Kind.NUMBER_OR_RANGE, "", minimum=2)
SHORT = Field("n", Kind.TEXT, "", maximum=3)
NAMED = Field("n", Kind.CHOICE, "", choices=("Adult", "CHILD"))
PARTS = (Field("a", Kind.NUMBER, "", required=True), Field("b", Kind.TEXT, ""))
PAIR = Field("n", Kind.OBJECT, "", parts=PARTS)
PAIRS = Field("n", Kind.OBJECTS, "", parts=PARTS)


def of(kind: Kind) -> Field:
    return Field("n", kind, "", minimum=0)


@pytest.mark.parametrize(
    ("field", "given", "checked"),
    [
        (KG, 2, 2.0),
        (KG, 5, 5.0),
        (OVER, 2.1, 2.1),
        (PLAIN, -1e300, -1e300),
        (of(Kind.INTEGER), 3.0, 3),
        (RANGE, 2, 2.0),
        (RANGE, [2, 2], (2.0, 2.0)),
        (RANGE, [2, 9], (2.0, 9.0)),
        (of(Kind.NUMBERS), [], []),
        (of(Kind.NUMBERS), [1, 2.5], [1.0, 2.5]),
        (of(Kind.FLAG), False, False),
        (of(Kind.FLAG), True, True),
        (Field("n", Kind.TEXT, ""), "x" * LONGEST_TEXT, "x" * LONGEST_TEXT),
        (SHORT, "äöü", "äöü"),
        (of(Kind.TEXT_OR_NUMBER), "5", "5"),
        (of(Kind.TEXT_OR_NUMBER), 5, "5"),
        (of(Kind.TEXT_OR_NUMBER), 0.25, "0.25"),
        (Field("n", Kind.TEXTS, ""), ["a", "b"], ["a", "b"]),
        (Field("n", Kind.TEXTS, ""), ["a"] * LONGEST_LIST, ["a"] * LONGEST_LIST),
        (of(Kind.TEXT_OR_TEXTS), "a", "a"),
        (of(Kind.TEXT_OR_TEXTS), ["a"], ["a"]),
        (of(Kind.GROUPS), [["a", "b"], []], [["a", "b"], []]),
        (NAMED, "adult", "Adult"),
        (NAMED, "Child", "CHILD"),
        (of(Kind.DATE), "2028-02-29", date(2028, 2, 29)),
        (of(Kind.DATES), ["2026-06-05"], [date(2026, 6, 5)]),
        (of(Kind.MOMENT), "2026-06-05T14:30", datetime(2026, 6, 5, 14, 30)),
        (of(Kind.POINTS), [[1, 2], [3, 4]], [(1.0, 2.0), (3.0, 4.0)]),
        (of(Kind.NUMBER_OR_POINTS), 3, 3.0),
        (of(Kind.NUMBER_OR_POINTS), [[1, 2]], [(1.0, 2.0)]),
        (of(Kind.FRACTIONS), {"head": 1, "arm": 0}, {"head": 1.0, "arm": 0.0}),
        (PAIR, {"a": 1, "b": "x"}, {"a": 1.0, "b": "x"}),
        (PAIRS, [{"a": 1}, {"a": 2}], [{"a": 1.0}, {"a": 2.0}]),
    ],
)
def test_a_value_of_its_kind_comes_back_checked(field: Field, given: Any, checked: Any) -> None:
    found = check((field,), {"n": given})["n"]
    assert found == checked
    assert type(found) is type(checked)


TWO = "must be one number, or a list of the lowest and the highest"
DAY = "must be a date like 2026-06-05"
MOMENT = "must be a date and time like 2026-06-05T14:30"
LONG = "must not be longer than 10000 characters"
ONE = "must not be longer than 1 characters"
THREE = "must not be longer than 3 characters"
MANY = "must not have more than 5000 entries"


@pytest.mark.parametrize(
    ("field", "given", "message"),
    [
        (KG, 1.9, "must be at least 2 kg"),
        (KG, 5.1, "must be at most 5 kg"),
        (BARE, 1.9, "must be at least 2"),
        (BARE, 5.1, "must be at most 5"),
        (OVER, 2, "must be more than 2 kg"),
        (Field("n", Kind.NUMBER, "", above=2), 1, "must be more than 2"),
        (PLAIN, "3", "must be a number"),
        (PLAIN, True, "must be a number"),
        (PLAIN, 10**400, "is too large a number"),
        (PLAIN, float("inf"), "must be a finite number"),
        (PLAIN, float("nan"), "must be a finite number"),
        (of(Kind.INTEGER), 2.5, "must be a whole number"),
        (of(Kind.INTEGER), "2", "must be a number"),
        (RANGE, [2, 3, 4], TWO),
        (RANGE, [2], TWO),
        (RANGE, [3, 2], "the lowest must not be above the highest"),
        (RANGE, [1, 3], "must be at least 2"),
        (RANGE, 1, "must be at least 2"),
        (of(Kind.NUMBERS), [1, -1], "must be at least 0"),
        (of(Kind.NUMBERS), 1, "must be a list"),
        (of(Kind.FLAG), 1, "must be true or false"),
        (of(Kind.TEXT), 7, "must be text"),
        (Field("n", Kind.TEXT, ""), "x" * (LONGEST_TEXT + 1), LONG),
        (SHORT, "abcd", THREE),
        (of(Kind.TEXT_OR_NUMBER), -1, "must be at least 0"),
        (of(Kind.TEXT_OR_NUMBER), True, "must be text"),
        (Field("n", Kind.TEXT_OR_NUMBER, ""), "x" * (LONGEST_TEXT + 1), LONG),
        (Field("n", Kind.TEXT, ""), "\ud800", "must be valid Unicode text"),
        (Field("n", Kind.TEXT, ""), "a\x00b", "must not contain a null character"),
        (Field("n", Kind.TEXTS, ""), ["a", 7], "must be text"),
        (Field("n", Kind.TEXTS, "", maximum=3), ["abcd"], THREE),
        (Field("n", Kind.TEXTS, ""), ["a"] * (LONGEST_LIST + 1), MANY),
        (Field("n", Kind.TEXT_OR_TEXTS, ""), 7, "must be text"),
        (SHORT, "a" * 4, THREE),
        (Field("n", Kind.TEXT_OR_TEXTS, "", maximum=1), "ab", ONE),
        (Field("n", Kind.TEXT_OR_TEXTS, "", maximum=1), ["ab"],
         ONE),
        (Field("n", Kind.GROUPS, "", maximum=1), [["ab"]], ONE),
        (Field("n", Kind.GROUPS, ""), [["a"], "b"], "must be a list"),
        (Field("n", Kind.GROUPS, ""), "b", "must be a list"),
        (NAMED, "elder", "must be one of: Adult, CHILD"),
        (NAMED, 3, "must be text"),
        (Field("n", Kind.DATE, ""), "2026-02-30", DAY),
        (Field("n", Kind.DATE, ""), 3, "must be text"),
        (Field("n", Kind.DATE, "", maximum=3), "2026-02-20", THREE),
        (Field("n", Kind.DATES, ""), ["2026-02-20", "x"], DAY),
        (Field("n", Kind.DATES, "", maximum=3), ["2026-02-20"],
         THREE),
        (Field("n", Kind.DATES, ""), "2026-02-20", "must be a list"),
        (Field("n", Kind.MOMENT, ""), "noon", MOMENT),
        (Field("n", Kind.MOMENT, ""), 3, "must be text"),
        (Field("n", Kind.MOMENT, "", maximum=3), "2026-02-20T10:00",
         THREE),
        (of(Kind.POINTS), [[1, 2, 3]], "each point must be two numbers"),
        (of(Kind.POINTS), [[1]], "each point must be two numbers"),
        (of(Kind.POINTS), [1], "must be a list"),
        (of(Kind.POINTS), 1, "must be a list"),
        (of(Kind.POINTS), [[1, 2], [-1, 2]], "must be at least 0"),
        (of(Kind.POINTS), [[1, 2], [1, -2]], "must be at least 0"),
        (of(Kind.NUMBER_OR_POINTS), -1, "must be at least 0"),
        (of(Kind.NUMBER_OR_POINTS), [[-1, 0]], "must be at least 0"),
        (of(Kind.FRACTIONS), [1], "must be an object of names and fractions"),
        (PAIR, [1], "must be an object"),
        (PAIRS, {"a": 1}, "must be a list"),
    ],
)  # fmt: skip
def test_a_value_of_another_kind_names_its_field_and_what_it_must_be(
    field: Field, given: Any, message: str
) -> None:
    with pytest.raises(BadInput) as caught:
        check((field,), {"n": given})
    assert (caught.value.field, caught.value.message) == ("n", message)


@pytest.mark.parametrize(
    ("field", "given", "named", "message"),
    [
        (of(Kind.FRACTIONS), {"head": -1}, "n.head", "must be at least 0"),
        (PAIR, {}, "n.a", "is required"),
        (PAIR, {"a": "x"}, "n.a", "must be a number"),
        (PAIR, {"c": 1}, "n.c", "is not a field of this method"),
        (PAIRS, [{"a": 1}, {}], "n[1].a", "is required"),
        (PAIRS, [3], "n[0]", "must be an object"),
    ],
)
def test_what_is_wrong_inside_an_object_is_named_by_its_path(
    field: Field, given: Any, named: str, message: str
) -> None:
    with pytest.raises(BadInput) as caught:
        check((field,), {"n": given})
    assert (caught.value.field, caught.value.message) == (named, message)


def test_null_counts_as_not_sent_except_where_it_means_something() -> None:
    plain, nullable = Field("p", Kind.FLAG, ""), Field("q", Kind.FLAG, "", nullable=True)
    needed = Field("r", Kind.FLAG, "", required=True, nullable=True)
    assert check((plain, nullable), {"p": None, "q": None}) == {"q": None}
    assert check((plain, nullable), {}) == {}
    assert check((needed,), {"r": None}) == {"r": None}
    for fields, given, named in (((needed,), {}, "r"), ((plain,), {"s": 1}, "s")):
        with pytest.raises(BadInput) as caught:
            check(fields, given)
        assert caught.value.field == named
    assert caught.value.message == "is not a field of this method"
    assert str(caught.value) == "s: is not a field of this method"
    assert str(BadInput(None, "is no JSON")) == "is no JSON"


def test_a_field_describes_itself() -> None:
    inner = Field("a", Kind.NUMBER, "Left.", "cm", required=True, above=0, maximum=9)
    outer = Field("n", Kind.OBJECT, "Where.", parts=(inner,), choices=("x", "y"), minimum=1)
    assert outer.describe() == {
        "name": "n",
        "type": "object",
        "unit": "",
        "required": False,
        "minimum": 1,
        "minimum_is_exclusive": False,
        "maximum": None,
        "choices": ["x", "y"],
        "help": "Where.",
        "fields": [
            {
                "name": "a",
                "type": "number",
                "unit": "cm",
                "required": True,
                "minimum": 0,
                "minimum_is_exclusive": True,
                "maximum": 9,
                "choices": [],
                "help": "Left.",
                "fields": [],
            }
        ],
    }
    both = Field("n", Kind.NUMBER, "", above=1, minimum=2).describe()
    assert (both["minimum"], both["minimum_is_exclusive"]) == (2, False)
    assert Field("n", Kind.NUMBER, "").describe()["minimum_is_exclusive"] is False


def test_inputs_are_read_by_name_and_kind() -> None:
    inputs = Inputs({"a": 3, "b": None, "c": 0, "d": True})
    assert [inputs.has(name) for name in "abcde"] == [True, False, True, True, False]
    assert (inputs.number("a"), inputs.text("a"), inputs.raw("a")) == (3.0, "3", 3)
    assert type(inputs.number("a")) is float
    assert (inputs.number("e", 2), inputs.text("e", "x")) == (2.0, "x")
    assert (inputs.number("c", 2), inputs.raw("c")) == (0.0, 0)
    assert [inputs.flag("d"), inputs.flag("c", True)] == [True, False]
    assert [inputs.flag("e"), inputs.flag("e", True)] == [False, True]
    for read in (inputs.number, inputs.text, inputs.raw):
        for name in ("b", "e"):
            with pytest.raises(BadInput) as caught:
                read(name)
            assert (caught.value.field, caught.value.message) == (name, "is required")
