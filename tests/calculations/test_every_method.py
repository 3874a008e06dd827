"""What holds for every method of the registry: fuzz, errors, refusals, docs and the command."""

import ast
import io
import json
import math
import sys
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from findings.calculations import answers, docs
from findings.calculations.fields import BadInput, Field, Kind, check
from findings.calculations.method import Method, entries, sections
from findings.calculations.registry import BY_NAME, METHODS, UnknownMethod, calculate, find
from findings.management.commands.calculate import Command

HOME = Path(docs.__file__).parent
TOPICS = {
    "pmi_rectal", "vitreous_potassium", "organ_weights", "body_surface", "wound_path",
    "photo_scale", "deadlines", "hash_and_merkle", "impacts", "lividity_rigor",
}  # fmt: skip
each_method = pytest.mark.parametrize("method", METHODS, ids=[one.name for one in METHODS])
quick = settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
ANYTHING = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=5), inner),
    max_leaves=8,
)


def likely(field: Field) -> st.SearchStrategy[Any]:
    """Values that mostly pass the field's own check, extremes included."""
    low = field.minimum if field.minimum is not None else (field.above or -1e6)
    high = field.maximum if field.maximum is not None and field.kind is not Kind.TEXT else 1e6
    number = st.floats(low, max(high, low)) | st.sampled_from([low, high])
    point = st.tuples(number, number).map(list)
    text = st.sampled_from(["2026-06-05", "2026-06-05T10:00", "adult", "5", "abc", "00"])
    text |= st.sampled_from(["adult_male", "anterior", "America/New_York"]) | st.text(max_size=5)
    names = st.sampled_from(["A", "B", "C"])
    parts = st.fixed_dictionaries({part.name: likely(part) for part in field.parts})
    return {
        Kind.NUMBER: number,
        Kind.NUMBER_OR_RANGE: number | point,
        Kind.NUMBERS: st.lists(number, max_size=4),
        Kind.INTEGER: st.integers(0, 40),
        Kind.FLAG: st.booleans(),
        Kind.TEXT: text,
        Kind.TEXT_OR_NUMBER: text | st.integers(0, 90),
        Kind.TEXTS: st.lists(names, max_size=4),
        Kind.TEXT_OR_TEXTS: st.lists(st.sampled_from(["00", "ff", ""]), max_size=5),
        Kind.GROUPS: st.lists(st.lists(names, min_size=2, max_size=3), max_size=3),
        Kind.CHOICE: st.sampled_from(field.choices or ("",)),
        Kind.DATE: st.dates().map(str),
        Kind.DATES: st.lists(st.dates().map(str), max_size=3),
        Kind.MOMENT: st.datetimes().map(lambda when: when.isoformat()),
        Kind.POINTS: st.lists(point, max_size=6),
        Kind.NUMBER_OR_POINTS: number | st.lists(point, max_size=6),
        Kind.FRACTIONS: st.dictionaries(
            st.sampled_from(["trunk_front", "head_front", "right_arm"]), st.floats(0, 1)
        ),
        Kind.OBJECT: parts,
        Kind.OBJECTS: st.lists(parts, max_size=3),
    }[field.kind]


def assert_answered(name: str, given: object) -> None:
    """A valid JSON object, no NaN, and a field with every error."""
    status, text = answers.answer(name, json.dumps(given))

    def refuse(constant: str) -> None:
        raise AssertionError(f"{constant} in the answer")

    found = json.loads(text, parse_constant=refuse)
    assert status in (answers.OK, answers.BAD_INPUT)
    if status == answers.BAD_INPUT:
        assert found["field"] and found["error"]
    else:
        assert found["cautions"] and found["source"] and found["version"]
        if found["reason"]:
            assert found["value"] is None


@each_method
@quick
@given(data=st.data())
def test_likely_inputs_get_an_answer_or_a_named_field(method: Method, data: st.DataObject) -> None:
    chosen = [field for field in method.fields if field.required or data.draw(st.booleans())]
    assert_answered(method.name, {field.name: data.draw(likely(field)) for field in chosen})


