"""What a result is, what cannot be so in one, and which examinations have none yet. No database."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum
from functools import lru_cache
from typing import Any

from evidence.items.receivers import Where, place_named
from findings.words.sentences import begin_small
from me_office.statements import COMMON_PRACTICE, statement
from me_office.worded import Worded

INTERPRETATION = statement(
    "results.interpretation",
    "Results are kept as they were reported; the software judges none of them. What a "
    "concentration or a diagnosis means for this death is for the pathologist to decide, with "
    "the circumstances, the material and the time since death.",
    where="Results",
    source=COMMON_PRACTICE,
)


class Kind(Worded):
    """What kind of examination was reported."""

    TOXICOLOGY = "toxicology", "toxicology"
    HISTOLOGY = "histology", "histology"
    CHEMISTRY = "chemistry", "clinical chemistry"
    MICROBIOLOGY = "microbiology", "microbiology"
    GENETIC = "genetic", "genetics or DNA"
    RADIOLOGY = "radiology", "radiology"
    NEUROPATHOLOGY = "neuropathology", "neuropathology"
    CARDIAC = "cardiac", "cardiac pathology"
    ODONTOLOGY = "odontology", "odontology"
    ANTHROPOLOGY = "anthropology", "anthropology"
    HOSPITAL = "hospital", "hospital record"
    OTHER = "other", "other"


class Status(StrEnum):
    """How far the report says that it goes."""

    PRELIMINARY = "preliminary"
    FINAL = "final"
    AMENDED = "amended"


class Relation(StrEnum):
    """What was reported of an analyte."""

    EQUAL = "="
    LESS = "<"
    GREATER = ">"
    DETECTED = "detected"
    NOT_DETECTED = "not detected"
    NOT_TESTED = "not tested"


WITH_VALUE = frozenset({Relation.EQUAL, Relation.LESS, Relation.GREATER})
# Digits are kept as they were reported: 0.40 says more than 0.4.
NUMBER = r"^[0-9]{1,12}(\.[0-9]{1,8})?\Z"
LINE_FIELDS = ("analyte", "relation", "value", "unit", "matrix", "reporting_limit")


def wrong_in_result(
    *, reported_on: date | None, received_on: date | None, today: date, replaces: bool, why: str
) -> dict[str, str]:
    """Return what cannot be so in a result, by field."""
    wrong = {}
    if received_on and received_on > today:
        wrong["received_on"] = "This date is in the future."
    if reported_on and reported_on > today:
        wrong["reported_on"] = "This date is in the future."
    elif reported_on and received_on and received_on < reported_on:
        wrong["received_on"] = "It was received before the day on which it was reported."
    if replaces and not why.strip():
        wrong["why_replaced"] = "Say why it replaces the earlier one."
    return wrong


def wrong_in_line(line: Mapping[str, Any]) -> dict[str, str]:
    """Return what cannot be so in one line of a result, by field."""
    wrong = {}
    value, unit = str(line.get("value") or "").strip(), str(line.get("unit") or "").strip()
    limit = str(line.get("reporting_limit") or "").strip()
    relation = str(line.get("relation") or "")
    if not str(line.get("analyte") or "").strip():
        wrong["analyte"] = "Name the analyte."
    if relation not in set(Relation):
        wrong["relation"] = "Choose what was reported."
    elif relation in WITH_VALUE:
        if not value:
            wrong["value"] = "Give the value, or choose detected, not detected or not tested."
        if not unit:
            wrong["unit"] = "Give the unit as it was reported."
    elif value:
        wrong["value"] = f"A value does not go with “{relation}”; choose =, < or >."
    for name, number in (("value", value), ("reporting_limit", limit)):
        if number and not re.match(NUMBER, number):
            wrong[name] = "A number with a point, without separators: 0.42"
    if limit and not unit and "unit" not in wrong:
        wrong["unit"] = "Give the unit of the reporting limit."
    return wrong


def line_words(line: Mapping[str, Any]) -> str:
    """Return what was reported of an analyte: 0.42 mg/L, less than 0.01 mg/L, not detected."""
    relation = Relation(line["relation"])
    if relation not in WITH_VALUE:
        return relation.value
    words = {Relation.EQUAL: "", Relation.LESS: "less than ", Relation.GREATER: "greater than "}
    return f"{words[relation]}{line['value']} {line['unit']}"


# Words by which a specimen's purpose names an examination (common practice). Each is the beginning
# of a word, but for those of three letters or fewer, which are whole words.
PURPOSES: tuple[tuple[Kind, tuple[str, ...]], ...] = (
    (Kind.NEUROPATHOLOGY, ("neuropath",)),
    (Kind.CARDIAC, ("cardiac path", "cardiovascular path", "heart path")),
    (
        Kind.TOXICOLOGY,
        ("toxicol", "tox", "drug", "alcohol", "ethanol", "carbon monox", "carboxyh", "cyanide",
         "volatile"),
    ),
    (Kind.HISTOLOGY, ("histol", "histopath", "microscop")),
    (
        Kind.CHEMISTRY,
        ("chemist", "electrolyt", "glucose", "ketone", "tryptase", "urea", "metabolic"),
    ),
    (Kind.MICROBIOLOGY, ("microbiol", "culture", "bacteri", "virol", "viral", "pcr", "serology")),
    (Kind.GENETIC, ("dna", "genetic", "molecular autopsy")),
    (Kind.RADIOLOGY, ("radiol",)),
    (Kind.ODONTOLOGY, ("odontol",)),
    (Kind.ANTHROPOLOGY, ("anthropol",)),
)  # fmt: skip
KEEPING = re.compile(
    r"\b(hold|held|stor\w*|retain\w*|retention|keep\w*|kept|archiv\w*|return\w*)\b"
)


# The same few purposes stand with hundreds of specimens, on pages of the whole office.
@lru_cache(maxsize=1024)
def examinations_of(purpose: str) -> frozenset[str]:
    """Return what a specimen was taken for: kinds, or its own words where no kind is named.

    Empty where nothing is said, or where it is only kept.
    """
    words = " ".join(purpose.lower().split())
    kinds: frozenset[str] = frozenset(
        kind.value for kind, names in PURPOSES if any(_names(name, words) for name in names)
    )
    if kinds or not words or KEEPING.search(words):
        return kinds
    return frozenset({words})


@lru_cache(maxsize=1024)
def is_only_kept(purpose: str) -> bool:
    """Tell whether a specimen was taken to be kept, and for no examination."""
    words = " ".join(purpose.lower().split())
    return bool(words) and not examinations_of(words)


# Words of a tissue that name no organ.
_NO_ORGAN = frozenset(
    re.findall(
        r"\w+",
        "tissue tissues sample samples block blocks piece pieces section sections specimen "
        "cassette cassettes formalin fixed from left right both upper lower middle lobe wall "
        "anterior posterior lateral medial inner outer front back part muscle with near",
    )
)


def read_here(words: str, tissues: Iterable[str]) -> bool:
    """Tell whether a slide of this office names all that a specimen is named by."""
    named = _organs(words)
    return bool(named) and any(named <= _organs(tissue) for tissue in tissues)


def _organs(words: str) -> set[str]:
    named = (one for one in re.findall(r"[a-z]+", words.lower()) if len(one) > 3)
    return {one.removesuffix("s") for one in named if one not in _NO_ORGAN}


def _names(name: str, words: str) -> bool:
    end = r"\b" if len(name) <= 3 else ""
    return re.search(rf"\b{re.escape(name)}{end}", words) is not None


@dataclass(frozen=True)
class Reported:
    """What the rules need of a result that is current."""

    kind: str
    status: str
    items: frozenset[int] = frozenset()


@dataclass(frozen=True)
class Party:
    """Whom a specimen was handed to: a member of staff, or a party or place in words.

    An agency that gave a receipt is outside, whatever its name. `said` is where the party is, as
    it was recorded with the transfer; only where nothing was recorded is it read from the name.
    """

    name: str
    is_staff: bool
    purpose: str = ""
    gave_receipt: bool = False
    said: str = ""

    @property
    def where(self) -> Where:
        """Where the party is."""
        if self.gave_receipt:
            return Where.OUTSIDE
        if self.is_staff:
            return Where.OFFICE
        return Where(self.said) or place_named(self.name, self.purpose)

    @property
    def is_in_office(self) -> bool:
        """Tell whether this is a person or a place of the office."""
        return self.where is Where.OFFICE


@dataclass(frozen=True)
class Taken:
    """A specimen: its item number, what it is, what it was taken for, whom it was handed to."""

    number: int
    words: str
    purpose: str
    parties: Sequence[Party] = field(default_factory=tuple)

    @property
    def never_left(self) -> bool:
        """Tell whether every transfer on record was to staff or a place of the office."""
        return all(party.is_in_office for party in self.parties)

    @property
    def unsaid(self) -> str:
        """The last party of whom nothing tells where it is, if none is known to be outside."""
        if any(party.where is Where.OUTSIDE for party in self.parties):
            return ""
        names = [party.name for party in self.parties if party.where is Where.UNSAID]
        return names[-1] if names else ""

    @property
    def where(self) -> str:
        """Who has it, as the last transfer says."""
        return self.parties[-1].name if self.parties else ""


@dataclass(frozen=True)
class NotAvailable:
    """One thing that is not on file when the report is signed; `key` stays as long as it is so."""

    key: str
    words: str
    numbers: tuple[int, ...]
    # What many are alike in: several specimens taken for one purpose, with one holder.
    alike: str = ""
    # The item by itself, where there is one: 27 (heart, septum).
    item: str = ""


def not_available(
    taken: Iterable[Taken], reported: Sequence[Reported], tissues: Collection[str] = ()
) -> list[NotAvailable]:
    """Return which examinations have no final result, and what never left the office.

    A result counts for the specimens that it names; one that names none, for its kind. `tissues`
    are those of slides that were read in this office: they are the histology of what they name.
    """
    taken = sorted(taken, key=lambda one: one.number)
    groups: dict[str, list[Taken]] = {}
    for one in taken:
        for examination in sorted(examinations_of(one.purpose)):
            if examination == Kind.HISTOLOGY and read_here(one.words, tissues):
                continue
            groups.setdefault(examination, []).append(one)
    found = [
        gap
        for examination, members in sorted(groups.items())
        if (gap := _without_result(examination, members, reported)) is not None
    ]
    named = frozenset(number for one in reported for number in one.items)
    for one in taken:
        if is_only_kept(one.purpose) or one.number in named:
            continue
        if examinations_of(one.purpose) == {Kind.HISTOLOGY} and read_here(one.words, tissues):
            continue
        if not one.never_left and not one.unsaid:
            continue
        what = f", taken for {begin_small(one.purpose)}" if one.purpose.strip() else ""
        state, words = "not-sent", "no transfer out of the office is on record"
        if one.unsaid:
            state = "not-said"
            words = f"handed to {one.unsaid}; whether that is outside the office is not recorded"
        elif one.where:
            words = f"{words}; the last holder on record is {one.where}"
        alike = f"specimens{what}: {words}"
        item = f"{one.number} ({one.words})"
        words = f"Item {item}{what}: {words}."
        found.append(NotAvailable(f"{state}-{one.number}", words, (one.number,), alike, item))
    return found


def _without_result(
    examination: str, members: Sequence[Taken], reported: Sequence[Reported]
) -> NotAvailable | None:
    numbers = tuple(one.number for one in members)
    known = examination in set(Kind)
    about = [
        one
        for one in reported
        if (one.kind == examination and (not one.items or one.items & set(numbers)))
        or (not known and one.items & set(numbers))
    ]
    if any(one.status != Status.PRELIMINARY for one in about):
        return None
    name = Kind(examination).words if known else examination
    items = ", ".join(f"item {one.number} ({one.words})" for one in members)
    what = "only a preliminary result is on file" if about else "no result is on file"
    state = "preliminary" if about else "none"
    words = f"{name[:1].upper()}{name[1:]} of {items}: {what}."
    # A key of another state is another key: what was acknowledged is what is so.
    return NotAvailable(f"{state}-{examination}-{'-'.join(map(str, numbers))}", words, numbers)
