import django.core.validators
import django.db.models.deletion
import me_office.audit.ids
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    # A new office is spared the way there; one that began with these goes on with them.
    replaces = [
        ('measuring', '0001_measurements'),
        ('measuring', '0002_copy_requests'),
    ]

    initial = True

    dependencies = [
        ('accounts', '__first__'),
        ('cases', '0001_initial'),
        ('evidence', '0003_uploads_clocks_and_store_checks'),
        ('findings', '0001_examinations_and_findings'),
    ]

    operations = [
        migrations.CreateModel(
            name='Measurement',
            fields=[
                ('id', models.UUIDField(default=me_office.audit.ids.new_id, editable=False, primary_key=True, serialize=False)),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('changed_at', models.DateTimeField(auto_now=True)),
                ('voided_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('void_reason', models.TextField(blank=True, editable=False)),
                ('number', models.PositiveIntegerField(editable=False)),
                ('kind', models.CharField(choices=[('length', 'length'), ('polyline', 'polyline'), ('area', 'area'), ('angle', 'angle')], editable=False, max_length=10)),
                ('scale_kind', models.CharField(choices=[('straight', 'straight'), ('right-angled', 'right-angled')], editable=False, max_length=14)),
                ('points', models.JSONField(editable=False)),
                ('inputs', models.JSONField(editable=False)),
                ('result', models.JSONField(editable=False)),
                ('method', models.CharField(editable=False, max_length=40)),
                ('method_version', models.CharField(editable=False, max_length=10)),
                ('note', models.CharField(blank=True, editable=False, max_length=240)),
                ('case', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='%(class)s_set', to='cases.case')),
                ('changed_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('created_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('finding', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='measurements', to='findings.finding')),
                ('photograph', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='measurements', to='evidence.photograph')),
                ('voided_by', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['number'],
                'abstract': False,
                'constraints': [models.UniqueConstraint(fields=('photograph', 'number'), name='measurement_number_once')],
            },
        ),
        migrations.CreateModel(
            name='DerivedCopy',
            fields=[
                ('id', models.UUIDField(default=me_office.audit.ids.new_id, editable=False, primary_key=True, serialize=False)),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('changed_at', models.DateTimeField(auto_now=True)),
                ('voided_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('void_reason', models.TextField(blank=True, editable=False)),
                ('number', models.PositiveIntegerField(editable=False)),
                ('kind', models.CharField(choices=[('marked', 'marked'), ('rectified', 'rectified'), ('cropped', 'cropped')], editable=False, max_length=10)),
                ('parent_sha256', models.CharField(editable=False, max_length=64, validators=[django.core.validators.RegexValidator('^[0-9a-f]{64}$')])),
                ('operations', models.JSONField(editable=False)),
                ('software', models.CharField(editable=False, max_length=200)),
                ('pixels_sha256', models.CharField(editable=False, max_length=64, validators=[django.core.validators.RegexValidator('^[0-9a-f]{64}$')])),
                ('note', models.CharField(blank=True, editable=False, max_length=240)),
                ('case', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='%(class)s_set', to='cases.case')),
                ('changed_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('created_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('file', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='evidence.storedfile')),
                ('photograph', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='copies', to='evidence.photograph')),
                ('voided_by', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('measurement', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='copies', to='measuring.measurement')),
            ],
            options={
                'ordering': ['number'],
                'abstract': False,
                'constraints': [models.UniqueConstraint(fields=('photograph', 'number'), name='derived_copy_number_once')],
            },
        ),
        migrations.CreateModel(
            name='MeasurementUse',
            fields=[
                ('id', models.UUIDField(default=me_office.audit.ids.new_id, editable=False, primary_key=True, serialize=False)),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('changed_at', models.DateTimeField(auto_now=True)),
                ('voided_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('void_reason', models.TextField(blank=True, editable=False)),
                ('dimension', models.CharField(choices=[('length', 'length'), ('width', 'width')], editable=False, max_length=8)),
                ('case', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='%(class)s_set', to='cases.case')),
                ('changed_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('created_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('finding', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='measurement_uses', to='findings.finding')),
                ('measurement', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='uses', to='measuring.measurement')),
                ('voided_by', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['created_at', 'id'],
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='CopyRequest',
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
                ('kind', models.CharField(choices=[('marked', 'marked'), ('rectified', 'rectified'), ('cropped', 'cropped')], editable=False, max_length=10)),
                ('with_line', models.BooleanField(default=True, editable=False, help_text='The measured line and its size are drawn')),
                ('note', models.CharField(blank=True, editable=False, max_length=240)),
                ('case', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='%(class)s_set', to='cases.case')),
                ('changed_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('created_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('measurement', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='copy_requests', to='measuring.measurement')),
                ('photograph', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='copy_requests', to='evidence.photograph')),
                ('voided_by', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['created_at', 'id'],
                'abstract': False,
                'indexes': [models.Index(fields=['state', 'changed_at'], name='copy_request_by_state')],
            },
        ),
    ]
