"""The index from which certificates are listed. Built beside the work that goes on."""

from django.contrib.postgres.operations import AddIndexConcurrently
from django.db import migrations, models


class Migration(migrations.Migration):
    """Not in a transaction: an index cannot be built concurrently inside one."""

    atomic = False
    dependencies = [("signatures", "0002_outcome_whole")]
    operations = [
        AddIndexConcurrently(
            model_name="certificate",
            index=models.Index(
                fields=["-not_after", "id"],
                condition=models.Q(voided_at=None),
                name="certificate_by_end",
            ),
        ),
    ]