@each_method
@quick
@given(data=st.data())
def test_the_example_with_one_field_broken_never_crashes(
    method: Method, data: st.DataObject
) -> None:
    name = data.draw(st.sampled_from([field.name for field in method.fields]))
    assert_answered(method.name, {**method.example, name: data.draw(ANYTHING)})


@quick
@given(st.sampled_from(sorted(BY_NAME)), st.dictionaries(st.text(max_size=6), ANYTHING))
def test_unknown_fields_are_named(name: str, given: dict[str, object]) -> None:
    status, text = answers.answer(name, json.dumps(given))
    assert status == answers.BAD_INPUT or not given
    assert "field" in json.loads(text) or status == answers.OK


@pytest.mark.parametrize(
    "text", ["", "{", "[]", "3", "null", '"x"', "[" * 100_000, '{"rectal_C": NaN}']
)
def test_text_that_is_no_object_is_an_error(text: str) -> None:
    status, found = answers.answer("pmi_rectal", text)
    assert status == answers.BAD_INPUT
    assert json.loads(found)["field"]


@each_method
def test_the_example_of_each_method_gives_a_result(method: Method) -> None:
    result = method.run(method.example)
    assert not result.is_refused
    plain = result.as_plain()
    assert any(one.name in plain for one in method.result_fields)


@each_method
def test_every_result_field_that_can_appear_is_described(method: Method) -> None:
    frame = {"method", "version", "value", "unit", "interval", "reason", "warning", "warnings"}
    frame |= {"note", "cautions", "source", "formula"}
    described = {one.name for one in method.result_fields}
    assert set(method.run(method.example).as_plain()) - frame <= described


def test_the_methods_carry_the_names_of_the_reference_values() -> None:
    assert set(BY_NAME) >= TOPICS | {"body_pick", "body_area"}
    assert len(BY_NAME) == sum(1 + len(one.other_names) for one in METHODS)


def test_drug_concentrations_are_left_to_the_toxicologist() -> None:
    with pytest.raises(UnknownMethod) as caught:
        find("drug_reference")
    assert "toxicologist" in caught.value.message
    assert "toxicologist" in docs.all_pages()


@pytest.mark.parametrize(
    ("field", "value"),
    [
        (Field("n", Kind.NUMBER, ""), "3"),
        (Field("n", Kind.NUMBER, ""), True),
        (Field("n", Kind.NUMBER, ""), math.inf),
        (Field("n", Kind.NUMBER, ""), 10**400),
        (Field("n", Kind.NUMBER, "", above=0), 0),
        (Field("n", Kind.NUMBER, "", minimum=2), 1.9),
        (Field("n", Kind.NUMBER, "", maximum=2), 2.1),
        (Field("n", Kind.INTEGER, ""), 2.5),
        (Field("n", Kind.NUMBER_OR_RANGE, ""), [2, 1]),
        (Field("n", Kind.NUMBER_OR_RANGE, ""), [1]),
        (Field("n", Kind.FLAG, ""), 1),
        (Field("n", Kind.TEXT, ""), 7),
        (Field("n", Kind.TEXT, ""), "\ud800"),
        (Field("n", Kind.TEXT, ""), "x" * 10_001),
        (Field("n", Kind.CHOICE, "", choices=("a",)), "b"),
        (Field("n", Kind.DATE, ""), "2026-02-30"),
        (Field("n", Kind.MOMENT, ""), "noon"),
        (Field("n", Kind.POINTS, ""), [[1, 2, 3]]),
        (Field("n", Kind.POINTS, ""), [[1, 2]] * 5001),
        (Field("n", Kind.OBJECT, ""), []),
    ],
)
def test_a_value_of_the_wrong_kind_names_its_field(field: Field, value: object) -> None:
    with pytest.raises(BadInput) as caught:
        check((field,), {"n": value})
    assert caught.value.field == "n"


