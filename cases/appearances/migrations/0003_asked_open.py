"""The index of what was asked for in court and is not done. Built beside the work that goes on."""

from django.contrib.postgres.operations import AddIndexConcurrently
from django.db import migrations, models


class Migration(migrations.Migration):
    """Not in a transaction: an index cannot be built concurrently inside one."""

    atomic = False
    dependencies = [("appearances", "0002_asked_for_in_court")]
    operations = [
        AddIndexConcurrently(
            model_name="appearance",
            index=models.Index(
                fields=["begins_at", "id"],
                condition=models.Q(asked_settled_at=None, voided_at=None)
                & ~models.Q(asked_afterward=""),
                name="appearance_asked_open",
            ),
        ),
    ]
