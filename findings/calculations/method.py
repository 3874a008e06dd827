"""What a method is: its name, fields, sources and cautions, and the function that computes it.

Formula, range, sources and cautions are read out of the docstring of the method's module, so that
the documentation, the page and the code say the same thing because they are the same text.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from findings.calculations.fields import BadInput, Field, Inputs, check
from findings.calculations.result import Outcome, Plain, Result, is_finite

TOO_EXTREME = "leads to numbers beyond what can be computed"
_HEADING = re.compile(r"^([A-Z][a-z ]+):$")


@dataclass(frozen=True)
class ResultField:
    """One field of a method's result."""

    name: str
    unit: str
    help: str


@dataclass(frozen=True)
class Method:
    """A published method, ready to be offered by a page, the API, the command and the docs."""

    name: str
    title: str
    version: str
    fields: tuple[Field, ...]
    result_fields: tuple[ResultField, ...]
    summary: str
    formula: str
    validity: str
    sources: tuple[str, ...]
    cautions: tuple[str, ...]
    example: Mapping[str, Plain]
    compute: Callable[[Inputs], Outcome]
    other_names: tuple[str, ...] = ()

    def run(self, given: Mapping[str, Plain]) -> Result:
        """Check the inputs and compute; raises `BadInput` for an input that cannot be used."""
        inputs = Inputs(check(self.fields, given))
        try:
            outcome = self.compute(inputs)
        except ArithmeticError:
            raise BadInput("input", TOO_EXTREME) from None
        if not all(map(is_finite, (*outcome.fields.values(), outcome.value))):
            raise BadInput("input", TOO_EXTREME)
        return Result(
            method=self.name,
            title=self.title,
            version=self.version,
            outcome=outcome,
            cautions=self.cautions,
            sources=self.sources,
            inputs=dict(given),
        )

    def describe(self) -> dict[str, Plain]:
        """The method as plain values, without the function."""
        return {
            "name": self.name,
            "other_names": list(self.other_names),
            "title": self.title,
            "version": self.version,
            "summary": self.summary,
            "fields": [field.describe() for field in self.fields],
            "results": [
                {"name": one.name, "unit": one.unit, "help": one.help} for one in self.result_fields
            ],
            "validity": self.validity,
            "source": list(self.sources),
            "cautions": list(self.cautions),
            "example": dict(self.example),
        }


def sections(docstring: str) -> dict[str, str]:
    """The parts of a module docstring by heading; the text before the first is '' ."""
    parts: dict[str, list[str]] = {"": []}
    current = ""
    for line in docstring.strip().splitlines():
        heading = _HEADING.match(line)
        if heading:
            current = heading.group(1)
            parts[current] = []
        else:
            parts[current].append(line.removeprefix("    ") if current else line)
    return {name: "\n".join(lines).strip() for name, lines in parts.items()}


def entries(text: str) -> tuple[str, ...]:
    """The entries of a list written with '- ', continuation lines joined."""
    found: list[str] = []
    for line in text.splitlines():
        if line.startswith("- "):
            found.append(line[2:].strip())
        elif found and line.strip():
            found[-1] += " " + line.strip()
    return tuple(found)


def define(
    docstring: str | None,
    *,
    name: str,
    title: str,
    version: str,
    fields: tuple[Field, ...],
    result_fields: tuple[ResultField, ...],
    example: Mapping[str, Plain],
    compute: Callable[[Inputs], Outcome],
    other_names: tuple[str, ...] = (),
) -> Method:
    """A method from its module's docstring; every section has to be there."""
    parts = sections(docstring or "")
    for needed in ("", "Formula", "Range", "Sources", "Cautions"):
        if not parts.get(needed):
            raise ValueError(f"The docstring of {name} has no section {needed!r}")
    return Method(
        name=name,
        title=title,
        version=version,
        fields=fields,
        result_fields=result_fields,
        summary=parts[""],
        formula=parts["Formula"],
        validity=" ".join(parts["Range"].split()),
        sources=entries(parts["Sources"]),
        cautions=entries(parts["Cautions"]),
        example=example,
        compute=compute,
        other_names=other_names,
    )
