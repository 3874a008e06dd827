"""Wrong passwords and codes of one person are found without reading all that they looked at."""

from django.contrib.postgres.operations import AddIndexConcurrently
from django.db import migrations, models


class Migration(migrations.Migration):
    """Built while the office works."""

    atomic = False
    dependencies = [("audit", "0005_indexes_of_the_trail")]
    operations = [
        AddIndexConcurrently(
            "accessevent",
            models.Index(
                fields=["actor_id", "id"],
                condition=models.Q(what="failed try"),
                name="access_event_failed_try",
            ),
        )
    ]
