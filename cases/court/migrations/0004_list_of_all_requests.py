"""The list of all requests, open or not, is read in its order too."""

from __future__ import annotations

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("court", "0003_answered_in_part")]

    operations = [
        migrations.AddIndex(
            "recordsrequest", models.Index(fields=["due_on", "id"], name="request_of_all_by_due")
        )
    ]
