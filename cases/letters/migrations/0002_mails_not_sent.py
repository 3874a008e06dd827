"""The index of letters that were not mailed. Built beside the work that goes on."""

from django.contrib.postgres.operations import AddIndexConcurrently
from django.db import migrations, models


class Migration(migrations.Migration):
    """Not in a transaction: an index cannot be built concurrently inside one."""

    atomic = False
    dependencies = [("letters", "0001_initial")]
    operations = [
        AddIndexConcurrently(
            model_name="lettermail",
            index=models.Index(
                fields=["-tried_at", "id"],
                condition=models.Q(("fault", ""), _negated=True),
                name="letter_mail_not_sent",
            ),
        ),
    ]
