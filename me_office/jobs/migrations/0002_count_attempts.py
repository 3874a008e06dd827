import django.db.models.functions.datetime
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("jobs", "0001_job_progress")]

    operations = [
        migrations.AlterField(
            "jobprogress",
            "key",
            models.UUIDField(
                help_text="Of the request, or of what is worked on",
                primary_key=True,
                serialize=False,
            ),
        ),
        migrations.AlterField(
            "jobprogress",
            "beat_at",
            models.DateTimeField(db_default=django.db.models.functions.datetime.Now()),
        ),
        migrations.AddField(
            "jobprogress",
            "sent_at",
            models.DateTimeField(help_text="When a worker was last asked", null=True),
        ),
        migrations.AddField(
            "jobprogress",
            "attempts",
            models.PositiveIntegerField(
                default=0, help_text="At what nobody asked for; a request counts its own"
            ),
        ),
    ]
