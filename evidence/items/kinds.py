"""What a thing is, what it is kept as, where it was found, and cash by count. No database.

The lists are common practice. What is evidence and what goes back to the family is decided by a
person, item by item; only where one answer cannot be true is it refused.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from datetime import datetime
from decimal import Decimal
from typing import Any

from me_office.audit.errors import Invalid
from me_office.entries import Entry
from me_office.names import is_one_of, plain_name

EVIDENCE, PROPERTY = "evidence", "property"
KEPT_AS = [
    (EVIDENCE, "evidence"),
    (PROPERTY, "personal effects that belong to the decedent"),
]
CASH = "cash"
CATEGORIES = [
    ("personal effects", "personal effects"),
    ("clothing", "clothing"),
    (CASH, "cash"),
    ("valuables", "jewelry and other valuables"),
    ("medication", "medication"),
    ("firearm", "firearm"),
    ("ammunition", "ammunition component or projectile"),
    ("weapon", "other weapon"),
    ("trace", "trace evidence"),
    ("document", "document"),
    ("device", "electronic device"),
    ("ligature", "ligature"),
    ("foreign object", "foreign object"),
    ("other", "other physical evidence"),
]
FOUND = [
    ("on the body", "on the body"),
    ("in the body", "in the body"),
    ("at the scene", "at the scene"),
    ("with the body bag", "with the body bag"),
    ("brought by others", "brought by others"),
]
BY_OFFICE = "office"
BEFORE_DEATH = "before death"
BY_OTHERS = [
    (BEFORE_DEATH, "taken before death by others"),
    ("after death", "taken after death by others"),
]
ORIGINS = [(BY_OFFICE, "taken by this office"), *BY_OTHERS]
# What cannot be an effect of the decedent's by what it is.
ONLY_EVIDENCE = frozenset({"ammunition", "trace", "ligature", "foreign object", "other"})
# Where the place has to be said in words, and what is missing when it is not.
PLACE_ASKED = {
    "at the scene": "Say where at the scene.",
    "in the body": "Say where in the body.",
    "brought by others": "Say who brought it and from where.",
}
CASSETTES = "cassettes"
KITS = [
    ("sexual assault", "sexual assault evidence kit"),
    ("toxicology", "toxicology kit"),
    (CASSETTES, "cassette tray"),
    ("other", "other kit"),
]
MOST_PARTS = 100
LONGEST_LABEL = 20
_LINE = re.compile(r"([0-9]{1,6})\s*[xX×*]\s*([0-9]{1,7}(?:[.,][0-9]{1,3})?)")
_CURRENCY = re.compile(r"[A-Z]{3}")  # the shape of an ISO 4217 code


def check_received(
    *,
    origin: str,
    taken_at: datetime | None,
    received_at: datetime,
    sealed_at: datetime | None,
    pronounced_at: datetime | None,
    now: datetime,
) -> None:
    """Refuse times of a specimen of others that cannot follow each other. Raises Invalid.

    `sealed_at` is None where it came under its seal. A label may bear no time that can be read:
    `taken_at` is None then, and what the label says is kept in words.
    """
    errors = {}
    if origin not in dict(BY_OTHERS):
        errors["origin"] = ["Say whether it was taken before or after death."]
    if received_at > now:
        errors["received_at"] = ["The time is in the future."]
    if taken_at is not None and taken_at > received_at:
        errors["taken_at"] = ["It was received before this time."]
    elif origin == BEFORE_DEATH and taken_at and pronounced_at and taken_at > pronounced_at:
        errors["taken_at"] = [
            "Death was pronounced before this. Check the label; if its time cannot be right, "
            "leave this empty and write down what the label says."
        ]
    if sealed_at is not None and sealed_at <= received_at:
        errors["sealed_at"] = ["Give a time after it was received, or say that it arrived sealed."]
    if sealed_at is not None and sealed_at > now:
        errors["sealed_at"] = ["The time is in the future."]
    if errors:
        raise Invalid(errors)


def count_of_cash(typed: str) -> list[dict[str, object]]:
    """Read a count, a line for each denomination: 3 x 20.00. Raises Invalid beside `cash_count`."""
    counted = []
    for line in typed.replace(";", "\n").splitlines():
        if not line.strip():
            continue
        found = _LINE.fullmatch(line.strip())
        if not found or not int(found[1]):
            raise Invalid(
                {"cash_count": [f"“{line.strip()}” is no count. Write 3 x 20.00 on each line."]}
            )
        counted.append({"pieces": int(found[1]), "value": found[2].replace(",", ".")})
    return counted


def total_of(counted: Sequence[Mapping[str, Any]]) -> Decimal:
    """Add up a count; the amount follows from the pieces and is never typed."""
    return sum((each["pieces"] * Decimal(each["value"]) for each in counted), Decimal(0))


def cash_words(counted: Sequence[Mapping[str, object]], currency: str) -> str:
    """Say a count and what it comes to: USD 65.00 (3 x 20.00, 1 x 5.00); empty without one."""
    if not counted:
        return ""
    pieces = ", ".join(f"{each['pieces']} x {each['value']}" for each in counted)
    return f"{currency} {total_of(counted):.2f} ({pieces})"


def cash_typed(counted: Sequence[Mapping[str, object]]) -> str:
    """Write a count as it is typed, a line for each denomination."""
    return "\n".join(f"{each['pieces']} x {each['value']}" for each in counted)


def check_thing(entry: Entry, *, counted_by: Sequence[str]) -> None:
    """Refuse a thing whose parts contradict each other. Raises Invalid beside each field.

    `entry`: category, kept_as, found, found_at, witnessed_by, cash_count, cash_currency;
    `counted_by` are the people who collected and entered it.
    """
    said = {name: value or "" for name, value in entry.items()}
    errors: dict[str, list[str]] = {}
    if not said.get("category"):
        errors["category"] = ["Say what it is."]
    if not said.get("kept_as"):
        errors["kept_as"] = ["Say whether it is evidence or belongs to the decedent."]
    elif said["kept_as"] == PROPERTY and said.get("category") in ONLY_EVIDENCE:
        words = dict(CATEGORIES)[said["category"]]
        errors["kept_as"] = [f"{words.capitalize()} is kept as evidence, not as personal effects."]
    asked = PLACE_ASKED.get(said.get("found", ""))
    if asked and not str(said.get("found_at", "")).strip():
        errors["found_at"] = [asked]
    errors |= _cash_errors(said, counted_by)
    if errors:
        raise Invalid(errors)


def _cash_errors(said: Mapping[str, object], counted_by: Sequence[str]) -> dict[str, list[str]]:
    if said.get("category") != CASH:
        if said.get("cash_count"):
            return {"cash_count": ["Only cash is counted by denomination: leave this empty."]}
        return {}
    errors: dict[str, list[str]] = {}
    if not said.get("cash_count"):
        errors["cash_count"] = ["Count the cash, a line for each denomination: 3 x 20.00."]
    if not _CURRENCY.fullmatch(str(said.get("cash_currency", ""))):
        errors["cash_currency"] = ["Give the currency as three letters: USD."]
    second = str(said.get("witnessed_by", "")).strip()
    if not second:
        errors["witnessed_by"] = ["Cash is counted by two people: name the second."]
    elif is_one_of(second, counted_by):
        errors["witnessed_by"] = ["The second person counting must be someone else."]
    return errors


def parts_of(typed: str) -> list[dict[str, str]]:
    """Read the parts of a kit, a line for each: A1: Heart, left ventricle.

    A line without a label is numbered by its place. Raises Invalid beside `parts`.
    """
    parts: list[dict[str, str]] = []
    for line in typed.splitlines():
        if not line.strip():
            continue
        part = _part_of(line)
        if part is None:
            raise Invalid(
                {
                    "parts": [
                        f"“{line.strip()}” names no place. Write what it is, a comma, from where:"
                        " A1: Heart, left ventricle, or: Swabs, mouth."
                    ]
                }
            )
        label, material, site = part
        parts.append({"label": label or str(len(parts) + 1), "material": material, "site": site})
    return parts


def _part_of(line: str) -> tuple[str, str, str] | None:
    """Return label (empty without one), material and site of a line, or None.

    Split, not matched: a pattern with several runs of blanks takes minutes over a line of blanks.
    """
    before, comma, site = line.partition(",")
    label, colon, material = before.rpartition(":")
    label, material, site = label.strip(), material.strip(), site.strip()
    if not comma or not material or not site:
        return None
    if colon and (not label or ":" in label or len(label) > LONGEST_LABEL):
        return None
    return label, material, site


def check_parts(parts: Sequence[Mapping[str, object]]) -> None:
    """Refuse a kit without parts, with too many, or with a label twice. Raises Invalid."""
    if not parts:
        raise Invalid({"parts": ["List the parts, a line for each."]})
    if len(parts) > MOST_PARTS:
        raise Invalid({"parts": [f"A kit or tray has at most {MOST_PARTS} parts."]})
    seen: set[str] = set()
    for each in parts:
        label = plain_name(str(each["label"]))
        if not label:
            raise Invalid({"parts": ["Each part has a label."]})
        if label in seen:
            raise Invalid({"parts": [f"Label {each['label']} appears twice."]})
        seen.add(label)
