"""The title of who signed, as it was on that day."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("review", "0010_addenda_by_moment")]
    operations = [
        migrations.AddField(
            "reportdraft",
            "signed_title",
            models.CharField(blank=True, editable=False, max_length=120, null=True),
        ),
        migrations.AddField(
            "reviewdecision",
            "signed_title",
            models.CharField(blank=True, editable=False, max_length=120, null=True),
        ),
    ]
