from importlib import import_module

import django.db.models.deletion
import me_office.audit.ids
from django.conf import settings
from django.db import migrations, models


STANDING = import_module("evidence.custody.migrations.0002_item_standing")
KEEP = import_module("evidence.custody.migrations.0006_parts_of_kits").KEEP


class Migration(migrations.Migration):

    # A new office is spared the way there; one that began with these goes on with them.
    replaces = [
        ('custody', '0001_initial'),
        ('custody', '0002_item_standing'),
        ('custody', '0003_items_by_holder'),
        ('custody', '0004_seal_number_repeats'),
        ('custody', '0005_agency_receipts'),
        ('custody', '0006_parts_of_kits'),
        ('custody', '0007_where_a_receiver_is'),
    ]

    initial = True

    dependencies = [
        ('accounts', '__first__'),
        ('cases', '0006_body_in_the_office'),
        ('evidence', '0007_kits_and_trays'),
    ]

    operations = [
        migrations.CreateModel(
            name='Seal',
            fields=[
                ('id', models.UUIDField(default=me_office.audit.ids.new_id, editable=False, primary_key=True, serialize=False)),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('changed_at', models.DateTimeField(auto_now=True)),
                ('voided_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('void_reason', models.TextField(blank=True, editable=False)),
                ('kind', models.CharField(choices=[('numbered', 'numbered seal'), ('digest', 'SHA-256 digest')], editable=False, max_length=10)),
                ('number', models.CharField(max_length=80)),
                ('applied_at', models.DateTimeField()),
                ('applied_by', models.CharField(max_length=120)),
                ('broken_at', models.DateTimeField(blank=True, null=True)),
                ('broken_by', models.CharField(blank=True, max_length=120)),
                ('broken_why', models.CharField(blank=True, max_length=240)),
                ('case', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='%(class)s_set', to='cases.case')),
                ('changed_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('created_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('item', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='seals', to='evidence.item')),
                ('voided_by', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('number_repeats', models.CharField(blank=True, default='', help_text='Only where another item bears the same number, as from another vendor.', max_length=240, verbose_name='why this number stands on another item too')),
            ],
            options={
                'ordering': ['applied_at', 'id'],
                'abstract': False,
                'constraints': [models.CheckConstraint(condition=models.Q(('broken_at', None), models.Q(('broken_at__gte', models.F('applied_at')), models.Q(('broken_by', ''), _negated=True), models.Q(('broken_why', ''), _negated=True)), _connector='OR'), name='seal_broken_says_who_and_why', violation_error_message='Say who broke the seal, when and why.'), models.UniqueConstraint(condition=models.Q(('kind', 'numbered'), ('number_repeats', ''), ('voided_at', None)), fields=('number',), name='seal_number_taken', violation_error_message='This seal number is in use on another item.')],
            },
        ),
        migrations.CreateModel(
            name='ItemStanding',
            fields=[
                ('item', models.OneToOneField(editable=False, on_delete=django.db.models.deletion.PROTECT, primary_key=True, related_name='standing_now', serialize=False, to='evidence.item')),
                ('sealed', models.BooleanField(default=False)),
                ('loose', models.BooleanField(default=False, help_text='Neither sealed nor a photograph')),
                ('held_by', models.CharField(blank=True, max_length=160)),
                ('held_since', models.DateTimeField(blank=True, null=True)),
                ('holder', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('left_office', models.BooleanField(default=False, help_text='With an agency against a receipt')),
            ],
            options={
                'indexes': [models.Index(condition=models.Q(('loose', True)), fields=['item'], name='item_standing_loose'), models.Index(condition=models.Q(('holder__isnull', False)), fields=['holder', 'held_since', 'item'], name='item_standing_by_holder')],
            },
        ),
        migrations.CreateModel(
            name='AgencyReceipt',
            fields=[
                ('id', models.UUIDField(default=me_office.audit.ids.new_id, editable=False, primary_key=True, serialize=False)),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('changed_at', models.DateTimeField(auto_now=True)),
                ('voided_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('void_reason', models.TextField(blank=True, editable=False)),
                ('number', models.PositiveIntegerField(editable=False)),
                ('agency', models.CharField(max_length=120)),
                ('received_by', models.CharField(help_text='Name and rank or function of the person who received them', max_length=120)),
                ('identification', models.CharField(help_text='What was seen: agency identification card, badge number.', max_length=120, verbose_name='identification seen')),
                ('agency_case_number', models.CharField(blank=True, max_length=60, verbose_name='case number of the agency')),
                ('second_person', models.CharField(blank=True, help_text='Who counted with you. Needed when cash is given.', max_length=120)),
                ('at', models.DateTimeField()),
                ('place', models.CharField(max_length=120)),
                ('purpose', models.CharField(max_length=160)),
                ('case', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='%(class)s_set', to='cases.case')),
                ('changed_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('created_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('given_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('voided_by', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['number'],
                'abstract': False,
                'constraints': [models.UniqueConstraint(fields=('case', 'number'), name='agency_receipt_number_once')],
            },
        ),
        migrations.CreateModel(
            name='Transfer',
            fields=[
                ('id', models.UUIDField(default=me_office.audit.ids.new_id, editable=False, primary_key=True, serialize=False)),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('changed_at', models.DateTimeField(auto_now=True)),
                ('voided_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('void_reason', models.TextField(blank=True, editable=False)),
                ('from_party', models.CharField(max_length=160)),
                ('to_party', models.CharField(max_length=160)),
                ('at', models.DateTimeField()),
                ('place', models.CharField(max_length=160)),
                ('purpose', models.CharField(max_length=160)),
                ('seal_state', models.CharField(choices=[('intact', 'intact'), ('broken', 'broken'), ('none', 'no seal yet')], max_length=8)),
                ('note', models.CharField(blank=True, max_length=240)),
                ('case', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='%(class)s_set', to='cases.case')),
                ('changed_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('created_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('from_staff', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('item', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='transfers', to='evidence.item')),
                ('to_staff', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('voided_by', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('receipt', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='transfers', to='custody.agencyreceipt')),
                ('to_where', models.CharField(blank=True, choices=[('office', 'in this office'), ('outside', 'outside this office: laboratory, agency, courier')], max_length=8, verbose_name='where the receiver is')),
            ],
            options={
                'ordering': ['at', 'id'],
                'abstract': False,
                'indexes': [models.Index(fields=['item', 'at'], name='transfer_by_item')],
                'constraints': [models.CheckConstraint(condition=models.Q(('from_party', models.F('to_party')), _negated=True), name='custody_transfer_not_to_self', violation_error_message='An item cannot pass to the party that holds it.')],
            },
        ),
        migrations.RunSQL(STANDING.KEEP, STANDING.FORGET),
        migrations.RunSQL(KEEP, migrations.RunSQL.noop),
    ]
