
import django.db.models.deletion
import me_office.audit.ids
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('cases', '0012_search_indexes_at_once'),
        ('evidence', '0009_parts_in_the_wrong_kit'),
        ('exhibits', '0002_redaction_requests'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name='CourtMark',
            fields=[
                ('id', models.UUIDField(default=me_office.audit.ids.new_id, editable=False, primary_key=True, serialize=False)),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('changed_at', models.DateTimeField(auto_now=True)),
                ('voided_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('void_reason', models.TextField(blank=True, editable=False)),
                ('strokes', models.JSONField(help_text='What was drawn, in shares of the upright picture from its upper left')),
                ('marked_at', models.DateTimeField(verbose_name='marked')),
                ('marked_by', models.CharField(choices=[('witness', 'the witness'), ('counsel', 'counsel'), ('other', 'somebody else')], max_length=8, verbose_name='marked by')),
                ('case', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='%(class)s_set', to='cases.case')),
                ('changed_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('created_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('exhibit', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='court_marks', to='exhibits.exhibit')),
                ('photograph', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='court_marks', to='evidence.photograph')),
                ('redaction', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='court_marks', to='exhibits.redaction', verbose_name='redacted copy that was shown')),
                ('voided_by', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['marked_at', 'id'],
                'abstract': False,
            },
        ),
    ]
