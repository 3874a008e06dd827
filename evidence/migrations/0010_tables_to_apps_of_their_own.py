"""Uploads, clocks and checks of the store belong to apps of their own; their tables stay."""

from django.db import migrations


class Migration(migrations.Migration):

    dependencies = [
        ('evidence', '0009_parts_in_the_wrong_kit'),
    ]

    operations = [
        migrations.SeparateDatabaseAndState(
            state_operations=[
                migrations.DeleteModel(name='FixityProblem'),
                migrations.DeleteModel(name='FixityRun'),
                migrations.DeleteModel(name='PhotographUpload'),
                migrations.DeleteModel(name='CameraClock'),
            ],
        ),
    ]
