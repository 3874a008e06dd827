"""Where the record behind a numbered page is shown, and what became of it since."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from uuid import UUID

from django.db.models import Q
from django.urls import reverse

from cases.answers.models import NumberedPages
from cases.decisions.rules import ItemKind
from cases.review.models import Addendum
from cases.statements.models import Statement
from evidence.photographs.models import Photograph
from evidence.results.models import Result

# What the office wrote for the packet itself is shown with the answer.
OWN = "own"


def _key(part: NumberedPages) -> UUID | None:
    try:
        return UUID(part.item)
    except ValueError:
        return None


def _case(name: str) -> Callable[[NumberedPages, int], str]:
    return lambda part, page: reverse(name, kwargs={"case_id": part.case_id})


def _one(name: str, key: str) -> Callable[[NumberedPages, int], str]:
    def address(part: NumberedPages, page: int) -> str:
        return reverse(name, kwargs={"case_id": part.case_id, key: _key(part)})

    return address


_SHOWN: Mapping[str, Callable[[NumberedPages, int], str]] = {
    ItemKind.REPORT: _case("review:report"),
    ItemKind.ADDENDUM: _case("review:addenda"),
    ItemKind.PHOTOGRAPH: _one("evidence:photograph", "photograph_id"),
    ItemKind.RESULT: _one("results:one", "result_id"),
    ItemKind.CUSTODY: _case("custody:case"),
    ItemKind.STATEMENT: _one("statements:statement", "statement_id"),
    ItemKind.HISTORY: _case("history:case-history"),
}
_KEYED = frozenset({ItemKind.PHOTOGRAPH, ItemKind.RESULT, ItemKind.STATEMENT})


def record_address(part: NumberedPages, page: int) -> str:
    """Return the page of the office that shows the record; empty where it has none of its own."""
    shown = _SHOWN.get(part.kind)
    if shown is None or (part.kind in _KEYED and _key(part) is None):
        return ""
    return shown(part, page)


def document_address(part: NumberedPages, page: int) -> str:
    """Return where the document itself opens, at that page of it; empty where it does not."""
    # A redacted copy has pages of its own, and the report behind it is not what was sent.
    if part.kind == ItemKind.REPORT and "redacted copy" not in part.label:
        pdf = reverse("packets:signed-report-pdf", kwargs={"case_id": part.case_id})
        return f"{pdf}#page={page}"
    return ""


def later_words(part: NumberedPages) -> list[str]:
    """Say what became of a record after its pages went out; at most two statements."""
    made = part.created_at
    if part.kind == ItemKind.REPORT:
        rows = Addendum.objects.active().filter(case=part.case_id, made_at__gt=made)
        return [
            f"{kind.capitalize()} {number} was added to the report after this."
            for kind, number in rows.order_by("number").values_list("kind", "number")
        ]
    model = {
        ItemKind.PHOTOGRAPH: Photograph,
        ItemKind.RESULT: Result,
        ItemKind.STATEMENT: Statement,
        ItemKind.ADDENDUM: Addendum,
    }.get(ItemKind(part.kind)) if part.kind in set(ItemKind) else None  # fmt: skip
    key = _key(part)
    if model is None or key is None:
        return []
    said = []
    if model._default_manager.filter(Q(voided_at__gt=made), pk=key).exists():
        said.append("It was withdrawn after this.")
    if model is Result:
        newer = Result.objects.active().filter(replaces=key).order_by("number").first()
        if newer is not None:
            said.append(f"Result {newer.number} took its place.")
    return said
