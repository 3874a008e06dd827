"""Where the record behind a numbered page is shown, and what became of it since."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from django.db.models import Q, QuerySet
from django.urls import reverse

from cases.answers.models import NumberedPages
from cases.decisions.models import Reach
from cases.decisions.rules import ItemKind
from cases.redaction.models import RedactedDocument
from cases.review.models import Addendum, SignedPdf
from cases.signatures.models import SignedDocument
from cases.statements.models import Statement
from evidence.custody.models import Seal, Transfer
from evidence.photographs.models import Photograph
from evidence.results.models import Result
from me_office.audit.ids import uuid_in
from me_office.jobs.rules import JobState

# What the office wrote for the packet itself is shown with the answer.
OWN = "own"


def _case(name: str) -> Callable[[NumberedPages, int], str]:
    return lambda part, page: reverse(name, kwargs={"case_id": part.case_id})


def _one(name: str, key: str) -> Callable[[NumberedPages, int], str]:
    def address(part: NumberedPages, page: int) -> str:
        return reverse(name, kwargs={"case_id": part.case_id, key: uuid_in(part.item)})

    return address


def _page_of(name: str, key: str) -> Callable[[NumberedPages, int], str]:
    """Of a document whose pages have addresses of their own."""

    def address(part: NumberedPages, page: int) -> str:
        return reverse(
            name, kwargs={"case_id": part.case_id, key: uuid_in(part.item), "number": page}
        )

    return address


def _by_hand(part: NumberedPages, page: int) -> str:
    """Return the page of the demand for which something was named by hand."""
    key = uuid_in(part.item)
    rows = Reach.objects.select_related("request")
    reach = rows.filter(pk=key).first() if key else None
    if reach is None:
        return ""
    keys = {"case_id": reach.request.case_id, "request_id": reach.request_id}
    return reverse("decisions:demand", kwargs={**keys, "demand_id": reach.demand_id})


_SHOWN: Mapping[str, Callable[[NumberedPages, int], str]] = {
    ItemKind.REPORT: _case("review:report"),
    ItemKind.ADDENDUM: _case("review:addenda"),
    ItemKind.PHOTOGRAPH: _one("evidence:photograph", "photograph_id"),
    ItemKind.RESULT: _one("results:one", "result_id"),
    ItemKind.CUSTODY: _case("custody:case"),
    ItemKind.STATEMENT: _one("statements:statement", "statement_id"),
    ItemKind.HISTORY: _case("history:case-history"),
    ItemKind.DOCUMENT: _page_of("redaction:page", "document_id"),
    ItemKind.OTHER: _by_hand,
    ItemKind.RECORDING: _by_hand,
}
_KEYED = frozenset({ItemKind.PHOTOGRAPH, ItemKind.RESULT, ItemKind.STATEMENT, ItemKind.DOCUMENT})


def record_address(part: NumberedPages, page: int) -> str:
    """Return the page of the office that shows the record; empty where it has none of its own."""
    shown = _SHOWN.get(part.kind)
    if shown is None or (part.kind in _KEYED and uuid_in(part.item) is None):
        return ""
    return shown(part, page)


def document_address(part: NumberedPages, page: int) -> str:
    """Return where the very file that was sent opens, at that page of it; empty where none is kept.

    It is found by its digest: whatever took its place since is another one. At most two statements.
    """
    if not part.digest:
        return ""
    of_case = {"case_id": part.case_id}
    copy = _copies(part).first()
    if copy is not None:
        at = reverse("redaction:copy", kwargs={**of_case, "copy_id": copy.pk})
        return f"{at}#page={page}"
    if part.kind == ItemKind.REPORT:
        signed = SignedPdf.objects.active().filter(case=part.case_id, file__sha256=part.digest)
        at = reverse("packets:signed-report-pdf", kwargs=of_case)
        return f"{at}#page={page}" if signed.exists() else ""
    if part.kind == ItemKind.ADDENDUM:
        document = SignedDocument.objects.filter(case=part.case_id, sha256=part.digest).first()
        if document is not None:
            keys = {**of_case, "document_id": document.pk}
            return f"{reverse('signatures:document-pdf', kwargs=keys)}#page={page}"
    return ""


def _copies(part: NumberedPages) -> QuerySet[RedactedDocument]:
    """The redacted copies of a case that are these pages; the same marks give the same bytes."""
    rows = RedactedDocument.objects.filter(case=part.case_id, file__sha256=part.digest)
    return rows.order_by("created_at", "id")


def later_words(part: NumberedPages) -> list[str]:
    """Say what became of a record after its pages went out; a few statements at most."""
    return [*_of_the_record(part), *_of_the_copy(part)]


def _of_the_copy(part: NumberedPages) -> list[str]:
    """Say whether another redacted copy of the document was made since."""
    if not part.digest:
        return []
    other = RedactedDocument.objects.filter(
        document__copies__in=_copies(part), state=JobState.MADE, changed_at__gt=part.created_at
    ).exclude(file__sha256=part.digest)
    return ["Another redacted copy of it was made after this."] if other.exists() else []


def _of_the_record(part: NumberedPages) -> list[str]:
    made = part.created_at
    if part.kind == ItemKind.REPORT:
        rows = Addendum.objects.active().filter(case=part.case_id, made_at__gt=made)
        return [
            f"{kind.capitalize()} {number} was added to the report after this."
            for kind, number in rows.order_by("number").values_list("kind", "number")
        ]
    if part.kind == ItemKind.CUSTODY:
        since = {"case": part.case_id, "changed_at__gt": made}
        moved = any(one._default_manager.filter(**since).exists() for one in (Transfer, Seal))
        return ["More of the custody was recorded after this."] if moved else []
    model = {
        ItemKind.PHOTOGRAPH: Photograph,
        ItemKind.RESULT: Result,
        ItemKind.STATEMENT: Statement,
        ItemKind.ADDENDUM: Addendum,
    }.get(ItemKind(part.kind)) if part.kind in set(ItemKind) else None  # fmt: skip
    key = uuid_in(part.item)
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
