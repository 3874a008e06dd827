"""The paper of a request, by what right somebody asks, and of whom the office asks it."""

import django.db.models.deletion
import me_office.audit.ids
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('cases', '0001_initial'),
        ('court', '0005_demands_counsel_and_further_cases'),
        ('evidence', '0001_initial'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name='Authority',
            fields=[
                ('id', models.UUIDField(default=me_office.audit.ids.new_id, editable=False, primary_key=True, serialize=False)),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('changed_at', models.DateTimeField(auto_now=True)),
                ('voided_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('void_reason', models.TextField(blank=True, editable=False)),
                ('who', models.CharField(choices=[('next of kin', 'next of kin'), ('counsel', 'counsel of record'), ('party', 'a party in the matter'), ('agency', 'an agency'), ('insurer', 'an insurer'), ('other', 'somebody else')], max_length=12, verbose_name='who asks')),
                ('name', models.CharField(blank=True, max_length=160)),
                ('outcome', models.CharField(choices=[('open', 'not checked yet'), ('shown', 'checked: the right was shown'), ('not shown', 'checked: the right was not shown')], default='open', max_length=10, verbose_name='standing')),
                ('how', models.TextField(blank=True, verbose_name='how it was checked')),
                ('checked_on', models.DateField(blank=True, null=True)),
                ('case', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='%(class)s_set', to='cases.case')),
                ('changed_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('checked_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('created_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('person', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='cases.person', verbose_name='person of the case')),
                ('request', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='authorities', to='court.recordsrequest')),
                ('voided_by', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['created_at', 'id'],
                'abstract': False,
                'constraints': [models.UniqueConstraint(condition=models.Q(('voided_at', None)), fields=('request',), name='one_authority_of_a_request', violation_error_message='The authority of this request was recorded meanwhile.'), models.CheckConstraint(condition=models.Q(models.Q(('checked_by__isnull', True), ('checked_on__isnull', True), ('how', ''), ('outcome', 'open')), models.Q(models.Q(('outcome', 'open'), _negated=True), models.Q(('how', ''), _negated=True), ('checked_by__isnull', False), ('checked_on__isnull', False)), _connector='OR'), name='authority_checked_says_how', violation_error_message='Say how, when and by whom it was checked, or that it was not checked yet.')],
            },
        ),
        migrations.CreateModel(
            name='AuthorityNeed',
            fields=[
                ('id', models.UUIDField(default=me_office.audit.ids.new_id, editable=False, primary_key=True, serialize=False)),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('changed_at', models.DateTimeField(auto_now=True)),
                ('voided_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('void_reason', models.TextField(blank=True, editable=False)),
                ('key', models.CharField(editable=False, max_length=40, verbose_name='which requests')),
                ('needed', models.BooleanField(verbose_name='authority is asked for')),
                ('because', models.CharField(blank=True, max_length=240, verbose_name='rule or order')),
                ('changed_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('created_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('voided_by', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['key'],
                'abstract': False,
                'constraints': [models.UniqueConstraint(condition=models.Q(('voided_at', None)), fields=('key',), name='authority_need_once', violation_error_message='This was changed meanwhile.')],
            },
        ),
        migrations.CreateModel(
            name='Original',
            fields=[
                ('id', models.UUIDField(default=me_office.audit.ids.new_id, editable=False, primary_key=True, serialize=False)),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('changed_at', models.DateTimeField(auto_now=True)),
                ('voided_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('void_reason', models.TextField(blank=True, editable=False)),
                ('file_name', models.CharField(blank=True, editable=False, max_length=200, verbose_name='name of the file')),
                ('pages', models.PositiveIntegerField(editable=False)),
                ('case', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='%(class)s_set', to='cases.case')),
                ('changed_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('created_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('file', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='evidence.storedfile')),
                ('request', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='originals', to='court.recordsrequest')),
                ('voided_by', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['created_at', 'id'],
                'abstract': False,
                'constraints': [models.UniqueConstraint(condition=models.Q(('voided_at', None)), fields=('request',), name='one_original_of_a_request', violation_error_message='An original was attached meanwhile.')],
            },
        ),
    ]
