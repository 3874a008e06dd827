"""The page of a method, from the method's own description. No database."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from findings.calculations.docs import limits_of, rounded
from findings.calculations.fields import Field
from findings.calculations.method import Method
from findings.calculations.registry import METHODS, NOT_BUILT
from findings.computing.labels import unit_of
from findings.computing.rules import without_hours_that_are_no_estimate
from findings.computing.wording.phrasing import sources_of
from me_office.read_texts import THOSE_OF_THE_METHOD, of_methods
from me_office.statements import COMMON_PRACTICE, Statement, statement_list


@statement_list
def _as_listed() -> Iterator[Statement]:
    for method in METHODS:
        where = f"Calculations: {method.title}"
        source = "; ".join(one.words for one in sources_of(method.sources))
        for key, text in _texts_of(method):
            yield Statement(f"{method.name}.{key}", text, where, source)
        for own_source, texts in of_methods().get(method.name, {}).items():
            for number, text in enumerate(texts, start=1):
                named = source if own_source == THOSE_OF_THE_METHOD else own_source
                key = f"{method.name}.{own_source}.{number}"
                yield Statement(key, text, where, named)
    for name, why in NOT_BUILT.items():
        yield Statement(f"not-built.{name}", why, "Calculations: not built", COMMON_PRACTICE)


def _texts_of(method: Method) -> Iterator[tuple[str, str]]:
    yield "summary", " ".join(method.summary.split())
    yield "formula", method.formula
    yield "range", method.validity
    for number, caution in enumerate(method.cautions, start=1):
        yield f"caution-{number}", caution
    yield "fields", "; ".join(given_texts(method))


def given_texts(method: Method) -> list[str]:
    """What a method says of its fields and of its results, one by one."""
    fields = [row["help"] for row in _rows(method.fields) if row["help"]]
    return fields + [one.help for one in method.result_fields]


def context_of(method: Method) -> dict[str, object]:
    """What the page of a method shows; the worked example is computed now."""
    result = without_hours_that_are_no_estimate(method.run(method.example).as_plain())
    names = [one.name for one in method.result_fields if one.name in result]
    answer = {
        name: rounded(result[name]) for name in (*names, "reason", "warning") if result.get(name)
    }
    return {
        "method": method,
        "paragraphs": [" ".join(part.split()) for part in method.summary.split("\n\n")],
        "sources": sources_of(method.sources),
        "fields": _rows(method.fields),
        "results": [(one.name, unit_of(one.unit), one.help) for one in method.result_fields],
        "example": _json(method.example),
        "answer": _json(answer),
    }


def _rows(fields: tuple[Field, ...], prefix: str = "") -> list[dict[str, Any]]:
    rows = []
    for field in fields:
        rows.append(
            {
                "name": f"{prefix}{field.name}",
                "kind": field.kind.value,
                "unit": unit_of(field.unit),
                "required": field.required,
                "limits": limits_of(field),
                "help": field.help,
            }
        )
        rows += _rows(field.parts, f"{prefix}{field.name}.")
    return rows


def _json(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, indent=2)