def test_a_missing_field_and_a_field_inside_an_object_are_named() -> None:
    for inputs, field in (
        ({"terminus": {}}, "entrance"),
        ({"entrance": {"left_cm": 1}}, "entrance.front_cm"),
        ({"entrance": {"left": 1}}, "entrance.left"),
    ):
        with pytest.raises(BadInput) as caught:
            calculate("wound_path", inputs)
        assert caught.value.field == field


@each_method
def test_a_page_has_formula_range_source_cautions_and_a_worked_example(method: Method) -> None:
    page = docs.page(method)
    for heading in ("Formula", "Range", "Sources", "Cautions", "Input", "Result"):
        assert f"\n## {heading}\n" in page
    assert page.count("```json") == 2
    assert all(f"`{field.name}`" in page for field in method.fields)


def test_sections_and_entries_are_read_out_of_a_docstring() -> None:
    parts = sections("What.\n\nMore.\n\nSources:\n    - One,\n      and on.\n    - Two.\n")
    assert parts[""] == "What.\n\nMore."
    assert entries(parts["Sources"]) == ("One, and on.", "Two.")


def test_calculations_import_neither_django_nor_models() -> None:
    for path in HOME.glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            names = [one.name for one in node.names] if isinstance(node, ast.Import) else []
            names += [node.module or ""] if isinstance(node, ast.ImportFrom) else []
            assert not [name for name in names if name.split(".")[0] in {"django", "cases"}], path


def run_command(monkeypatch: pytest.MonkeyPatch, text: str, **options: object) -> tuple[int, str]:
    out = io.StringIO()
    monkeypatch.setattr(sys, "stdin", io.StringIO(text))
    settled = {"method": None, "list": False, "docs": False, **options}
    try:
        Command(stdout=out).handle(**settled)
    except SystemExit as stopped:
        return int(stopped.code or 0), out.getvalue()
    return 0, out.getvalue()


def test_the_command_reads_and_writes_json(monkeypatch: pytest.MonkeyPatch) -> None:
    given = json.dumps({"potassium_mmol_L": 8.0, "formula": "madea1989"})
    status, text = run_command(monkeypatch, given, method="vitreous_potassium")
    # 11.18 h: computed from the published formula.
    assert status == 0
    assert json.loads(text)["t_h"] == pytest.approx(11.18)


def test_the_command_ends_with_2_and_the_field_for_a_wrong_input(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    status, text = run_command(
        monkeypatch, '{"rectal_C": "cold", "ambient_C": 3, "mass_kg": 70}', method="pmi_rectal"
    )
    assert status == 2
    assert json.loads(text)["field"] == "rectal_C"


def test_a_refusal_ends_with_0_and_its_reason(monkeypatch: pytest.MonkeyPatch) -> None:
    status, text = run_command(
        monkeypatch, '{"rectal_C": 38, "ambient_C": 20, "mass_kg": 70}', method="pmi_rectal"
    )
    assert status == 0
    assert "37.2" in json.loads(text)["reason"]


def test_the_command_names_the_methods_with_their_fields(monkeypatch: pytest.MonkeyPatch) -> None:
    status, text = run_command(monkeypatch, "", list=True)
    listed = {one["name"]: one for one in json.loads(text)["methods"]}
    assert status == 0
    assert set(listed) == {one.name for one in METHODS}
    assert [field["name"] for field in listed["pmi_rectal"]["fields"]][:3] == [
        "rectal_C", "ambient_C", "mass_kg",
    ]  # fmt: skip


def test_the_command_without_or_with_an_unknown_method_is_an_error(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    for method in (None, "phrenology"):
        status, text = run_command(monkeypatch, "{}", method=method)
        assert status == 2
        assert json.loads(text)["field"] == "METHOD"


def test_the_command_prints_all_pages(monkeypatch: pytest.MonkeyPatch) -> None:
    status, text = run_command(monkeypatch, "", docs=True)
    assert status == 0
    assert all(f"# {method.title}\n" in text for method in METHODS)
