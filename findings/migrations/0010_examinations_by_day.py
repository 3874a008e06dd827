"""The index from which the examinations of a period are read. Built beside the work that goes on."""

from django.contrib.postgres.operations import AddIndexConcurrently
from django.db import migrations, models


class Migration(migrations.Migration):
    """Not in a transaction: an index cannot be built concurrently inside one."""

    atomic = False
    dependencies = [("findings", "0009_more_kinds_of_examination")]
    operations = [
        AddIndexConcurrently(
            model_name="examination",
            index=models.Index(
                fields=["began_at", "id"],
                condition=models.Q(voided_at=None),
                name="examination_by_day",
            ),
        ),
    ]
