"""What belongs to a record, so that its history tells all that was done with it.

A finding is its marks, layers, interpretations, paths, photographs and measurements too: who
asks who changed it means those as well.
"""

from __future__ import annotations

from collections.abc import Iterator

from django.apps import apps
from django.db import models
from django.db.models import TextField, Value
from django.db.models.functions import Cast

from me_office.audit.guard import tables_that
from me_office.audit.words import model_of

# The tables whose records are more than their own row. What else points at them belongs to them;
# an examination or a case would be half the office.
WHOLES = {"findings_finding", "evidence_photograph"}
# Points at a photograph and is told elsewhere: a set's own history, and what workers make.
APART = {"exhibits_exhibit", "exhibits_courtmark", "evidence_derivedimage"}


def belonging_to(table: str, record_id: str) -> list[tuple[str, str]]:
    """Return table and key of all that belongs to the record, in one statement."""
    model = model_of(table)
    if model is None or table not in WHOLES:
        return []
    first, *others = [_keys(field, record_id) for field in _pointing_at(model)]
    return list(first.union(*others).order_by("of_table", "of_key"))


def _pointing_at(model: type[models.Model]) -> Iterator[models.ForeignKey[models.Model]]:
    watched = set(tables_that("watched")) - APART
    for other in apps.get_models():
        if other._meta.db_table not in watched:
            continue
        for field in other._meta.concrete_fields:
            if isinstance(field, models.ForeignKey) and field.related_model is model:
                yield field


def _keys(
    field: models.ForeignKey[models.Model], record_id: str
) -> models.QuerySet[models.Model, tuple[str, str]]:
    rows = field.model._base_manager.filter(**{field.attname: record_id}).order_by()
    named = rows.annotate(
        of_table=Value(field.model._meta.db_table, output_field=TextField()),
        of_key=Cast("pk", TextField()),
    )
    keys: models.QuerySet[models.Model, tuple[str, str]] = named.values_list("of_table", "of_key")
    return keys
