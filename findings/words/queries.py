"""The office's own vocabulary."""

from __future__ import annotations

from django.db.models import QuerySet

from findings.words.models import OfficeTerm


def office_terms() -> QuerySet[OfficeTerm]:
    """The active terms of the office by class and word; read when first looked at."""
    return OfficeTerm.objects.active().order_by("klass", "term", "pk")
