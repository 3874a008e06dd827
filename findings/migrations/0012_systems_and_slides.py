"""The internal examination by system, its templates, and slides that were read."""

import django.db.models.deletion
import me_office.audit.ids
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('cases', '0001_initial'),
        ('findings', '0011_office_wordings'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name='MicroscopicSlide',
            fields=[
                ('id', models.UUIDField(default=me_office.audit.ids.new_id, editable=False, primary_key=True, serialize=False)),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('changed_at', models.DateTimeField(auto_now=True)),
                ('voided_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('void_reason', models.TextField(blank=True, editable=False)),
                ('number', models.PositiveIntegerField(editable=False)),
                ('label', models.CharField(help_text='As it stands on the glass: A1-1', max_length=40, verbose_name='block and slide')),
                ('tissue', models.CharField(help_text='Left ventricle, anterior wall', max_length=120)),
                ('stain', models.CharField(blank=True, help_text='Where not the office’s usual one', max_length=80)),
                ('seen', models.TextField(help_text='In whole sentences', verbose_name='what was seen')),
                ('read_by', models.CharField(max_length=120)),
                ('read_on', models.DateField()),
                ('case', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='%(class)s_set', to='cases.case')),
                ('changed_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('created_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('examination', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='slides', to='findings.examination')),
                ('voided_by', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['number', 'id'],
                'abstract': False,
                'constraints': [models.UniqueConstraint(fields=('case', 'number'), name='slide_number_once'), models.UniqueConstraint(condition=models.Q(('voided_at', None)), fields=('case', 'label', 'stain'), name='slide_once', violation_error_message='A slide with this label and stain is recorded already.')],
            },
        ),
        migrations.CreateModel(
            name='SystemPart',
            fields=[
                ('id', models.UUIDField(default=me_office.audit.ids.new_id, editable=False, primary_key=True, serialize=False)),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('changed_at', models.DateTimeField(auto_now=True)),
                ('voided_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('void_reason', models.TextField(blank=True, editable=False)),
                ('part', models.CharField(editable=False, max_length=40)),
                ('decision', models.CharField(blank=True, choices=[('described', 'described'), ('stated negative', 'stated negative'), ('not examined', 'not examined'), ('not present', 'not present')], max_length=16)),
                ('words', models.TextField(blank=True, help_text='What was seen, in whole sentences')),
                ('why', models.CharField(blank=True, help_text='Why it was not examined or is not present', max_length=240)),
                ('sentences', models.JSONField(blank=True, default=list, editable=False)),
                ('said', models.TextField(blank=True, editable=False)),
                ('case', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='%(class)s_set', to='cases.case')),
                ('changed_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('created_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('examination', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='system_parts', to='findings.examination')),
                ('voided_by', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'abstract': False,
                'constraints': [models.UniqueConstraint(fields=('case', 'part'), name='system_part_once_a_case', violation_error_message='This part is recorded already.'), models.CheckConstraint(condition=models.Q(models.Q(('decision', ''), ('said', '')), models.Q(models.Q(('decision', ''), _negated=True), models.Q(('said', ''), _negated=True)), _connector='OR'), name='system_part_says_what_was_decided', violation_error_message='A part says something once it is decided, and not before.'), models.CheckConstraint(condition=models.Q(('said__contains', '{'), _negated=True), name='system_part_without_a_blank', violation_error_message='Fill in the blank, or strike the sentence.'), models.CheckConstraint(condition=models.Q(('why', ''), ('decision__in', ['not examined', 'not present']), _connector='OR'), name='system_part_reason_of_leaving_out', violation_error_message='A reason goes with a part that was left out.')],
            },
        ),
        migrations.CreateModel(
            name='SystemTemplate',
            fields=[
                ('id', models.UUIDField(default=me_office.audit.ids.new_id, editable=False, primary_key=True, serialize=False)),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('changed_at', models.DateTimeField(auto_now=True)),
                ('voided_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('void_reason', models.TextField(blank=True, editable=False)),
                ('system', models.CharField(choices=[('cavities', 'Body cavities'), ('head', 'Head'), ('neck', 'Neck, layer by layer'), ('cardiovascular', 'Cardiovascular system'), ('respiratory', 'Respiratory system'), ('liver', 'Liver, bile ducts and pancreas'), ('lymphatic', 'Spleen and lymphatic system'), ('endocrine', 'Endocrine system'), ('gastrointestinal', 'Gastrointestinal system'), ('urinary', 'Urinary system'), ('reproductive', 'Reproductive system'), ('musculoskeletal', 'Musculoskeletal system')], max_length=24)),
                ('title', models.CharField(help_text='When it is used: adult, infant, operated', max_length=80)),
                ('lines', models.JSONField(help_text='By part, one sentence a row')),
                ('number', models.PositiveIntegerField(default=1, editable=False, verbose_name='edition')),
                ('stands_for_standard', models.BooleanField(default=False, help_text='Offered in place of the standard sentences')),
                ('changed_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('created_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('replaces', models.OneToOneField(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='replaced_by', to='findings.systemtemplate')),
                ('voided_by', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['system', 'title', 'id'],
                'abstract': False,
                'indexes': [models.Index(condition=models.Q(('voided_at', None)), fields=['system', 'title', 'id'], name='system_template_in_use')],
                'constraints': [models.UniqueConstraint(condition=models.Q(('voided_at', None)), fields=('system', 'title'), name='system_template_once', violation_error_message='The system has a template of this name already.'), models.UniqueConstraint(condition=models.Q(('stands_for_standard', True), ('voided_at', None)), fields=('system',), name='system_template_one_for_the_standard', violation_error_message='Another template stands in place of the standard sentences already.')],
            },
        ),
    ]
