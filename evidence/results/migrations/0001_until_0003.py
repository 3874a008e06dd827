import django.core.validators
import django.db.models.deletion
import evidence.results.rules
import me_office.audit.ids
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    # A new office is spared the way there; one that began with these goes on with them.
    replaces = [
        ('results', '0001_results_items_and_lines'),
        ('results', '0002_result_after_signing'),
        ('results', '0003_plain_digits'),
    ]

    initial = True

    dependencies = [
        ('accounts', '__first__'),
        ('cases', '0006_body_in_the_office'),
        ('evidence', '0004_store_check_whole_again'),
    ]

    operations = [
        migrations.CreateModel(
            name='Result',
            fields=[
                ('id', models.UUIDField(default=me_office.audit.ids.new_id, editable=False, primary_key=True, serialize=False)),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('changed_at', models.DateTimeField(auto_now=True)),
                ('voided_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('void_reason', models.TextField(blank=True, editable=False)),
                ('number', models.PositiveIntegerField(editable=False)),
                ('kind', models.CharField(choices=[('toxicology', 'toxicology'), ('histology', 'histology'), ('chemistry', 'clinical chemistry'), ('microbiology', 'microbiology'), ('genetic', 'genetics or DNA'), ('radiology', 'radiology'), ('neuropathology', 'neuropathology'), ('cardiac', 'cardiac pathology'), ('odontology', 'odontology'), ('anthropology', 'anthropology'), ('hospital', 'hospital record'), ('other', 'other')], max_length=16)),
                ('status', models.CharField(choices=[('preliminary', 'preliminary'), ('final', 'final'), ('amended', 'amended')], max_length=12)),
                ('organization', models.CharField(help_text='As its letterhead says', max_length=160)),
                ('reported_by', models.CharField(blank=True, help_text='Name and credentials', max_length=160)),
                ('reference', models.CharField(blank=True, max_length=80, verbose_name='their reference number')),
                ('reported_on', models.DateField()),
                ('received_on', models.DateField()),
                ('statement', models.TextField(help_text='What it says, in its own words')),
                ('why_replaced', models.CharField(blank=True, max_length=240, verbose_name='why it replaces the earlier one')),
                ('case', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='%(class)s_set', to='cases.case')),
                ('changed_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('created_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('replaces', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='replaced_by', to='results.result')),
                ('voided_by', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('after_signing', models.BooleanField(default=False, editable=False)),
            ],
            options={
                'ordering': ['number'],
                'abstract': False,
                'indexes': [models.Index(condition=models.Q(('after_signing', True), ('voided_at', None)), fields=['created_at', 'id'], name='result_after_signing')],
                'constraints': [models.UniqueConstraint(fields=('case', 'number'), name='result_number_once'), models.UniqueConstraint(condition=models.Q(('voided_at', None)), fields=('replaces',), name='result_replaced_once', violation_error_message='Another result has taken its place already.'), models.CheckConstraint(condition=models.Q(('received_on__gte', models.F('reported_on'))), name='result_received_after_report', violation_error_message='It was received before the day on which it was reported.'), models.CheckConstraint(condition=models.Q(('replaces', None), models.Q(('why_replaced', ''), _negated=True), _connector='OR'), name='result_replacing_says_why', violation_error_message='Say why it takes the place of the earlier one.')],
            },
        ),
        migrations.CreateModel(
            name='ResultItem',
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
                ('item', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='result_links', to='evidence.item')),
                ('result', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='item_links', to='results.result')),
                ('voided_by', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['item__number'],
                'abstract': False,
                'constraints': [models.UniqueConstraint(fields=('result', 'item'), name='result_item_once')],
            },
        ),
        migrations.CreateModel(
            name='ResultLine',
            fields=[
                ('id', models.UUIDField(default=me_office.audit.ids.new_id, editable=False, primary_key=True, serialize=False)),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('changed_at', models.DateTimeField(auto_now=True)),
                ('voided_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('void_reason', models.TextField(blank=True, editable=False)),
                ('place', models.PositiveIntegerField(editable=False, help_text='Its place in the report')),
                ('analyte', models.CharField(max_length=120)),
                ('relation', models.CharField(choices=[('=', '='), ('<', '<'), ('>', '>'), ('detected', 'detected'), ('not detected', 'not detected'), ('not tested', 'not tested')], max_length=12, verbose_name='reported as')),
                ('value', models.CharField(blank=True, max_length=22, validators=[django.core.validators.RegexValidator('^[0-9]{1,12}(\\.[0-9]{1,8})?\\Z', 'A number with a point, without separators: 0.42')])),
                ('unit', models.CharField(blank=True, max_length=24)),
                ('matrix', models.CharField(blank=True, max_length=80, verbose_name='material')),
                ('reporting_limit', models.CharField(blank=True, max_length=22, validators=[django.core.validators.RegexValidator('^[0-9]{1,12}(\\.[0-9]{1,8})?\\Z', 'A number with a point, without separators: 0.42')])),
                ('case', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='%(class)s_set', to='cases.case')),
                ('changed_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('created_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('result', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='lines', to='results.result')),
                ('voided_by', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['place'],
                'abstract': False,
                'constraints': [models.UniqueConstraint(fields=('result', 'place'), name='result_line_place_once'), models.CheckConstraint(condition=models.Q(models.Q(('relation__in', [evidence.results.rules.Relation['LESS'], evidence.results.rules.Relation['EQUAL'], evidence.results.rules.Relation['GREATER']]), models.Q(('value', ''), _negated=True), models.Q(('unit', ''), _negated=True)), models.Q(models.Q(('relation__in', [evidence.results.rules.Relation['LESS'], evidence.results.rules.Relation['EQUAL'], evidence.results.rules.Relation['GREATER']]), _negated=True), ('value', '')), _connector='OR'), name='result_line_value_with_unit', violation_error_message='A value has a relation (=, < or >) and a unit.')],
            },
        ),
    ]
