"""That everything was written into a folder is kept."""

import me_office.audit.ids
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('upkeep', '0002_backups'),
    ]

    operations = [
        migrations.CreateModel(
            name='GivenOut',
            fields=[
                ('id', models.UUIDField(default=me_office.audit.ids.new_id, editable=False, primary_key=True, serialize=False)),
                ('folder', models.CharField(max_length=400)),
                ('begun_at', models.DateTimeField(auto_now_add=True)),
                ('finished_at', models.DateTimeField(null=True)),
                ('cases', models.PositiveIntegerField(default=0)),
                ('restricted', models.PositiveIntegerField(default=0, help_text='Of the cases')),
                ('not_whole', models.PositiveIntegerField(default=0, help_text='Files missing or altered')),
            ],
            options={
                'ordering': ['-begun_at', 'id'],
            },
        ),
    ]
