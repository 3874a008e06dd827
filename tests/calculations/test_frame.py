"""The frame of every method: result, method, registry and answers, whole and word for word."""

from __future__ import annotations

import json
from typing import Any

import pytest

from findings.calculations import answers, registry
from findings.calculations.fields import BadInput, Field, Inputs, Kind
from findings.calculations.method import (
    TOO_EXTREME,
    Method,
    ResultField,
    define,
    entries,
    sections,
)
from findings.calculations.registry import METHODS, UnknownMethod
from findings.calculations.result import Interval, Outcome, Result, is_finite, refusal


def test_a_result_is_one_flat_object() -> None:
    outcome = Outcome(
        fields={"t_h": 3},
        value=3,
        unit="h",
        interval=Interval(1, None, "95 %"),
        warnings=("one", "two"),
        notes=("three", "four"),
    )
    result = Result("m", "A method", "1.0", outcome, ("Take care.",), ("A paper.",))
    assert not result.is_refused
    assert result.as_plain() == {
        "t_h": 3,
        "method": "m",
        "version": "1.0",
        "value": 3,
        "unit": "h",
        "interval": {"low": 1, "high": None, "meaning": "95 %"},
        "reason": None,
        "warning": "one; two",
        "warnings": ["one", "two"],
        "note": "three; four",
        "cautions": ["Take care."],
        "source": ["A paper."],
    }


def test_a_refusal_has_no_estimate_and_its_reason() -> None:
    assert refusal("too warm") == Outcome(fields={"estimate": None}, reason="too warm")
    with_more = refusal("too warm", fields={"q": 1}, warnings=("one",))
    assert with_more == Outcome({"estimate": None, "q": 1}, warnings=("one",), reason="too warm")
    result = Result("m", "A method", "1.0", with_more, (), ())
    assert result.is_refused
    plain = result.as_plain()
    assert (plain["reason"], plain["value"], plain["interval"]) == ("too warm", None, None)
    assert (plain["warning"], plain["note"], plain["unit"]) == ("one", None, "")
    assert Result("m", "", "", Outcome({}), (), ()).as_plain()["warning"] is None


def test_a_number_that_is_none_is_found_wherever_it_stands() -> None:
    for good in (1.0, 10**400, "nan", None, [1.0, [2.0]], {"a": [1.0], "b": {"c": 2.0}}):
        assert is_finite(good) is True
    for bad in (float("nan"), float("-inf")):
        for value in (bad, [1.0, bad], [[bad]], {"a": bad}, {"a": 1.0, "b": [bad]}):
            assert is_finite(value) is False


# Methods.
DOC = """What it is.

And more.

Formula:
    a = b
      + c

Range:
    From here
    to there.

Sources:
    - One,
      and on.
    - Two.

Cautions:
    - Take care.
"""


def a_method(doc: str | None = DOC, **more: Any) -> Method:
    given: dict[str, Any] = {
        "name": "half",
        "title": "Half",
        "version": "1.2",
        "fields": (Field("n", Kind.NUMBER, "A number.", "mm"),),
        "result_fields": (ResultField("h", "mm", "Half of it."),),
        "example": {"n": 4},
        "compute": halved,
        **more,
    }
    return define(doc, **given)


def halved(inputs: Inputs) -> Outcome:
    return Outcome({"h": inputs.number("n") / 2, "more": 1 / (inputs.number("n") - 1)}, 2)


def test_a_method_is_made_of_its_docstring() -> None:
    assert a_method(other_names=("semi",)) == Method(
        name="half",
        title="Half",
        version="1.2",
        fields=(Field("n", Kind.NUMBER, "A number.", "mm"),),
        result_fields=(ResultField("h", "mm", "Half of it."),),
        summary="What it is.\n\nAnd more.",
        formula="a = b\n  + c",
        validity="From here to there.",
        sources=("One, and on.", "Two."),
        cautions=("Take care.",),
        example={"n": 4},
        compute=halved,
        other_names=("semi",),
    )
    assert a_method().other_names == ()


@pytest.mark.parametrize("heading", ["Formula", "Range", "Sources", "Cautions"])
def test_a_method_without_a_section_is_refused(heading: str) -> None:
    for doc in (DOC.replace(f"{heading}:", f"{heading}"), DOC.replace(heading, heading.upper())):
        with pytest.raises(ValueError, match=f"docstring of half has no section '{heading}'"):
            a_method(doc)


def test_a_method_without_a_docstring_or_summary_is_refused() -> None:
    for doc in (None, "", DOC.partition("\n\nAnd more.")[2]):
        with pytest.raises(ValueError, match="The docstring of half has no section ''"):
            a_method(doc)


