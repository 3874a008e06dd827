"""The office's own vocabulary."""

from __future__ import annotations

from django.db.models import QuerySet

from findings.prose.house import (
    SENTENCES,
    Wording,
    layer_wordings,
    term_wordings,
)
from findings.words import vocabulary
from findings.words.models import OfficeTerm, OfficeWording


def office_terms() -> QuerySet[OfficeTerm]:
    """The active terms of the office by class and word; read when first looked at."""
    return OfficeTerm.objects.active().order_by("klass", "term", "pk")


def own_wordings() -> QuerySet[OfficeWording]:
    """Return the office's own wordings that stand, by key."""
    return OfficeWording.objects.active().select_related("created_by").order_by("key")


def wordings(own_terms: QuerySet[OfficeTerm] | None = None) -> dict[str, list[Wording]]:
    """Return what may be said otherwise, by heading; one statement for the office's terms."""
    own = (office_terms() if own_terms is None else own_terms).values_list("term", flat=True)
    offered = [term for terms in vocabulary.TERMS.values() for term in terms]
    return {
        "Sentences": list(SENTENCES),
        "Names of layers": layer_wordings(),
        "Terms of findings": term_wordings(sorted({*offered, *own}, key=str.casefold)),
    }


def wording_of(key: str) -> Wording | None:
    """Return what may be said otherwise under a key, or None."""
    return next((one for all_ in wordings().values() for one in all_ if one.key == key), None)


def wordings_under(key: str) -> list[OfficeWording]:
    """Return every wording that the office has had under a key, the latest first."""
    rows = OfficeWording.objects.filter(key=key).select_related("created_by", "voided_by")
    return list(rows.order_by("-created_at", "-pk"))
