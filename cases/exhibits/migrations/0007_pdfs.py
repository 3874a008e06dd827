import django.db.models.deletion
import me_office.audit.ids
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('cases', '0012_search_indexes_at_once'),
        ('evidence', '0009_parts_in_the_wrong_kit'),
        ('exhibits', '0006_rulings'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name='ExhibitPdf',
            fields=[
                ('id', models.UUIDField(default=me_office.audit.ids.new_id, editable=False, primary_key=True, serialize=False)),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('changed_at', models.DateTimeField(auto_now=True)),
                ('voided_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('void_reason', models.TextField(blank=True, editable=False)),
                ('state', models.CharField(choices=[('waiting', 'waiting'), ('making', 'making'), ('made', 'made'), ('failed', 'failed')], default='waiting', editable=False, max_length=8)),
                ('attempts', models.PositiveIntegerField(default=0, editable=False)),
                ('failure', models.TextField(blank=True, editable=False)),
                ('with_captions', models.BooleanField(default=False, editable=False)),
                ('with_photograph_numbers', models.BooleanField(default=False, editable=False)),
                ('contents', models.JSONField(blank=True, editable=False, help_text='What each page shows, as it was printed', null=True)),
                ('pages', models.PositiveIntegerField(blank=True, editable=False, null=True)),
                ('case', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='%(class)s_set', to='cases.case')),
                ('changed_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('created_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('exhibit_set', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='pdfs', to='exhibits.exhibitset')),
                ('file', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='evidence.storedfile')),
                ('voided_by', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'verbose_name': 'exhibits as PDF',
                'ordering': ['created_at', 'id'],
                'abstract': False,
                'indexes': [models.Index(fields=['state', 'changed_at'], name='exhibit_pdf_by_state')],
                'constraints': [models.CheckConstraint(condition=models.Q(models.Q(('state', 'made'), _negated=True), models.Q(('contents__isnull', False), ('file__isnull', False), ('pages__isnull', False)), _connector='OR'), name='exhibit_pdf_made_is_whole')],
            },
        ),
    ]
