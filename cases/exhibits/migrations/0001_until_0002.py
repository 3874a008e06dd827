import django.db.models.deletion
import django.db.models.functions.text
import me_office.audit.ids
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    # A new office is spared the way there; one that began with these goes on with them.
    replaces = [
        ('exhibits', '0001_initial'),
        ('exhibits', '0002_redaction_requests'),
    ]

    initial = True

    dependencies = [
        ('accounts', '__first__'),
        ('cases', '0001_initial'),
        ('court', '0001_initial'),
        ('evidence', '0003_uploads_clocks_and_store_checks'),
    ]

    operations = [
        migrations.CreateModel(
            name='ExhibitSet',
            fields=[
                ('id', models.UUIDField(default=me_office.audit.ids.new_id, editable=False, primary_key=True, serialize=False)),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('changed_at', models.DateTimeField(auto_now=True)),
                ('voided_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('void_reason', models.TextField(blank=True, editable=False)),
                ('title', models.CharField(help_text='Trial, deposition, inquest', max_length=160)),
                ('court', models.CharField(blank=True, max_length=160)),
                ('cause_number', models.CharField(blank=True, max_length=60)),
                ('case', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='%(class)s_set', to='cases.case')),
                ('changed_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('created_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('request', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='exhibit_sets', to='court.recordsrequest')),
                ('voided_by', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['-created_at', '-id'],
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='Redaction',
            fields=[
                ('id', models.UUIDField(default=me_office.audit.ids.new_id, editable=False, primary_key=True, serialize=False)),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('changed_at', models.DateTimeField(auto_now=True)),
                ('voided_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('void_reason', models.TextField(blank=True, editable=False)),
                ('regions', models.JSONField(editable=False, help_text='In points of the upright original, from its upper left')),
                ('why', models.TextField(editable=False, verbose_name='reason')),
                ('parent_sha256', models.CharField(editable=False, max_length=64, verbose_name='digest of the original')),
                ('operations', models.JSONField(editable=False, help_text='What was done, in order')),
                ('software', models.CharField(editable=False, max_length=200)),
                ('case', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='%(class)s_set', to='cases.case')),
                ('changed_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('created_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('file', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='evidence.storedfile')),
                ('photograph', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='redactions', to='evidence.photograph')),
                ('screen_file', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='evidence.storedfile')),
                ('voided_by', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['-created_at', '-id'],
                'abstract': False,
                'constraints': [models.UniqueConstraint(condition=models.Q(('voided_at', None)), fields=('photograph',), name='redaction_stands_once', violation_error_message='A redaction of this photograph stands already.')],
            },
        ),
        migrations.CreateModel(
            name='RedactionRequest',
            fields=[
                ('id', models.UUIDField(default=me_office.audit.ids.new_id, editable=False, primary_key=True, serialize=False)),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('changed_at', models.DateTimeField(auto_now=True)),
                ('voided_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('void_reason', models.TextField(blank=True, editable=False)),
                ('state', models.CharField(choices=[('waiting', 'waiting'), ('making', 'making'), ('made', 'made'), ('failed', 'failed')], default='waiting', editable=False, max_length=8)),
                ('attempts', models.PositiveIntegerField(default=0, editable=False)),
                ('failure', models.TextField(blank=True, editable=False)),
                ('regions', models.JSONField(editable=False, help_text='In points of the upright original, from its upper left')),
                ('why', models.TextField(editable=False, verbose_name='reason')),
                ('replaces', models.PositiveIntegerField(default=0, editable=False, help_text='Version of the redaction that stood, 0 for none')),
                ('case', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='%(class)s_set', to='cases.case')),
                ('changed_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('created_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('photograph', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='redaction_requests', to='evidence.photograph')),
                ('voided_by', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['created_at', 'id'],
                'abstract': False,
                'indexes': [models.Index(fields=['state', 'changed_at'], name='redaction_request_by_state')],
            },
        ),
        migrations.CreateModel(
            name='Exhibit',
            fields=[
                ('id', models.UUIDField(default=me_office.audit.ids.new_id, editable=False, primary_key=True, serialize=False)),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('changed_at', models.DateTimeField(auto_now=True)),
                ('voided_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('void_reason', models.TextField(blank=True, editable=False)),
                ('position', models.PositiveIntegerField(editable=False)),
                ('number', models.CharField(max_length=24, verbose_name='exhibit number')),
                ('caption', models.CharField(max_length=240)),
                ('plain_words', models.TextField(blank=True, max_length=600)),
                ('case', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='%(class)s_set', to='cases.case')),
                ('changed_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('created_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('photograph', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='exhibits', to='evidence.photograph')),
                ('voided_by', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('exhibit_set', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='exhibits', to='exhibits.exhibitset')),
            ],
            options={
                'ordering': ['position', 'id'],
                'abstract': False,
                'constraints': [models.UniqueConstraint(django.db.models.functions.text.Upper('number'), models.F('exhibit_set'), condition=models.Q(('voided_at', None)), name='exhibit_number_once_a_set', violation_error_message='This set has an exhibit of that number already.'), models.UniqueConstraint(condition=models.Q(('voided_at', None)), fields=('exhibit_set', 'photograph'), name='exhibit_photograph_once_a_set', violation_error_message='This photograph is in the set already.')],
            },
        ),
    ]
