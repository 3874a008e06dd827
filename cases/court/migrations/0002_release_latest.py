"""The index from which the latest releases are read. Built beside the work that goes on."""

from django.contrib.postgres.operations import AddIndexConcurrently
from django.db import migrations, models


class Migration(migrations.Migration):
    """Not in a transaction: an index cannot be built concurrently inside one."""

    atomic = False
    dependencies = [("court", "0001_initial")]
    operations = [
        AddIndexConcurrently(
            model_name="release",
            index=models.Index(fields=["-released_at", "-id"], name="release_latest"),
        ),
    ]