def test_a_method_describes_itself() -> None:
    assert a_method(other_names=("semi",)).describe() == {
        "name": "half",
        "other_names": ["semi"],
        "title": "Half",
        "version": "1.2",
        "summary": "What it is.\n\nAnd more.",
        "fields": [Field("n", Kind.NUMBER, "A number.", "mm").describe()],
        "results": [{"name": "h", "unit": "mm", "help": "Half of it."}],
        "validity": "From here to there.",
        "source": ["One, and on.", "Two."],
        "cautions": ["Take care."],
        "example": {"n": 4},
    }


def test_a_run_carries_everything_that_stands_beside_a_result() -> None:
    assert a_method().run({"n": 5}) == Result(
        method="half",
        title="Half",
        version="1.2",
        outcome=Outcome({"h": 2.5, "more": 0.25}, 2),
        cautions=("Take care.",),
        sources=("One, and on.", "Two."),
        inputs={"n": 5},
    )


def test_numbers_that_cannot_be_computed_are_an_error_of_the_input() -> None:
    def beyond(inputs: Inputs) -> Outcome:
        return Outcome({"h": float("inf")})

    def no_value(inputs: Inputs) -> Outcome:
        return Outcome({}, float("nan"))

    for method in (a_method(), a_method(compute=beyond), a_method(compute=no_value)):
        with pytest.raises(BadInput) as caught:
            method.run({"n": 1})
        assert (caught.value.field, caught.value.message) == ("input", TOO_EXTREME)


def test_a_docstring_falls_into_its_sections_and_their_entries() -> None:
    parts = sections("One.\nTwo.\n\nA heading:\n    a\n      b\n\nLast:\n    c\n")
    assert parts == {"": "One.\nTwo.", "A heading": "a\n  b", "Last": "c"}
    assert sections("x\nnot a heading:\n    y")[""] == "x\nnot a heading:\n    y"
    listed = "before\n- One,\n  and on.\n\n- Two.\n- Three\n  or\n  so"
    assert entries(listed) == ("One, and on.", "Two.", "Three or so")
    assert entries("") == ()


# Registry and answers.
def test_a_method_is_found_by_each_of_its_names() -> None:
    for method in METHODS:
        for name in (method.name, *method.other_names):
            assert registry.find(name) is method
    assert registry.calculate("impacts", {"marks": ["A"]}).outcome.value == 1


@pytest.mark.parametrize(
    ("name", "message"),
    [
        ("phrenology", "There is no method called 'phrenology'."),
        (
            "drug_reference",
            "Interpretation of drug concentrations is not built on purpose: it stays with the "
            "toxicologist.",
        ),
    ],
)
def test_a_method_that_is_not_there_says_so(name: str, message: str) -> None:
    with pytest.raises(UnknownMethod) as caught:
        registry.find(name)
    assert (caught.value.name, caught.value.message) == (name, message)
    assert caught.value.args == (name,)
    status, text = answers.answer(name, "{}")
    assert status == answers.BAD_INPUT
    assert json.loads(text) == {"error": message, "field": "METHOD", "code": "bad_input"}


@pytest.mark.parametrize(
    ("text", "field", "message"),
    [
        ("", "input", "must be a JSON object on standard input"),
        ("[" * 100_000, "input", "must be a JSON object on standard input"),
        ("[]", "input", "must be a JSON object"),
        ("{" + " " * (answers.LONGEST_INPUT - 1) + "}", "input", "is too long"),
        ('{"x": 1}', "x", "is not a field of this method"),
        ("{" + " " * (answers.LONGEST_INPUT - 2) + "}", "marks", "is required"),
    ],
    ids=["nothing", "deep", "list", "too long", "unknown field", "longest"],
)
def test_a_text_that_cannot_be_used_names_why(text: str, field: str, message: str) -> None:
    status, found = answers.answer("impacts", text)
    assert status == 2
    assert found == json.dumps({"error": message, "field": field, "code": "bad_input"}, indent=2)


def test_an_answer_is_the_result_as_indented_json() -> None:
    given = {"marks": ["A"]}
    status, text = answers.answer("impacts", json.dumps(given))
    expected = json.dumps(registry.calculate("impacts", given).as_plain(), indent=2)
    assert (status, text) == (0, expected)


def test_the_listing_names_every_method_and_what_is_not_built() -> None:
    assert json.loads(answers.listing()) == {
        "methods": json.loads(json.dumps([method.describe() for method in METHODS])),
        "not_built": dict(registry.NOT_BUILT),
    }
    with pytest.raises(ValueError, match="not JSON compliant"):
        answers._text({"a": float("nan")})
