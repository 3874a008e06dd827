"""Addenda by the moment at which they were made: those that wait for a signature or a PDF."""

from django.contrib.postgres.operations import AddIndexConcurrently
from django.db import migrations, models


class Migration(migrations.Migration):
    atomic = False
    dependencies = [("review", "0009_review_made_outside")]
    operations = [
        AddIndexConcurrently(
            "addendum",
            models.Index(
                fields=["made_at", "id"],
                condition=models.Q(voided_at=None),
                name="addendum_by_moment",
            ),
        )
    ]
