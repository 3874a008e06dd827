"""What was reported from outside, and what is not available, as sections of the report."""

from __future__ import annotations

import hashlib
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from evidence.results.models import Result
from evidence.results.queries import current_results, kept_in_office, not_available_of
from evidence.results.rules import Kind, NotAvailable
from findings.words.sentences import begin_small
from me_office.audit.errors import Refused

NOT_AVAILABLE = "not-available"
# Under which heading a result is told, in the order of the headings.
GROUPS = {
    Kind.TOXICOLOGY: "toxicology",
    Kind.CHEMISTRY: "clinical chemistry",
    Kind.MICROBIOLOGY: "microbiology",
    Kind.GENETIC: "genetics",
    Kind.RADIOLOGY: "radiology",
    Kind.HISTOLOGY: "other consultations",
    Kind.NEUROPATHOLOGY: "other consultations",
    Kind.CARDIAC: "other consultations",
    Kind.ODONTOLOGY: "other consultations",
    Kind.ANTHROPOLOGY: "other consultations",
    Kind.HOSPITAL: "hospital records",
    Kind.OTHER: "other results",
}


@dataclass(frozen=True)
class FromOutside:
    """Specimens and other things of a case, its current results, and what is not available."""

    specimens: Sequence[Any] = ()
    things: Sequence[Any] = ()
    results: Sequence[Result] = ()
    not_available: Sequence[NotAvailable] = ()


def from_outside(case_id: UUID) -> FromOutside:
    """Read all of it, in two statements."""
    kept, results = kept_in_office(case_id), current_results(case_id)
    return FromOutside(kept.specimens, kept.things, results, not_available_of(kept, results))


def sections_of(given: FromOutside) -> list[dict[str, object]]:
    """Return the two sections of the report's content (see `cases.review.content`)."""
    return [
        {
            "key": "results",
            "title": "Results of laboratories and consultants",
            "passages": [_passage(result) for result in by_group(given.results)],
            "columns": ["Result", "Analyte", "Reported", "Material", "Reporting limit"],
            "rows": [
                [str(result.number), line.analyte, line.words, line.matrix, line.limit_words]
                for result in by_group(given.results)
                for line in result.reported_lines
            ],
        },
        {
            "key": NOT_AVAILABLE,
            "title": "Not available at signing",
            "passages": _missing(given.not_available),
        },
    ]


def _missing(gaps: Iterable[NotAvailable]) -> list[dict[str, object]]:
    """Return a passage for each; those that are alike but for their item are told together."""
    together: dict[str, list[NotAvailable]] = {}
    for gap in gaps:
        together.setdefault(gap.alike or gap.key, []).append(gap)
    passages: list[dict[str, object]] = []
    for same in together.values():
        text = same[0].words
        if len(same) > 1:
            *most, last = [gap.item for gap in same]
            what = same[0].alike.removeprefix("specimens")
            text = f"Items {', '.join(most)} and {last}{what}."
        passages.append({"key": passage_key(" ".join(gap.key for gap in same)), "text": text})
    return passages


def passage_key(gap: str) -> str:
    """Return the passage's key: short, and of letters that an address may hold."""
    return f"{NOT_AVAILABLE}-{hashlib.sha256(gap.encode()).hexdigest()[:12]}"


def by_group(results: Iterable[Result]) -> list[Result]:
    """Return results in the order of their groups, by number in each."""
    order = list(dict.fromkeys(GROUPS.values()))
    return sorted(results, key=lambda one: (order.index(GROUPS[Kind(one.kind)]), one.number))


def _passage(result: Result) -> dict[str, object]:
    return {
        "key": f"result-{result.number}",
        "group": GROUPS[Kind(result.kind)],
        "lead": result_title(result),
        "text": f"{source_words(result)} {' '.join(result.statement.split())}",
    }


def result_title(result: Result) -> str:
    """Return its number, its kind and from whom: Result 2, toxicology, State Laboratory."""
    return f"Result {result.number}, {result.get_kind_display()}, {result.organization}"


def source_words(result: Result) -> str:
    """Say who reported it when, under which number, and on which items."""
    reference = f" {result.reference}" if result.reference else ""
    by = f", {result.reported_by}" if result.reported_by else ""
    named = [_item_words(item) for item in result.named_items]
    on = f"; on {', '.join(named)}" if named else ""
    replaces = f" It replaces result {result.replaces.number}." if result.replaces else ""
    return (
        f"{result.get_status_display().capitalize()} report{reference} of "
        f"{day_words(result.reported_on)}{by}, received {day_words(result.received_on)}{on}."
        f"{replaces}"
    )


def _item_words(item: Any) -> str:
    named = ", ".join(begin_small(part) for part in item.title.split(", "))
    return f"item {item.number} ({named})"


def day_words(day: date) -> str:
    """Say a day as the report prints it: 3 June 2026."""
    return f"{day.day} {day:%B %Y}"


def require_acknowledged(gaps: Iterable[NotAvailable], acknowledged: Collection[str]) -> None:
    """Refuse to sign before each thing that is not available was acknowledged. Raises Refused."""
    left = [gap.words for gap in gaps if gap.key not in acknowledged]
    if left:
        raise Refused(
            f"Acknowledge what is not available at signing: {' '.join(left)}", field="acknowledged"
        )
