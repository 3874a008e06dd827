from importlib import import_module

import django.db.models.deletion
import me_office.audit.ids
from django.conf import settings
from django.db import migrations, models


LOCK = import_module("cases.review.migrations.0003_amendments_and_the_lock").LOCK


class Migration(migrations.Migration):

    # A new office is spared the way there; one that began with these goes on with them.
    replaces = [
        ('review', '0001_initial'),
        ('review', '0002_signatures_and_outside_review'),
        ('review', '0003_amendments_and_the_lock'),
        ('review', '0004_addendum_rests_on_result'),
        ('review', '0005_closed_without_a_report'),
    ]

    initial = True

    dependencies = [
        ('accounts', '__first__'),
        ('audit', '0005_indexes_of_the_trail'),
        ('cases', '0008_closed_without_a_report'),
        ('results', '0002_result_after_signing'),
    ]

    operations = [
        migrations.CreateModel(
            name='Report',
            fields=[
                ('id', models.UUIDField(default=me_office.audit.ids.new_id, editable=False, primary_key=True, serialize=False)),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('changed_at', models.DateTimeField(auto_now=True)),
                ('voided_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('void_reason', models.TextField(blank=True, editable=False)),
                ('state', models.CharField(choices=[('draft', 'draft'), ('submitted', 'submitted'), ('returned', 'returned'), ('signed', 'signed')], default='draft', editable=False, max_length=10)),
                ('history', models.TextField(blank=True, verbose_name='history and circumstances')),
                ('summary', models.TextField(blank=True, verbose_name='summary of findings')),
                ('opinion', models.TextField(blank=True, help_text='In plain words, with what it rests on')),
                ('drafts_sent', models.PositiveIntegerField(default=0, editable=False)),
                ('submitted_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('author', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('case', models.OneToOneField(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='report', to='cases.case')),
                ('changed_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('created_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('voided_by', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'abstract': False,
                'indexes': [models.Index(fields=['state', 'submitted_at'], name='report_by_state')],
            },
        ),
        migrations.CreateModel(
            name='Addendum',
            fields=[
                ('id', models.UUIDField(default=me_office.audit.ids.new_id, editable=False, primary_key=True, serialize=False)),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('changed_at', models.DateTimeField(auto_now=True)),
                ('voided_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('void_reason', models.TextField(blank=True, editable=False)),
                ('number', models.PositiveIntegerField(editable=False)),
                ('kind', models.CharField(choices=[('addendum', 'addendum'), ('amendment', 'amendment')], max_length=10)),
                ('amends', models.CharField(blank=True, help_text='Which statement is changed, as it read', max_length=160)),
                ('text', models.TextField()),
                ('why', models.TextField()),
                ('made_at', models.DateTimeField()),
                ('case', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='%(class)s_set', to='cases.case')),
                ('changed_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('created_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('made_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('voided_by', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('changes', models.JSONField(blank=True, default=list, editable=False)),
                ('signed_as', models.CharField(blank=True, editable=False, max_length=200)),
                ('rests_on', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='addenda', to='results.result')),
            ],
            options={
                'ordering': ['number'],
                'abstract': False,
                'constraints': [models.UniqueConstraint(fields=('case', 'number'), name='addendum_number_once'), models.CheckConstraint(condition=models.Q(('kind', 'addendum'), models.Q(('amends', ''), _negated=True), _connector='OR'), name='amendment_names_statement', violation_error_message='Say which statement is changed.')],
            },
        ),
        migrations.CreateModel(
            name='CaseClosing',
            fields=[
                ('id', models.UUIDField(default=me_office.audit.ids.new_id, editable=False, primary_key=True, serialize=False)),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('changed_at', models.DateTimeField(auto_now=True)),
                ('voided_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('void_reason', models.TextField(blank=True, editable=False)),
                ('kind', models.CharField(choices=[('records', 'records were read; another physician certifies'), ('released', 'body was seen and released; another physician certifies'), ('not here', 'body was not available for an examination'), ('elsewhere', 'another office took the case over'), ('other', 'other')], max_length=12)),
                ('certified_by', models.CharField(blank=True, help_text='Physician or office', max_length=160)),
                ('why', models.TextField(verbose_name='reason')),
                ('closed_at', models.DateTimeField(editable=False)),
                ('reopened_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('reopened_why', models.TextField(blank=True, editable=False, verbose_name='reason for opening it again')),
                ('case', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='%(class)s_set', to='cases.case')),
                ('changed_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('created_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('voided_by', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['closed_at', 'id'],
                'abstract': False,
                'constraints': [models.UniqueConstraint(condition=models.Q(('reopened_at', None)), fields=('case',), name='case_closed_once', violation_error_message='The case is closed already.'), models.CheckConstraint(condition=models.Q(models.Q(('reopened_at', None), ('reopened_why', '')), models.Q(('reopened_at__isnull', False), models.Q(('reopened_why', ''), _negated=True)), _connector='OR'), name='case_reopened_with_reason')],
            },
        ),
        migrations.CreateModel(
            name='ReportDraft',
            fields=[
                ('id', models.UUIDField(default=me_office.audit.ids.new_id, editable=False, primary_key=True, serialize=False)),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('changed_at', models.DateTimeField(auto_now=True)),
                ('voided_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('void_reason', models.TextField(blank=True, editable=False)),
                ('number', models.PositiveIntegerField(editable=False)),
                ('content', models.JSONField(help_text='Sections of passages, see cases.review.content')),
                ('sha256', models.CharField(max_length=64)),
                ('submitted_at', models.DateTimeField()),
                ('note', models.TextField(blank=True, help_text='What changed since the last draft')),
                ('case', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='%(class)s_set', to='cases.case')),
                ('changed_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('created_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('report', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='drafts', to='review.report')),
                ('voided_by', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('signed_as', models.CharField(blank=True, editable=False, max_length=200)),
                ('statement', models.TextField(blank=True, editable=False)),
            ],
            options={
                'ordering': ['number'],
                'abstract': False,
                'constraints': [models.UniqueConstraint(fields=('report', 'number'), name='draft_number_once')],
            },
        ),
        migrations.CreateModel(
            name='AmendedPassage',
            fields=[
                ('id', models.UUIDField(default=me_office.audit.ids.new_id, editable=False, primary_key=True, serialize=False)),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('changed_at', models.DateTimeField(auto_now=True)),
                ('voided_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('void_reason', models.TextField(blank=True, editable=False)),
                ('key', models.CharField(editable=False, max_length=120)),
                ('lead', models.CharField(blank=True, editable=False, max_length=160)),
                ('was', models.TextField(blank=True, editable=False)),
                ('now', models.TextField(blank=True, editable=False)),
                ('addendum', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='passages', to='review.addendum')),
                ('case', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='%(class)s_set', to='cases.case')),
                ('changed_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('created_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('voided_by', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['id'],
                'abstract': False,
                'constraints': [models.UniqueConstraint(fields=('addendum', 'key'), name='amended_passage_once')],
            },
        ),
        migrations.CreateModel(
            name='ReviewComment',
            fields=[
                ('id', models.UUIDField(default=me_office.audit.ids.new_id, editable=False, primary_key=True, serialize=False)),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('changed_at', models.DateTimeField(auto_now=True)),
                ('voided_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('void_reason', models.TextField(blank=True, editable=False)),
                ('passage', models.CharField(help_text='Key of the passage in the draft', max_length=80)),
                ('quoted', models.TextField(help_text='The passage as it read')),
                ('comment', models.TextField()),
                ('answer', models.TextField(blank=True)),
                ('answered_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('answered_by', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('case', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='%(class)s_set', to='cases.case')),
                ('changed_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('created_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('draft', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='comments', to='review.reportdraft')),
                ('voided_by', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['created_at', 'id'],
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='ReviewDecision',
            fields=[
                ('id', models.UUIDField(default=me_office.audit.ids.new_id, editable=False, primary_key=True, serialize=False)),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('changed_at', models.DateTimeField(auto_now=True)),
                ('voided_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('void_reason', models.TextField(blank=True, editable=False)),
                ('outcome', models.CharField(choices=[('returned', 'sent back'), ('signed', 'reviewed and signed off'), ('outside', 'reviewed outside the office'), ('waived', 'finished without peer review')], max_length=10)),
                ('words', models.TextField(blank=True)),
                ('decided_at', models.DateTimeField()),
                ('sha256', models.CharField(help_text='Digest of the draft that was decided on', max_length=64)),
                ('case', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='%(class)s_set', to='cases.case')),
                ('changed_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('created_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('decided_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('draft', models.OneToOneField(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='decision', to='review.reportdraft')),
                ('voided_by', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('outside_document', models.CharField(blank=True, max_length=240)),
                ('outside_license', models.CharField(blank=True, max_length=80)),
                ('outside_name', models.CharField(blank=True, max_length=160)),
                ('outside_office', models.CharField(blank=True, max_length=160)),
                ('outside_on', models.DateField(blank=True, null=True)),
                ('rule', models.CharField(blank=True, editable=False, max_length=240)),
                ('signed_as', models.CharField(blank=True, editable=False, max_length=200)),
            ],
            options={
                'ordering': ['decided_at', 'id'],
                'abstract': False,
                'constraints': [models.CheckConstraint(condition=models.Q(models.Q(('outcome', 'outside'), _negated=True), models.Q(models.Q(('outside_name', ''), _negated=True), models.Q(('outside_license', ''), _negated=True), models.Q(('outside_office', ''), _negated=True), models.Q(('outside_document', ''), _negated=True), ('outside_on__isnull', False)), _connector='OR'), name='outside_review_is_named', violation_error_message='Name the reviewer with license, office, day and document.'), models.CheckConstraint(condition=models.Q(models.Q(('outcome', 'waived'), _negated=True), models.Q(models.Q(('words', ''), _negated=True), models.Q(('rule', ''), _negated=True)), _connector='OR'), name='waived_review_has_rule_and_reason', violation_error_message='Say why no review was made.')],
            },
        ),
        migrations.RunSQL(LOCK, "DROP FUNCTION case_locked() CASCADE"),
    ]
