"""How the page of an amendment is laid out: what is changed often is open, the rest is folded.

Each field stands with the words that were signed, so that nobody types over what nobody saw.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django import forms

from cases.certification.causes import says_pending
from cases.certification.cautions import PENDING_AMENDED
from cases.review.amending import words_of

# (title, whether it is open from the start, names of fields).
GROUPS: dict[str, tuple[tuple[str, bool, tuple[str, ...]], ...]] = {
    "cause-and-manner": (
        ("Manner of death", True, ("manner",)),
        (
            "Cause of death",
            True,
            (
                "cause_a", "interval_a", "cause_b", "interval_b", "cause_c", "interval_c",
                "cause_d", "interval_d", "contributing",
            ),
        ),
        ("What the opinion rests on", False, ("basis",)),
        (
            "Injury",
            False,
            (
                "injury_how", "injury_on", "injury_time", "injury_at_words", "injury_place",
                "injury_street", "injury_city", "injury_state", "injury_zip", "injury_at_work",
                "transport_role", "transport_other",
            ),
        ),
        (
            "Date and place of death",
            False,
            (
                "death_on", "death_on_is", "death_time", "death_time_is", "death_place_kind",
                "death_place_name", "death_city", "death_county", "death_state", "death_zip",
            ),
        ),
        (
            "Autopsy, tobacco, pregnancy",
            False,
            ("autopsy", "autopsy_available", "tobacco", "pregnancy"),
        ),
        ("The certifier", False, ("certifier_type", "certifier_license")),
    ),
    "decedent": (
        ("Name", True, ("family_name", "given_names", "also_known_as", "working_name")),
        ("Sex, birth, age", True, ("sex", "born_on", "age_years", "age_years_read")),
        (
            "Hispanic origin and race",
            False,
            ("hispanic_origin", "hispanic_origin_other", "race", "race_words"),
        ),
        ("Address and description", False, ("home_address", "description")),
    ),
    "specimen": (
        (
            "Specimen",
            True,
            (
                "material", "site", "site_reason", "amount", "unit", "container", "preservative",
                "purpose",
            ),
        ),
    ),
}  # fmt: skip
OTHER = "Other"
PART_I = tuple(f"cause_{letter}" for letter in "abcd")


@dataclass(frozen=True)
class Line:
    """One field, what was signed in it, and what is asked about that."""

    field: forms.BoundField
    signed: str
    caution: str = ""


@dataclass(frozen=True)
class Group:
    """Fields under one heading; `is_open` says whether they are seen without a click."""

    title: str
    is_open: bool
    lines: list[Line]


def groups_of(what: str, form: Any, record: object) -> list[Group]:
    """Return the form's fields in groups; a group with an error is open, none is left out.

    `record` is as it is stored: a bound form writes what was typed into its own instance.
    """
    left = {bound.name: bound for bound in form.visible_fields()}
    found = []
    for title, is_open, names in GROUPS[what]:
        bounds = [left.pop(name) for name in names if name in left]
        found.append(_group(title, is_open, bounds, record))
    if left:
        found.append(_group(OTHER, True, list(left.values()), record))
    return [group for group in found if group.lines]


def _group(title: str, is_open: bool, bounds: list[forms.BoundField], record: Any) -> Group:
    lines = [Line(one, words_of(record, one.name), _caution(one, record)) for one in bounds]
    wrong = any(bound.errors for bound in bounds)
    typed = any(bound.form.is_bound and bound.name in bound.form.changed_data for bound in bounds)
    return Group(title, is_open or wrong or typed, lines)


def _caution(bound: forms.BoundField, record: object) -> str:
    line = getattr(record, bound.name) if bound.name in PART_I else ""
    return PENDING_AMENDED.say(cause=line) if says_pending(line) else ""
