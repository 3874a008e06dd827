"""Results that came after the signature, and which addendum or amendment dealt with each."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.db.models import Exists, OuterRef, QuerySet

from cases.access import cases_open_to
from cases.models import Case
from cases.review.models import Addendum
from cases.review.reported import result_title, source_words
from evidence.results.models import Result
from evidence.results.queries import current_results
from me_office.accounts.models import Staff
from me_office.audit.errors import Refused
from me_office.shell.templatetags.office import moment


@dataclass(frozen=True)
class LateResult:
    """A result that was recorded after the signature, and what was added to the report for it."""

    result: Result
    addenda: Sequence[Addendum] = ()

    @property
    def title(self) -> str:
        """Its number, kind and source."""
        return result_title(self.result)

    @property
    def words(self) -> str:
        """What it says, with its values."""
        lines = "; ".join(_line_words(line) for line in self.result.reported_lines)
        said = " ".join(self.result.statement.split())
        return " ".join(part for part in (source_words(self.result), said, lines) if part)

    @property
    def dealt_words(self) -> str:
        """Which addenda and amendments rest on it, or that none does."""
        if not self.addenda:
            return "No addendum or amendment is based on it yet."
        named = ", ".join(f"{one.kind} {one.number}" for one in self.addenda)
        return f"Dealt with in {named}."

    def printed(self) -> dict[str, str]:
        """Return what the report prints of it."""
        entered = f"Recorded {moment(self.result.created_at)}, after the report was signed."
        return {"title": self.title, "text": self.words, "state": f"{entered} {self.dealt_words}"}


def _line_words(line: Any) -> str:
    matrix = f" in {line.matrix[:1].lower()}{line.matrix[1:]}" if line.matrix else ""
    return f"{line.analyte}{matrix}: {line.words}"


def late_results(case_id: UUID, addenda: Iterable[Addendum]) -> list[LateResult]:
    """Return the current results that came after the signature; one statement."""
    by_result: dict[UUID | None, list[Addendum]] = {}
    for one in addenda:
        by_result.setdefault(one.rests_on_id, []).append(one)
    return [
        LateResult(result, by_result.get(result.pk, []))
        for result in current_results(case_id)
        if result.after_signing
    ]


def results_waiting(actor: Staff) -> Any:
    """Return the late results on which nothing rests yet, the oldest first."""
    rows = undealt().filter(case__in=cases_open_to(actor))
    return rows.select_related("case__decedent").order_by("created_at", "id")


def undealt() -> QuerySet[Result]:
    """Return the late results on which no addendum or amendment rests."""
    replaced = Result.objects.active().filter(replaces=OuterRef("pk"))
    rests = Addendum.objects.active().filter(rests_on=OuterRef("pk"))
    rows: QuerySet[Result] = Result.objects.active().filter(after_signing=True)
    return rows.filter(~Exists(replaced), ~Exists(rests))


def result_to_rest_on(case: Case, result_id: UUID | None) -> Result | None:
    """Return the result that an addendum names. Raises Refused."""
    if result_id is None:
        return None
    found: Result | None = Result.objects.active().filter(case=case, pk=result_id).first()
    if found is None:
        raise Refused("There is no such result in this case.", field="rests_on")
    return found


def results_to_name(case_id: UUID) -> list[tuple[str, str]]:
    """Return the results of a case as choices of a form, what came late first."""
    rows = sorted(current_results(case_id), key=lambda one: (not one.after_signing, -one.number))
    return [(str(one.pk), _choice(one)) for one in rows]


def _choice(result: Result) -> str:
    return f"{result_title(result)}{' (after signing)' if result.after_signing else ''}"
