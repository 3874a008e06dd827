"""A result as a page or the API would record it."""

from __future__ import annotations

from datetime import date
from typing import Any

from cases.models import Case
from evidence.results.actions import record_result
from evidence.results.models import Result
from me_office.accounts.models import Staff
from me_office.audit.ids import new_id

OXYCODONE = {
    "analyte": "Oxycodone", "relation": "=", "value": "0.40", "unit": "mg/L",
    "matrix": "Femoral blood", "reporting_limit": "0.005",
}  # fmt: skip


def result_entry(**fields: Any) -> dict[str, Any]:
    return {
        "kind": "toxicology",
        "status": "final",
        "organization": "Lennow Toxicology Laboratory",
        "reported_by": "H. Brandt, PhD",
        "reference": "LT-26-1187",
        "reported_on": date(2026, 11, 16),
        "received_on": date(2026, 11, 17),
        "statement": "Oxycodone was found in femoral blood.",
        **fields,
    }


def report_of(actor: Staff, case: Case, **given: Any) -> Result:
    """Record a toxicology report; `items`, `lines`, `replaces`, `key` go to the action."""
    more = {name: given.pop(name) for name in ("items", "lines", "replaces") if name in given}
    key = given.pop("key", None) or new_id()
    return record_result(actor, case_id=case.pk, record_id=key, entry=result_entry(**given), **more)
