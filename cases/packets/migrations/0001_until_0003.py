import django.db.models.deletion
import me_office.audit.ids
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    # A new office is spared the way there; one that began with these goes on with them.
    replaces = [
        ('packets', '0001_initial'),
        ('packets', '0002_redacted_copies_and_bare_copies'),
        ('packets', '0003_packets_are_jobs'),
    ]

    initial = True

    dependencies = [
        ('accounts', '__first__'),
        ('cases', '0001_initial'),
        ('court', '0001_initial'),
        ('jobs', '0002_count_attempts'),
    ]

    operations = [
        migrations.CreateModel(
            name='Packet',
            fields=[
                ('id', models.UUIDField(default=me_office.audit.ids.new_id, editable=False, primary_key=True, serialize=False)),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('changed_at', models.DateTimeField(auto_now=True)),
                ('voided_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('void_reason', models.TextField(blank=True, editable=False)),
                ('number', models.PositiveIntegerField(editable=False)),
                ('state', models.CharField(choices=[('waiting', 'waiting'), ('making', 'making'), ('made', 'made'), ('failed', 'failed')], default='waiting', editable=False, max_length=8)),
                ('with_photographs', models.BooleanField(default=True)),
                ('with_history', models.BooleanField(default=True)),
                ('attempts', models.PositiveIntegerField(default=0, editable=False)),
                ('built_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('path', models.CharField(blank=True, editable=False, max_length=200)),
                ('sha256', models.CharField(blank=True, editable=False, max_length=64)),
                ('size_bytes', models.BigIntegerField(blank=True, editable=False, null=True)),
                ('pages', models.PositiveIntegerField(blank=True, editable=False, null=True)),
                ('photographs', models.PositiveIntegerField(blank=True, editable=False, null=True)),
                ('failure', models.TextField(blank=True, editable=False)),
                ('case', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='%(class)s_set', to='cases.case')),
                ('changed_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('created_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('request', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='packets', to='court.recordsrequest')),
                ('voided_by', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('camera_notes', models.BooleanField(default=True, help_text="Originals, unchanged; else copies without the camera's notes")),
                ('originals', models.JSONField(blank=True, default=list, help_text='Photographs that go out as originals although a redacted copy stands')),
                ('originals_why', models.TextField(blank=True, verbose_name='reason for the originals')),
                ('redacted', models.PositiveIntegerField(blank=True, editable=False, null=True)),
                ('holds', models.JSONField(editable=False, help_text='What decides about what it holds, as it was built', null=True)),
            ],
            options={
                'ordering': ['number'],
                'abstract': False,
                'indexes': [models.Index(fields=['state', 'changed_at'], name='packet_by_state')],
                'constraints': [models.UniqueConstraint(fields=('case', 'number'), name='packet_number_once'), models.CheckConstraint(condition=models.Q(models.Q(('state', 'made'), _negated=True), models.Q(('built_at__isnull', False), ('size_bytes__isnull', False), models.Q(('sha256', ''), _negated=True), models.Q(('path', ''), _negated=True)), _connector='OR'), name='packet_built_is_whole')],
            },
        ),
    ]
