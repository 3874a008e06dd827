"""The inputs of a calculation in words. Pure."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any
from zoneinfo import ZoneInfo

from findings.calculations.fields import Field, Kind
from findings.calculations.method import Method
from findings.computing.labels import key_words, label_of, unit_of
from findings.computing.wording.summaries import iso_words, plain

# What the methods take where nothing was entered: said, so that nobody overlooks it.
ASSUMED = {
    "corrective_factor": "1, taken because none was stated (naked body in still air)",
    "error_cm": "0.5 cm, taken because none was stated",
}


@dataclass(frozen=True)
class Given:
    """One input: its label, its value in words, and where in the case file it stands."""

    label: str
    words: str
    source: str = ""


def given_of(
    method: Method, inputs: Mapping[str, object], taken_from: Mapping[str, object], zone: ZoneInfo
) -> list[Given]:
    """Every input that was given, in the order of the method's fields."""
    found: list[Given] = []
    for field in method.fields:
        value = inputs.get(field.name)
        if value is None and field.name in ASSUMED:
            found.append(Given(label_of(field.name), ASSUMED[field.name], "not stated"))
        if value is None or value in ([], {}):
            continue
        for label, words, path in _worded(field, value, zone):
            source = taken_from.get(path, "")
            found.append(Given(label, words, str(source)))
    return found


def _worded(field: Field, value: object, zone: ZoneInfo) -> Iterator[tuple[str, str, str]]:
    label = label_of(field.name)
    if field.kind is Kind.OBJECT and isinstance(value, dict):
        for part in field.parts:
            if value.get(part.name) is not None:
                name = label_of(part.name).lower()
                words = _one(part, value[part.name], zone)
                yield f"{label}, {name}", words, f"{field.name}__{part.name}"
    elif field.kind is Kind.OBJECTS and isinstance(value, list):
        for row in value:
            yield str(row.get("label", label)), _interval(row, zone), field.name
    elif field.kind is Kind.FRACTIONS and isinstance(value, dict):
        for key, share in value.items():
            yield key_words(str(key)), f"{plain(100 * share)} %", f"{field.name}__{key}"
    else:
        yield label, _one(field, value, zone), field.name


def _interval(row: Mapping[str, object], zone: ZoneInfo) -> str:
    low, high = row.get("low_h"), row.get("high_h")
    measured = iso_words(row.get("measured_at"), zone)
    if high is None:
        return f"at least {plain(low)} h before {measured}"
    return f"{plain(low or 0)} to {plain(high)} h before {measured}"


def _one(field: Field, value: object, zone: ZoneInfo) -> str:
    unit = unit_of(field.unit)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if field.kind is Kind.MOMENT:
        return iso_words(value, zone)
    if field.kind is Kind.CHOICE:
        return key_words(str(value)) if "_" in str(value) or value in _FORMULA_KEYS else str(value)
    if isinstance(value, list):
        return _several(field, value, unit)
    words = plain(value, 3) if isinstance(value, int | float) else str(value)
    return f"{words}{'' if unit == '°' else ' '}{unit}".strip()


def _several(field: Field, value: list[Any], unit: str) -> str:
    if field.kind is Kind.NUMBER_OR_RANGE and len(value) == 2:
        return f"{plain(value[0], 3)} to {plain(value[1], 3)} {unit}".strip()
    if all(isinstance(part, list) for part in value):
        return "; ".join(
            ", ".join(plain(p, 3) if isinstance(p, int | float) else str(p) for p in part)
            for part in value
        )
    words = ", ".join(plain(p, 3) if isinstance(p, int | float) else str(p) for p in value)
    return f"{words} {unit}".strip()


_FORMULA_KEYS = frozenset({"sturner1963", "madea1989", "james1997", "munoz2001"})
