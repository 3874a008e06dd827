"""Which names of the store a row of the database names, of whatever kind.

A model whose rows keep files there has a `path`, a `sha256` and `size_bytes`, and says by
`file_kept_at` in which column stands since when; it is found here by that.
"""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

from django.apps import apps
from django.db.models import Model, QuerySet

COLUMNS = frozenset({"path", "sha256", "size_bytes"})


def kinds() -> list[type[Model]]:
    """Return every model whose rows name files of the store, in a fixed order."""
    return sorted(
        (model for model in apps.get_models() if hasattr(model, "file_kept_at")),
        key=lambda model: model._meta.label_lower,
    )


def naming(model: type[Model]) -> QuerySet[Any]:
    """Return the rows of a kind that name a file; a job that is not finished names none yet."""
    return model._base_manager.exclude(path="")


def named_among(paths: Collection[str]) -> set[str]:
    """Return those of the names that some row names, in a statement a kind."""
    found: set[str] = set()
    for model in kinds():
        found |= set(naming(model).filter(path__in=paths).values_list("path", flat=True))
    return found
