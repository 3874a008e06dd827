"""What a request asks for, thing by thing; lawyers of the matter; further cases."""

import django.db.models.deletion
import me_office.audit.ids
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ("cases", "0001_initial"),
        ("court", "0004_list_of_all_requests"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.AddField(
            model_name='recordsrequest',
            name='asked_under',
            field=models.CharField(blank=True, choices=[('', 'not stated'), ('law', 'a public records law'), ('family', 'next of kin'), ('insurer', 'an insurer'), ('agency', 'another agency')], db_default='', default='', max_length=8),
        ),
        migrations.AddField(
            model_name='recordsrequest',
            name='due_basis',
            field=models.CharField(choices=[('entered', 'entered by hand'), ('counted', 'counted by a rule'), ('fixed', 'fixed by the court'), ('agreed', 'agreed with the requesting party')], db_default='entered', default='entered', editable=False, max_length=8, verbose_name='due day is'),
        ),
        migrations.AddField(
            model_name='recordsrequest',
            name='served_how',
            field=models.CharField(blank=True, choices=[('', 'not recorded'), ('hand', 'by hand'), ('mail', 'by mail'), ('electronic', 'electronically, by consent'), ('court', "through the court's filing system"), ('other', 'in another way agreed in writing')], db_default='', default='', max_length=10),
        ),
        migrations.AddField(
            model_name='recordsrequest',
            name='served_on_whom',
            field=models.CharField(blank=True, db_default='', default='', max_length=160, verbose_name='served on'),
        ),
        migrations.AddField(
            model_name='recordsrequest',
            name='stopped_since',
            field=models.DateField(blank=True, editable=False, null=True),
        ),
        migrations.AddField(
            model_name='recordsrequest',
            name='wants',
            field=models.CharField(choices=[('documents', 'documents'), ('testimony', 'testimony'), ('both', 'documents and testimony')], db_default='documents', default='documents', max_length=10, verbose_name='asks for'),
        ),
        migrations.AlterField(
            model_name='recordsrequest',
            name='kind',
            field=models.CharField(choices=[('subpoena', 'subpoena'), ('court order', 'court order'), ('records request', 'records request'), ('discovery', 'discovery request'), ('preservation', 'preservation letter')], max_length=16),
        ),
        migrations.CreateModel(
            name='Counsel',
            fields=[
                ('id', models.UUIDField(default=me_office.audit.ids.new_id, editable=False, primary_key=True, serialize=False)),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('changed_at', models.DateTimeField(auto_now=True)),
                ('voided_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('void_reason', models.TextField(blank=True, editable=False)),
                ('side', models.CharField(choices=[('asking', 'for the requesting party'), ('opposing', 'for another party'), ('office', 'for this office'), ('other', 'another part in the matter')], max_length=8)),
                ('name', models.CharField(max_length=160)),
                ('firm', models.CharField(blank=True, max_length=160, verbose_name='firm or office')),
                ('appears_for', models.CharField(blank=True, max_length=160, verbose_name='appears for')),
                ('address', models.TextField(blank=True)),
                ('telephone', models.CharField(blank=True, max_length=40)),
                ('email', models.EmailField(blank=True, max_length=160, verbose_name='e-mail')),
                ('case', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='%(class)s_set', to='cases.case')),
                ('changed_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('created_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('request', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='counsel', to='court.recordsrequest')),
                ('voided_by', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['created_at', 'id'],
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='Demand',
            fields=[
                ('id', models.UUIDField(default=me_office.audit.ids.new_id, editable=False, primary_key=True, serialize=False)),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('changed_at', models.DateTimeField(auto_now=True)),
                ('voided_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('void_reason', models.TextField(blank=True, editable=False)),
                ('number', models.PositiveIntegerField(editable=False)),
                ('kind', models.CharField(choices=[('documents', 'documents'), ('testimony', 'testimony'), ('preservation', 'preservation')], default='documents', max_length=12)),
                ('title', models.CharField(max_length=120, verbose_name='in short')),
                ('words', models.TextField(blank=True, verbose_name='in the words of the request')),
                ('page', models.PositiveIntegerField(blank=True, null=True, verbose_name='page of the request')),
                ('case', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='%(class)s_set', to='cases.case')),
                ('changed_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('created_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('request', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='demands', to='court.recordsrequest')),
                ('voided_by', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['number'],
                'abstract': False,
                'constraints': [models.UniqueConstraint(fields=('request', 'number'), name='demand_number_once')],
            },
        ),
        migrations.CreateModel(
            name='RequestCase',
            fields=[
                ('id', models.UUIDField(default=me_office.audit.ids.new_id, editable=False, primary_key=True, serialize=False)),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('changed_at', models.DateTimeField(auto_now=True)),
                ('voided_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('void_reason', models.TextField(blank=True, editable=False)),
                ('case', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='%(class)s_set', to='cases.case')),
                ('changed_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('created_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('request', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='further_cases', to='court.recordsrequest')),
                ('voided_by', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['created_at', 'id'],
                'abstract': False,
                'constraints': [models.UniqueConstraint(condition=models.Q(('voided_at', None)), fields=('request', 'case'), name='request_asks_a_case_once', violation_error_message='The request asks for this case already.')],
            },
        ),
    ]
