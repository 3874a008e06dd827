"""Indexes of a person's last license and of what changed lately, built beside the work."""

from django.contrib.postgres.operations import AddIndexConcurrently
from django.db import migrations, models


class Migration(migrations.Migration):
    """Not in a transaction: an index cannot be built concurrently inside one."""

    atomic = False
    dependencies = [("certification", "0004_follow_up_particulars_and_registrar")]
    operations = [
        AddIndexConcurrently(
            model_name="certification",
            index=models.Index(
                fields=["stated_by", "-stated_at"], name="certification_by_certifier"
            ),
        ),
        AddIndexConcurrently(
            model_name="certification",
            index=models.Index(fields=["stated_at", "id"], name="certification_by_statement"),
        ),
    ]
