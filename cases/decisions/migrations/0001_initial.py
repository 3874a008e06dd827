"""Grounds, what demands reach, decisions on items, stops, questions, approvals."""

import django.db.models.deletion
import me_office.audit.ids
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    initial = True

    dependencies = [
        ('cases', '0001_initial'),
        ('court', '0005_demands_counsel_and_further_cases'),
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
                ('number', models.PositiveIntegerField()),
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
                ('number', models.CharField(blank=True, editable=False, max_length=24)),
                ('label', models.CharField(editable=False, max_length=240, verbose_name='item')),
                ('outcome', models.CharField(choices=[('release', 'release'), ('redact', 'release redacted'), ('withhold', 'withhold'), ('missing', 'does not exist'), ('not ours', 'not ours'), ('sent', 'sent earlier')], max_length=12)),
                ('held_by', models.CharField(blank=True, max_length=240, verbose_name='who has it')),
                ('note', models.CharField(blank=True, max_length=240)),
                ('together', models.UUIDField(editable=False)),
                ('case', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='%(class)s_set', to='cases.case')),
                ('changed_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('created_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('demand', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='decisions', to='court.demand')),
                ('ground', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='decisions', to='decisions.ground')),
                ('request', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='decisions', to='court.recordsrequest')),
                ('sent_with', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='court.release')),
                ('voided_by', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['created_at', 'id'],
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='LookAsked',
            fields=[
                ('id', models.UUIDField(default=me_office.audit.ids.new_id, editable=False, primary_key=True, serialize=False)),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('changed_at', models.DateTimeField(auto_now=True)),
                ('voided_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('void_reason', models.TextField(blank=True, editable=False)),
                ('kind', models.CharField(blank=True, editable=False, max_length=24)),
                ('item', models.CharField(blank=True, editable=False, max_length=80)),
                ('label', models.CharField(blank=True, editable=False, max_length=240, verbose_name='item')),
                ('words', models.TextField(max_length=1000, verbose_name='question')),
                ('answer', models.TextField(blank=True, max_length=2000)),
                ('answered_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('answered_by', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('asked_of', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('case', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='%(class)s_set', to='cases.case')),
                ('changed_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('created_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('demand', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='looks_asked', to='court.demand')),
                ('request', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='looks_asked', to='court.recordsrequest')),
                ('voided_by', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'verbose_name': 'question about a release',
                'ordering': ['created_at', 'id'],
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='ProposalRule',
            fields=[
                ('id', models.UUIDField(default=me_office.audit.ids.new_id, editable=False, primary_key=True, serialize=False)),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('changed_at', models.DateTimeField(auto_now=True)),
                ('voided_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('void_reason', models.TextField(blank=True, editable=False)),
                ('key', models.CharField(editable=False, max_length=24, verbose_name='rule')),
                ('is_on', models.BooleanField(default=True, verbose_name='is used')),
                ('changed_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('created_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('ground', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='decisions.ground')),
                ('voided_by', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['key', 'id'],
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='Reach',
            fields=[
                ('id', models.UUIDField(default=me_office.audit.ids.new_id, editable=False, primary_key=True, serialize=False)),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('changed_at', models.DateTimeField(auto_now=True)),
                ('voided_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('void_reason', models.TextField(blank=True, editable=False)),
                ('kind', models.CharField(choices=[('report', 'report of examination'), ('addendum', 'addenda and amendments'), ('photograph', 'photographs'), ('result', 'results of laboratories and consultants'), ('custody record', 'custody record'), ('statement', 'earlier statements'), ('history', 'history of the case file'), ('document', 'documents'), ('ledger proof', 'proof of the record'), ('recording', 'recordings'), ('other', 'something else')], max_length=24)),
                ('first', models.PositiveIntegerField(blank=True, null=True, verbose_name='first number')),
                ('last', models.PositiveIntegerField(blank=True, null=True, verbose_name='last number')),
                ('words', models.CharField(blank=True, max_length=160, verbose_name='what it is')),
                ('case', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='%(class)s_set', to='cases.case')),
                ('changed_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('created_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('demand', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='reaches', to='court.demand')),
                ('request', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='reaches', to='court.recordsrequest')),
                ('voided_by', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'verbose_name': 'what a demand reaches',
                'ordering': ['created_at', 'id'],
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='Stop',
            fields=[
                ('id', models.UUIDField(default=me_office.audit.ids.new_id, editable=False, primary_key=True, serialize=False)),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('changed_at', models.DateTimeField(auto_now=True)),
                ('voided_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('void_reason', models.TextField(blank=True, editable=False)),
                ('kind', models.CharField(choices=[('sealed', 'sealed by a court'), ('prosecution', 'ongoing prosecution'), ('juvenile', 'the decedent was a minor'), ('other', 'another reason')], max_length=12)),
                ('why', models.CharField(max_length=240, verbose_name='reason')),
                ('until', models.DateField(blank=True, null=True, verbose_name='holds until')),
                ('case', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='%(class)s_set', to='cases.case')),
                ('changed_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('created_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('request', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='stops', to='court.recordsrequest')),
                ('voided_by', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['created_at', 'id'],
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='StopSettled',
            fields=[
                ('id', models.UUIDField(default=me_office.audit.ids.new_id, editable=False, primary_key=True, serialize=False)),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('changed_at', models.DateTimeField(auto_now=True)),
                ('voided_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('void_reason', models.TextField(blank=True, editable=False)),
                ('stop', models.CharField(editable=False, max_length=80)),
                ('words', models.CharField(max_length=240, verbose_name='why the answer may go out')),
                ('on_word_of', models.CharField(max_length=160, verbose_name='on whose word')),
                ('case', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='%(class)s_set', to='cases.case')),
                ('changed_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('created_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('request', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='stops_settled', to='court.recordsrequest')),
                ('voided_by', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'verbose_name': 'decision about a stop',
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
        migrations.AddConstraint(
            model_name='ground',
            constraint=models.CheckConstraint(condition=models.Q(('number__gte', 1)), name='ground_number_from_one', violation_error_message='Numbers begin with 1.'),
        ),
        migrations.AddIndex(
            model_name='itemdecision',
            index=models.Index(condition=models.Q(('voided_at', None)), fields=['request', 'kind', 'item'], name='decision_of_request'),
        ),
        migrations.AddIndex(
            model_name='itemdecision',
            index=models.Index(fields=['together'], name='decision_together'),
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
        migrations.AddConstraint(
            model_name='itemdecision',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('outcome', 'sent'), _negated=True), models.Q(('note', ''), _negated=True), _connector='OR'), name='sent_earlier_says_when', violation_error_message='Say when and to whom it was sent.'),
        ),
        migrations.AddIndex(
            model_name='lookasked',
            index=models.Index(condition=models.Q(('answered_at', None), ('voided_at', None)), fields=['asked_of', 'created_at'], name='look_asked_of'),
        ),
        migrations.AddConstraint(
            model_name='proposalrule',
            constraint=models.UniqueConstraint(condition=models.Q(('voided_at', None)), fields=('key',), name='proposal_rule_once', violation_error_message='Somebody changed this rule.'),
        ),
        migrations.AddIndex(
            model_name='reach',
            index=models.Index(condition=models.Q(('voided_at', None)), fields=['request'], name='reach_of_request'),
        ),
        migrations.AddConstraint(
            model_name='reach',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('kind', 'other'), _negated=True), models.Q(('words', ''), _negated=True), _connector='OR'), name='reach_names_what_is_other', violation_error_message='Say what it is.'),
        ),
        migrations.AddConstraint(
            model_name='reach',
            constraint=models.CheckConstraint(condition=models.Q(('first', None), ('last', None), ('last__gte', models.F('first')), _connector='OR'), name='reach_from_first_to_last', violation_error_message='The last number is before the first.'),
        ),
        migrations.AddIndex(
            model_name='stop',
            index=models.Index(condition=models.Q(('voided_at', None)), fields=['case'], name='stop_of_case'),
        ),
        migrations.AddConstraint(
            model_name='stopsettled',
            constraint=models.UniqueConstraint(condition=models.Q(('voided_at', None)), fields=('request', 'stop'), name='stop_settled_once', violation_error_message='This was decided meanwhile.'),
        ),
    ]
