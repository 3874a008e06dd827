"""What the search indexes have put aside is entered, and nothing is put aside from here on."""

from __future__ import annotations

from django.contrib.postgres.indexes import GinIndex, OpClass
from django.db import migrations
from django.db.migrations.operations.base import Operation
from django.db.models.functions import Upper

INDEXES = (
    ("case", "number", "case_number_search"),
    ("case", "heading", "case_heading_search"),
    ("case", "place_of_death", "case_place_search"),
    ("decedent", "search_name", "decedent_name_search"),
)


def _state(model: str, column: str, name: str) -> list[Operation]:
    index = GinIndex(OpClass(Upper(column), "gin_trgm_ops"), fastupdate=False, name=name)
    return [migrations.RemoveIndex(model, name), migrations.AddIndex(model, index)]


class Migration(migrations.Migration):
    dependencies = [("cases", "0011_hospital_and_place_of_death")]

    # The option is changed where the index stands: it need not be made again.
    operations = [
        migrations.RunSQL(
            [
                f"ALTER INDEX {name} SET (fastupdate = off)",
                f"SELECT gin_clean_pending_list('{name}')",
            ],
            f"ALTER INDEX {name} RESET (fastupdate)",
            state_operations=_state(model, column, name),
        )
        for model, column, name in INDEXES
    ]
