import django.db.models.deletion
import me_office.audit.ids
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    # A new office is spared the way there; one that began with these goes on with them.
    replaces = [
        ('certification', '0001_initial'),
        ('certification', '0002_items_of_the_certificate'),
        ('certification', '0003_index_of_what_is_pending'),
    ]

    initial = True

    dependencies = [
        ('accounts', '__first__'),
        ('cases', '0004_as_read_and_race'),
    ]

    operations = [
        migrations.CreateModel(
            name='Certification',
            fields=[
                ('id', models.UUIDField(default=me_office.audit.ids.new_id, editable=False, primary_key=True, serialize=False)),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('changed_at', models.DateTimeField(auto_now=True)),
                ('voided_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('void_reason', models.TextField(blank=True, editable=False)),
                ('cause_a', models.CharField(blank=True, max_length=240, verbose_name='immediate cause')),
                ('interval_a', models.CharField(blank=True, max_length=60, verbose_name='interval a')),
                ('cause_b', models.CharField(blank=True, max_length=240, verbose_name='due to')),
                ('interval_b', models.CharField(blank=True, max_length=60, verbose_name='interval b')),
                ('cause_c', models.CharField(blank=True, max_length=240, verbose_name='due to (c)')),
                ('interval_c', models.CharField(blank=True, max_length=60, verbose_name='interval c')),
                ('cause_d', models.CharField(blank=True, max_length=240, verbose_name='due to (d)')),
                ('interval_d', models.CharField(blank=True, max_length=60, verbose_name='interval d')),
                ('contributing', models.TextField(blank=True, verbose_name='other significant conditions')),
                ('manner', models.CharField(choices=[('natural', 'natural'), ('accident', 'accident'), ('suicide', 'suicide'), ('homicide', 'homicide'), ('undetermined', 'could not be determined'), ('pending', 'pending investigation')], default='pending', max_length=14)),
                ('basis', models.TextField(blank=True, help_text='What the opinion rests on')),
                ('injury_how', models.CharField(blank=True, max_length=240)),
                ('injury_place', models.CharField(blank=True, max_length=160)),
                ('injury_at_words', models.CharField(blank=True, help_text='Where no date or time can be given: “unknown”, “between Friday and Sunday”', max_length=120)),
                ('injury_at_work', models.CharField(blank=True, choices=[('yes', 'yes'), ('no', 'no'), ('unknown', 'unknown')], max_length=8)),
                ('stated_at', models.DateTimeField()),
                ('case', models.OneToOneField(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='certification', to='cases.case')),
                ('changed_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('created_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('stated_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('voided_by', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('autopsy', models.CharField(blank=True, choices=[('yes', 'yes'), ('no', 'no')], max_length=3)),
                ('autopsy_available', models.CharField(blank=True, choices=[('yes', 'yes'), ('no', 'no')], max_length=3)),
                ('death_city', models.CharField(blank=True, max_length=120)),
                ('death_county', models.CharField(blank=True, max_length=120)),
                ('death_on', models.DateField(blank=True, null=True)),
                ('death_on_is', models.CharField(blank=True, choices=[('actual', 'actual'), ('presumed', 'presumed')], max_length=8)),
                ('death_place_kind', models.CharField(blank=True, choices=[('inpatient', 'hospital: inpatient'), ('emergency', 'hospital: emergency room or outpatient'), ('dead on arrival', 'hospital: dead on arrival'), ('hospice', 'hospice facility'), ('nursing home', 'nursing home or long-term care facility'), ('home', 'decedent’s home'), ('other', 'other'), ('unknown', 'unknown')], max_length=20)),
                ('death_place_name', models.CharField(blank=True, max_length=240)),
                ('death_state', models.CharField(blank=True, max_length=60)),
                ('death_time', models.TimeField(blank=True, null=True)),
                ('death_time_is', models.CharField(blank=True, choices=[('actual', 'actual'), ('presumed', 'presumed')], max_length=8)),
                ('death_zip', models.CharField(blank=True, max_length=20)),
                ('injury_city', models.CharField(blank=True, max_length=120)),
                ('injury_on', models.DateField(blank=True, null=True)),
                ('injury_state', models.CharField(blank=True, max_length=60)),
                ('injury_street', models.CharField(blank=True, max_length=240)),
                ('injury_time', models.TimeField(blank=True, null=True)),
                ('injury_zip', models.CharField(blank=True, max_length=20)),
                ('pregnancy', models.CharField(blank=True, choices=[('1', 'not pregnant within the past year'), ('2', 'pregnant at time of death'), ('3', 'not pregnant, but pregnant within 42 days of death'), ('4', 'not pregnant, but pregnant 43 days to 1 year before death'), ('9', 'unknown if pregnant within the past year')], max_length=1)),
                ('tobacco', models.CharField(blank=True, choices=[('yes', 'yes'), ('no', 'no'), ('probably', 'probably'), ('unknown', 'unknown')], max_length=8)),
                ('transport_other', models.CharField(blank=True, max_length=60)),
                ('transport_role', models.CharField(blank=True, choices=[('driver', 'driver or operator'), ('passenger', 'passenger'), ('pedestrian', 'pedestrian'), ('other', 'other')], max_length=10)),
            ],
            options={
                'abstract': False,
                'constraints': [models.CheckConstraint(condition=models.Q(('manner', 'pending'), models.Q(('cause_a', ''), _negated=True), _connector='OR'), name='certification_manner_needs_cause', violation_error_message='State the cause, or leave the manner pending.'), models.CheckConstraint(condition=models.Q(models.Q(('cause_b', ''), models.Q(('cause_a', ''), _negated=True), _connector='OR'), models.Q(('cause_c', ''), models.Q(('cause_b', ''), _negated=True), _connector='OR'), models.Q(('cause_d', ''), models.Q(('cause_c', ''), _negated=True), _connector='OR')), name='certification_lines_without_gap', violation_error_message='Fill the lines from the top, without a gap.'), models.CheckConstraint(condition=models.Q(('autopsy_available', ''), ('autopsy', 'yes'), _connector='OR'), name='certification_findings_of_an_autopsy', violation_error_message='Item 34 is asked only when an autopsy was performed.'), models.CheckConstraint(condition=models.Q(('transport_other', ''), ('transport_role', 'other'), _connector='OR'), name='certification_other_role_named', violation_error_message='Another role is named only where the role is “other”.')],
                'indexes': [models.Index(condition=models.Q(('manner', 'pending')), fields=['created_at', 'id'], name='certification_pending')],
            },
        ),
    ]
