import django.db.models.deletion
import me_office.audit.ids
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    # A new office is spared the way there; one that began with these goes on with them.
    replaces = [
        ('court', '0001_initial'),
        ('court', '0002_release_latest'),
        ('court', '0003_answered_in_part'),
        ('court', '0004_list_of_all_requests'),
    ]

    initial = True

    dependencies = [
        ('accounts', '__first__'),
        ('cases', '0001_initial'),
    ]

    operations = [
        migrations.CreateModel(
            name='RecordsRequest',
            fields=[
                ('id', models.UUIDField(default=me_office.audit.ids.new_id, editable=False, primary_key=True, serialize=False)),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('changed_at', models.DateTimeField(auto_now=True)),
                ('voided_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('void_reason', models.TextField(blank=True, editable=False)),
                ('kind', models.CharField(choices=[('subpoena', 'subpoena'), ('court order', 'court order'), ('records request', 'records request')], max_length=16)),
                ('court', models.CharField(blank=True, max_length=160)),
                ('cause_number', models.CharField(blank=True, max_length=60)),
                ('party', models.CharField(help_text='Who asks', max_length=160)),
                ('contact', models.CharField(blank=True, help_text='Where the answer goes', max_length=240)),
                ('served_on', models.DateField(help_text='Date served or received')),
                ('due_on', models.DateField()),
                ('asks_for', models.TextField()),
                ('state', models.CharField(choices=[('open', 'open'), ('answered', 'answered'), ('withdrawn', 'withdrawn')], default='open', editable=False, max_length=10)),
                ('case', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='%(class)s_set', to='cases.case')),
                ('changed_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('created_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('voided_by', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['due_on', 'id'],
                'abstract': False,
                'indexes': [models.Index(fields=['state', 'due_on', 'id'], name='request_by_due'), models.Index(fields=['due_on', 'id'], name='request_of_all_by_due')],
                'constraints': [models.CheckConstraint(condition=models.Q(('due_on__gte', models.F('served_on'))), name='request_due_after_service', violation_error_message='The due date cannot be before the date served.'), models.CheckConstraint(condition=models.Q(models.Q(('kind__in', ['subpoena', 'court order']), _negated=True), models.Q(models.Q(('court', ''), _negated=True), models.Q(('cause_number', ''), _negated=True)), _connector='OR'), name='subpoena_names_court_and_cause', violation_error_message='A subpoena or court order names its court and cause number.')],
            },
        ),
        migrations.CreateModel(
            name='Release',
            fields=[
                ('id', models.UUIDField(default=me_office.audit.ids.new_id, editable=False, primary_key=True, serialize=False)),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('changed_at', models.DateTimeField(auto_now=True)),
                ('voided_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('void_reason', models.TextField(blank=True, editable=False)),
                ('packet_id', models.UUIDField(editable=False)),
                ('packet_sha256', models.CharField(editable=False, max_length=64)),
                ('released_to', models.CharField(max_length=160)),
                ('method', models.CharField(choices=[('in person', 'in person'), ('mail', 'registered mail'), ('courier', 'courier'), ('secure transfer', 'secure electronic transfer')], max_length=16)),
                ('released_at', models.DateTimeField()),
                ('note', models.TextField(blank=True)),
                ('case', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='%(class)s_set', to='cases.case')),
                ('changed_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('created_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('released_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('request', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='releases', to='court.recordsrequest')),
                ('voided_by', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('answers', models.CharField(choices=[('whole', 'everything that was asked for'), ('part', 'a part of it; the request stays open')], default='whole', max_length=5)),
                ('still_due', models.TextField(blank=True, help_text='What was asked for and is not in this packet', verbose_name='still to be sent')),
            ],
            options={
                'ordering': ['released_at', 'id'],
                'abstract': False,
                'indexes': [models.Index(fields=['-released_at', '-id'], name='release_latest'), models.Index(fields=['packet_id'], name='release_by_packet')],
                'constraints': [models.CheckConstraint(condition=models.Q(models.Q(('answers', 'whole'), ('still_due', '')), models.Q(('answers', 'part'), models.Q(('still_due', ''), _negated=True)), _connector='OR'), name='release_says_what_is_left', violation_error_message='A part was released: say what is still to be sent.')],
            },
        ),
    ]
