"""What the office charges, and the invoices of its answers."""

import django.core.validators
import django.db.models.deletion
import me_office.audit.ids
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('cases', '0001_initial'),
        ('court', '0006_original_and_authority'),
        ('evidence', '0001_initial'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name='InvoiceSeries',
            fields=[
                ('id', models.UUIDField(default=me_office.audit.ids.new_id, editable=False, primary_key=True, serialize=False)),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('changed_at', models.DateTimeField(auto_now=True)),
                ('voided_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('void_reason', models.TextField(blank=True, editable=False)),
                ('year', models.PositiveIntegerField(editable=False, unique=True)),
                ('last', models.PositiveIntegerField(default=0, editable=False)),
                ('changed_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('created_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('voided_by', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['year'],
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='FeeRule',
            fields=[
                ('id', models.UUIDField(default=me_office.audit.ids.new_id, editable=False, primary_key=True, serialize=False)),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('changed_at', models.DateTimeField(auto_now=True)),
                ('voided_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('void_reason', models.TextField(blank=True, editable=False)),
                ('name', models.CharField(max_length=80, verbose_name='what is charged')),
                ('unit', models.CharField(choices=[('page', 'a page'), ('file', 'a file'), ('certified', 'a certified copy'), ('hour', 'an hour of search'), ('flat', 'flat')], max_length=10, verbose_name='counted by')),
                ('amount', models.DecimalField(decimal_places=2, max_digits=9)),
                ('currency', models.CharField(default='USD', max_length=3, validators=[django.core.validators.RegexValidator('^[A-Z]{3}$', 'Three capital letters: USD.')])),
                ('because', models.CharField(blank=True, max_length=240, verbose_name='law or order')),
                ('changed_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('created_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('voided_by', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['name', 'id'],
                'abstract': False,
                'constraints': [models.UniqueConstraint(condition=models.Q(('voided_at', None)), fields=('name',), name='fee_once', violation_error_message='The list has this fee already.'), models.CheckConstraint(condition=models.Q(('amount__gte', 0)), name='fee_not_negative', violation_error_message='A fee is not less than nothing.')],
            },
        ),
        migrations.CreateModel(
            name='Invoice',
            fields=[
                ('id', models.UUIDField(default=me_office.audit.ids.new_id, editable=False, primary_key=True, serialize=False)),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('changed_at', models.DateTimeField(auto_now=True)),
                ('voided_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('void_reason', models.TextField(blank=True, editable=False)),
                ('number', models.CharField(editable=False, max_length=20, unique=True)),
                ('billed_to', models.CharField(max_length=160, verbose_name='billed to')),
                ('address', models.TextField(blank=True)),
                ('pay_by', models.DateField(blank=True, null=True, verbose_name='to be paid by')),
                ('lines', models.JSONField(editable=False)),
                ('total', models.DecimalField(decimal_places=2, editable=False, max_digits=12)),
                ('currency', models.CharField(editable=False, max_length=3)),
                ('waived_because', models.CharField(blank=True, editable=False, max_length=240, verbose_name='waived')),
                ('paid_on', models.DateField(blank=True, editable=False, null=True)),
                ('paid_how', models.CharField(blank=True, choices=[('', 'not stated'), ('check', 'check'), ('card', 'card'), ('cash', 'cash'), ('transfer', 'bank transfer'), ('other', 'in another way')], default='', editable=False, max_length=8, verbose_name='paid by')),
                ('paid_note', models.CharField(blank=True, editable=False, max_length=160, verbose_name='note of payment')),
                ('case', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='%(class)s_set', to='cases.case')),
                ('changed_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('created_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('file', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='evidence.storedfile')),
                ('request', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='invoices', to='court.recordsrequest')),
                ('voided_by', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['created_at', 'id'],
                'abstract': False,
                'constraints': [models.CheckConstraint(condition=models.Q(('waived_because', ''), ('paid_on__isnull', True), _connector='OR'), name='invoice_waived_or_paid', violation_error_message='A waived invoice is not paid.')],
            },
        ),
    ]
