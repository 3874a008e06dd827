"""What a migration may not do to an office in which old and new code run side by side."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django.contrib.postgres.operations import AddConstraintNotValid, AddIndexConcurrently
from django.db import migrations
from django.db.migrations.operations import base
from django.db.models import NOT_PROVIDED, CheckConstraint


def careless(migration: Any) -> Iterator[str]:
    """Yield, in words, what old code would stumble over, or people would wait for."""
    new = {
        one.name_lower for one in migration.operations if isinstance(one, migrations.CreateModel)
    }
    for one in migration.operations:
        if getattr(one, "model_name_lower", getattr(one, "name_lower", "")) in new:
            continue
        yield from _careless(one)


def _careless(one: base.Operation) -> Iterator[str]:
    match one:
        case migrations.AddField() if not one.field.many_to_many:
            if not one.field.null and one.field.db_default is NOT_PROVIDED:
                yield f"{one.describe()}: old code fills it with nothing; give it a db_default"
        case AddIndexConcurrently():
            pass
        case migrations.AddIndex():
            yield f"{one.describe()}: everybody who writes waits; use AddIndexConcurrently"
        case AddConstraintNotValid():
            pass
        case migrations.AddConstraint() if isinstance(one.constraint, CheckConstraint):
            yield (
                f"{one.describe()}: everybody waits while all rows are read; use "
                "AddConstraintNotValid, then ValidateConstraint"
            )
        case migrations.AddConstraint():
            yield (
                f"{one.describe()}: everybody who writes waits while its index is made; make it "
                "beside the work first: CREATE UNIQUE INDEX CONCURRENTLY, then ADD CONSTRAINT "
                "USING INDEX"
            )
        case migrations.RenameField() | migrations.RenameModel() | migrations.AlterModelTable():
            yield f"{one.describe()}: old code asks for the old name; add the new one first"
        case migrations.RemoveField() | migrations.DeleteModel():
            yield f"{one.describe()}: old code still asks for it; wait until the next version"
