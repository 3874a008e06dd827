"""Documents that were added to a case, and redacted copies of documents, from their own room."""

from __future__ import annotations

from collections.abc import Sequence

from cases.court.models import RecordsRequest
from cases.decisions.items import register, register_copies
from cases.decisions.rules import Item, ItemKind, Mark, digest_of
from cases.models import Case
from cases.redaction.own_sources import ADDED, ADDENDUM, REPORT, STATEMENT
from cases.redaction.queries import copies_of
from cases.redaction.sources import sources_in
from cases.review.models import SignedPdf
from cases.signatures.models import SignedDocument

_KINDS = {REPORT: ItemKind.REPORT, ADDENDUM: ItemKind.ADDENDUM, STATEMENT: ItemKind.STATEMENT,
          ADDED: ItemKind.DOCUMENT}  # fmt: skip


def added_documents(cases: Sequence[Case]) -> list[Item]:
    """Return the documents that somebody added; a few statements for each case asked for."""
    found = []
    for case in cases:
        added = (one for one in sources_in(case) if one.kind == ADDED)
        for place, one in enumerate(added, start=1):
            found.append(
                Item(
                    ItemKind.DOCUMENT, case.pk, str(one.key), one.name or "Document",
                    number=f"Document {place}", details="added to be redacted",
                    digest=digest_of(one.sha256), place=place, files=1,
                    size_bytes=one.file.size_bytes if one.file else 0,
                    marks=frozenset({Mark.OF_OTHERS}),
                )
            )  # fmt: skip
    return found


def redacted_documents(
    cases: Sequence[Case], asked: RecordsRequest | None
) -> dict[tuple[str, str], str]:
    """Return the digests of redacted copies that may go out, by kind and key of the item."""
    found: dict[tuple[str, str], str] = {}
    for case in cases:
        copies = copies_of(sources_in(case), request=asked)
        if not copies:
            continue
        keys = [one.key for one in copies]
        signed = SignedPdf.objects.filter(pk__in=keys).values_list("pk", "draft__report")
        added_to = SignedDocument.objects.filter(pk__in=keys).values_list("pk", "addendum")
        known = {pk: str(key) for pk, key in (*signed, *added_to)}
        for source, copy in copies.items():
            kind = _KINDS.get(source.kind)
            if kind is not None:
                found[kind.value, known.get(source.key, str(source.key))] = copy.sha256
    return found


register(ItemKind.DOCUMENT, added_documents)
register_copies("documents", redacted_documents)
