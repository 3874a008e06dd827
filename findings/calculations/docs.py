"""One Markdown page a method, made from its docstring, its fields and a worked example."""

from __future__ import annotations

import json

from findings.calculations.fields import Field
from findings.calculations.method import Method
from findings.calculations.registry import METHODS, NOT_BUILT
from findings.calculations.result import Plain


def limits_of(field: Field) -> str:
    """The choices or the limits of a field in words."""
    if field.choices:
        return ", ".join(field.choices)
    low = "" if field.minimum is None else f"from {field.minimum:g}"
    if field.above is not None:
        low = f"above {field.above:g}"
    high = "" if field.maximum is None else f"to {field.maximum:g}"
    return " ".join(part for part in (low, high) if part)


def _cell(text: str) -> str:
    return text.replace("|", "\\|") or "-"


def _field_rows(fields: tuple[Field, ...], prefix: str = "") -> list[str]:
    rows = []
    for field in fields:
        cells = (
            f"`{prefix}{field.name}`",
            field.kind.value,
            field.unit,
            "yes" if field.required else "no",
            limits_of(field),
            field.help,
        )
        rows.append("| " + " | ".join(_cell(cell) for cell in cells) + " |")
        rows += _field_rows(field.parts, f"{prefix}{field.name}.")
    return rows


def _list(entries: tuple[str, ...]) -> list[str]:
    return [f"- {entry}" for entry in entries]


def rounded(value: Plain) -> Plain:
    """Numbers with six digits: a page is read, not computed with."""
    if isinstance(value, float):
        return float(f"{value:.6g}")
    if isinstance(value, list):
        return [rounded(part) for part in value]
    if isinstance(value, dict):
        return {name: rounded(part) for name, part in value.items()}
    return value


def _worked(method: Method) -> list[str]:
    result = method.run(method.example).as_plain()
    names = [one.name for one in method.result_fields if one.name in result]
    shown = {
        name: rounded(result[name]) for name in (*names, "reason", "warning") if result.get(name)
    }
    return [
        "Input:",
        "",
        "```json",
        json.dumps(method.example, ensure_ascii=False, indent=2),
        "```",
        "",
        "Result:",
        "",
        "```json",
        json.dumps(shown, ensure_ascii=False, indent=2),
        "```",
    ]


def _about(method: Method) -> list[str]:
    names = "".join(f" (also `{name}`)" for name in method.other_names)
    return [
        f"# {method.title}",
        "",
        f"Method `{method.name}`{names}, version {method.version}.",
        "",
        method.summary,
        "",
        "## Formula",
        "",
        "```text",
        method.formula,
        "```",
        "",
        "## Range",
        "",
        method.validity,
        "",
        "## Sources",
        "",
        *_list(method.sources),
        "",
        "## Cautions",
        "",
        *_list(method.cautions),
        "",
    ]


def _tables(method: Method) -> list[str]:
    return [
        "## Input",
        "",
        "| field | type | unit | required | range or choices | meaning |",
        "| --- | --- | --- | --- | --- | --- |",
        *_field_rows(method.fields),
        "",
        "## Result",
        "",
        "| field | unit | meaning |",
        "| --- | --- | --- |",
        *(
            f"| `{one.name}` | {_cell(one.unit)} | {_cell(one.help)} |"
            for one in method.result_fields
        ),
        "",
        "Beside them always: `value`, `unit`, `interval`, `reason` (set when the method refuses), "
        "`warnings`, `cautions`, `source`, `method` and `version`.",
        "",
    ]


def page(method: Method) -> str:
    """The page of one method."""
    worked = ["## Worked example", "", *_worked(method), ""]
    return "\n".join([*_about(method), *_tables(method), *worked])


def not_built_page() -> str:
    """What is left out on purpose, and why."""
    lines = ["# Not built", "", *(f"- `{name}`: {why}" for name, why in NOT_BUILT.items()), ""]
    return "\n".join(lines)


def all_pages() -> str:
    """Every page in one text, in the order of the registry."""
    return "\n".join([*(page(method) for method in METHODS), not_built_page()])
