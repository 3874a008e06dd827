"""Which backups were made and tried, and from which one the office was put up again."""

import me_office.audit.ids
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('upkeep', '0001_initial'),
    ]

    operations = [
        migrations.CreateModel(
            name='Restoration',
            fields=[
                ('id', models.UUIDField(default=me_office.audit.ids.new_id, editable=False, primary_key=True, serialize=False)),
                ('backup', models.CharField(max_length=40)),
                ('taken_at', models.DateTimeField(help_text='The moment that the backup shows')),
                ('restored_at', models.DateTimeField(auto_now_add=True)),
                ('not_whole', models.PositiveIntegerField(help_text='Files that the backup did not have')),
            ],
            options={
                'ordering': ['-restored_at', 'id'],
            },
        ),
        migrations.CreateModel(
            name='Backup',
            fields=[
                ('id', models.UUIDField(default=me_office.audit.ids.new_id, editable=False, primary_key=True, serialize=False)),
                ('name', models.CharField(max_length=40)),
                ('folder', models.CharField(max_length=400)),
                ('taken_at', models.DateTimeField(help_text='The moment that it shows')),
                ('finished_at', models.DateTimeField(auto_now_add=True)),
                ('files', models.PositiveBigIntegerField()),
                ('size_bytes', models.PositiveBigIntegerField()),
                ('not_whole', models.PositiveIntegerField(help_text='Files that were missing or altered')),
                ('checked_at', models.DateTimeField(help_text='When it was restored to try it', null=True)),
                ('problems', models.PositiveIntegerField(default=0, help_text='What that found')),
            ],
            options={
                'ordering': ['-taken_at', 'id'],
                'constraints': [models.UniqueConstraint(fields=('name',), name='backup_name_once')],
            },
        ),
    ]
