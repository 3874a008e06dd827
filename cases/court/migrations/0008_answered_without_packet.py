"""A request that is answered without a packet."""

import django.db.models.deletion
import me_office.audit.ids
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('cases', '0001_initial'),
        ('court', '0007_fees_and_invoices'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name='Closing',
            fields=[
                ('id', models.UUIDField(default=me_office.audit.ids.new_id, editable=False, primary_key=True, serialize=False)),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('changed_at', models.DateTimeField(auto_now=True)),
                ('voided_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('void_reason', models.TextField(blank=True, editable=False)),
                ('how', models.CharField(choices=[('testimony', 'testimony was given'), ('letter', 'a letter answers it'), ('kept', 'what it asks to keep is kept'), ('other', 'in another way')], max_length=10, verbose_name='answered by')),
                ('answered_on', models.DateField()),
                ('words', models.TextField(verbose_name='what was done')),
                ('case', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='%(class)s_set', to='cases.case')),
                ('changed_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('created_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('request', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='closings', to='court.recordsrequest')),
                ('voided_by', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['created_at', 'id'],
                'abstract': False,
                'constraints': [models.UniqueConstraint(condition=models.Q(('voided_at', None)), fields=('request',), name='request_closed_once', violation_error_message='The request was closed meanwhile.')],
            },
        ),
    ]
