"""What laboratories reported on the specimens of an invented case, line by line."""

from __future__ import annotations

from uuid import UUID

from evidence.results.models import Result, ResultItem, ResultLine
from tests.bench.plan import PlannedCase
from tests.bench.rows import Book
from tests.bench.seen import Examined

# Analyte, relation, value, unit, reporting limit: invented, none of them of a real sample.
TOXICOLOGY = [
    ("Ethanol", "=", "0.04", "g/dL", "0.01"),
    ("Morphine, free", "<", "0.01", "mg/L", "0.01"),
    ("Benzoylecgonine", "not detected", "", "", ""),
    ("Fentanyl", "not detected", "", "", ""),
]
CHEMISTRY = [
    ("Sodium", "=", "142", "mmol/L", ""),
    ("Potassium", "=", "9.8", "mmol/L", ""),
    ("Glucose", "=", "1.9", "mmol/L", ""),
]
OFFICE = "Larch toxicology laboratory"


def write_results(book: Book, case: PlannedCase, done: Examined) -> None:
    """Write toxicology and chemistry; every fifth case has an amended one beside its first."""
    if not done.taken or case.index % 4 == 3:
        return
    blood, vitreous, urine = done.taken[0], done.taken[1], done.taken[2]
    first = _result(book, case, 1, "toxicology", [blood, urine], TOXICOLOGY)
    _result(book, case, 2, "chemistry", [vitreous], CHEMISTRY)
    if case.index % 5 == 0:
        _result(book, case, 3, "toxicology", [blood, urine], TOXICOLOGY, replaces=first)


def _result(
    book: Book,
    case: PlannedCase,
    number: int,
    kind: str,
    items: list[UUID],
    lines: list[tuple[str, str, str, str, str]],
    *,
    replaces: UUID | None = None,
) -> UUID:
    by = case.pathologist or case.technician
    # The latest cases began three days ago: what they have was reported the day after.
    at = case.after(hours=48 + number)
    book.next_act()
    key = book.record(
        Result,
        at,
        by,
        act="record_result",
        case_id=case.key,
        number=number,
        kind=kind,
        status="amended" if replaces else "final",
        organization=OFFICE,
        reported_by="Analyst 1",
        reference=f"{case.index:06d}-{number}",
        reported_on=at.date(),
        received_on=at.date(),
        statement="As listed. Screened for the usual classes; nothing else was found.",
        replaces_id=replaces,
        why_replaced="The laboratory corrected its report." if replaces else "",
    )
    for item in items:
        book.record(ResultItem, at, by, case_id=case.key, result_id=key, item_id=item)
    for place, (analyte, relation, value, unit, limit) in enumerate(lines, start=1):
        said = {"analyte": analyte, "relation": relation, "value": value, "unit": unit}
        book.record(
            ResultLine,
            at,
            by,
            act="record_result",
            case_id=case.key,
            result_id=key,
            place=place,
            reporting_limit=limit,
            **said,
        )
    return key
