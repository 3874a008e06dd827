"""Migrations of a table that came to another app: it keeps its name and its rows."""

from __future__ import annotations

from typing import Any

from django.db import migrations


class TakeOver(migrations.CreateModel):
    """Make a model's table unless it is there from the time of another app."""

    def database_forwards(
        self, app_label: str, schema_editor: Any, from_state: Any, to_state: Any
    ) -> None:
        """Create the table where there is none."""
        table = to_state.apps.get_model(app_label, self.name)._meta.db_table
        if table not in schema_editor.connection.introspection.table_names():
            super().database_forwards(app_label, schema_editor, from_state, to_state)

    def describe(self) -> str:
        """Say what it does."""
        return f"Take over the table of {self.name}, or make it"


def types_follow(before: str, now: str, *models: str) -> migrations.RunPython:
    """Let the content types of models, and the permissions with them, go along to their new app."""

    def follow(apps: Any, schema_editor: Any) -> None:
        types = apps.get_model("contenttypes", "ContentType").objects
        types.filter(app_label=before, model__in=models).update(app_label=now)

    return migrations.RunPython(follow, migrations.RunPython.noop)
