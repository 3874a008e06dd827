"""Grounds, decisions on items, and their approval."""

import django.db.models.deletion
import me_office.audit.ids
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    initial = True

    dependencies = [
        ("cases", "0001_initial"),
        ("court", "0005_demands_counsel_and_further_cases"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name='Ground',
            fields=[
                ('id', models.UUIDField(default=me_office.audit.ids.new_id, editable=False, primary_key=True, serialize=False)),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('changed_at', models.DateTimeField(auto_now=True)),
                ('voided_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('void_reason', models.TextField(blank=True, editable=False)),
                ('number', models.PositiveIntegerField(editable=False)),
                ('words', models.CharField(max_length=160, verbose_name='in short')),
                ('citation', models.CharField(max_length=240, verbose_name='law or order')),
                ('approved_by', models.CharField(blank=True, max_length=160, verbose_name='approved by counsel')),
                ('approved_on', models.DateField(blank=True, null=True)),
                ('changed_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('created_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('voided_by', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['number', 'created_at', 'id'],
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='ItemDecision',
            fields=[
                ('id', models.UUIDField(default=me_office.audit.ids.new_id, editable=False, primary_key=True, serialize=False)),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('changed_at', models.DateTimeField(auto_now=True)),
                ('voided_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('void_reason', models.TextField(blank=True, editable=False)),
                ('kind', models.CharField(editable=False, max_length=24)),
                ('item', models.CharField(editable=False, max_length=80)),
                ('digest', models.CharField(blank=True, editable=False, max_length=64)),
                ('label', models.CharField(editable=False, max_length=240, verbose_name='item')),
                ('outcome', models.CharField(choices=[('release', 'release'), ('redact', 'release redacted'), ('withhold', 'withhold'), ('missing', 'does not exist'), ('not ours', 'not ours')], max_length=12)),
                ('held_by', models.CharField(blank=True, max_length=240, verbose_name='who has it')),
                ('note', models.CharField(blank=True, max_length=240)),
                ('case', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='%(class)s_set', to='cases.case')),
                ('changed_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('created_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('demand', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='decisions', to='court.demand')),
                ('ground', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='decisions', to='decisions.ground')),
                ('request', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='decisions', to='court.recordsrequest')),
                ('voided_by', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['created_at', 'id'],
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='Approval',
            fields=[
                ('id', models.UUIDField(default=me_office.audit.ids.new_id, editable=False, primary_key=True, serialize=False)),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('changed_at', models.DateTimeField(auto_now=True)),
                ('voided_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('void_reason', models.TextField(blank=True, editable=False)),
                ('digest', models.CharField(editable=False, help_text='SHA-256', max_length=64, verbose_name='digest of the decisions')),
                ('items', models.PositiveIntegerField(editable=False)),
                ('note', models.CharField(blank=True, max_length=240)),
                ('case', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='%(class)s_set', to='cases.case')),
                ('changed_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('created_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('request', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='approvals', to='court.recordsrequest')),
                ('voided_by', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['created_at', 'id'],
                'abstract': False,
                'constraints': [models.UniqueConstraint(condition=models.Q(('voided_at', None)), fields=('request',), name='one_approval_of_a_request', violation_error_message='What goes out was approved meanwhile.')],
            },
        ),
        migrations.AddConstraint(
            model_name='ground',
            constraint=models.UniqueConstraint(condition=models.Q(('voided_at', None)), fields=('number',), name='ground_number_once', violation_error_message='The list has this number already.'),
        ),
        migrations.AddIndex(
            model_name='itemdecision',
            index=models.Index(condition=models.Q(('voided_at', None)), fields=['request', 'kind', 'item'], name='decision_of_request'),
        ),
        migrations.AddConstraint(
            model_name='itemdecision',
            constraint=models.UniqueConstraint(condition=models.Q(('voided_at', None)), fields=('demand', 'kind', 'item'), name='item_decided_once', violation_error_message='This item was decided meanwhile.'),
        ),
        migrations.AddConstraint(
            model_name='itemdecision',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('outcome__in', ['redact', 'withhold']), _negated=True), ('ground__isnull', False), _connector='OR'), name='kept_back_on_a_ground', violation_error_message='Name the ground on which it is kept back.'),
        ),
        migrations.AddConstraint(
            model_name='itemdecision',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('outcome', 'not ours'), _negated=True), models.Q(('held_by', ''), _negated=True), _connector='OR'), name='not_ours_says_whose', violation_error_message='Say who has it.'),
        ),
    ]
