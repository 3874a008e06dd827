"""Documents that were added to a case, and redacted copies of documents, from their own room."""

from __future__ import annotations

from collections.abc import Sequence

from cases.court.models import RecordsRequest
from cases.decisions.items import register, register_copies
from cases.decisions.rules import Item, ItemKind, Mark, Redacted, digest_of
from cases.models import Case
from cases.redaction.models import DocumentRedaction
from cases.redaction.own_sources import ADDED, ADDENDUM, REPORT, STATEMENT
from cases.redaction.queries import Standing, standing_of
from cases.redaction.sources import sources_in, sources_of_kind
from cases.review.models import SignedPdf
from cases.signatures.models import SignedDocument

_KINDS = {REPORT: ItemKind.REPORT, ADDENDUM: ItemKind.ADDENDUM, STATEMENT: ItemKind.STATEMENT,
          ADDED: ItemKind.DOCUMENT}  # fmt: skip


def added_documents(cases: Sequence[Case]) -> list[Item]:
    """Return the documents that somebody added; one statement for each case asked for."""
    found = []
    for case in cases:
        for place, one in enumerate(sources_of_kind(case, ADDED), start=1):
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
) -> dict[tuple[str, str], Redacted]:
    """Return how documents stand in which places are marked, by kind and key of the item."""
    found: dict[tuple[str, str], Redacted] = {}
    begun = DocumentRedaction.objects.active().filter(case__in=cases).values_list("case", flat=True)
    in_cases = set(begun.order_by().distinct())
    for case in (one for one in cases if one.pk in in_cases):
        standing = standing_of(sources_in(case), request=asked)
        if not standing:
            continue
        keys = [one.key for one in standing]
        # The latest that was signed comes last: it goes out, and its copies alone go in its place.
        signed = SignedPdf.objects.filter(pk__in=keys).order_by("draft__number")
        of_report = {key: pk for pk, key in signed.values_list("pk", "draft__report")}
        added_to = SignedDocument.objects.filter(pk__in=keys).values_list("pk", "addendum")
        known = {pk: str(key) for pk, key in (*((p, k) for k, p in of_report.items()), *added_to)}
        for source, one in standing.items():
            kind = _KINDS.get(source.kind)
            if kind is None or (source.kind == REPORT and source.key not in known):
                continue
            found[kind.value, known.get(source.key, str(source.key))] = _redacted(one)
    return found


def _redacted(one: Standing) -> Redacted:
    if one.copy is None:
        return Redacted(marked=one.marked, why_not=one.why_not if one.marked else "")
    places = one.copy.redactions
    words = f"it hides {places} place{'' if places == 1 else 's'}"
    if one.copy.left_why:
        words += f"; words can still be read elsewhere in it, and were left: {one.copy.left_why}"
    return Redacted(one.copy.sha256, one.marked, words=words, key=str(one.copy.copy_id))


register(ItemKind.DOCUMENT, added_documents)
register_copies("documents", redacted_documents)
