import django.db.models.deletion
import me_office.audit.ids
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('cases', '0012_search_indexes_at_once'),
        ('evidence', '0009_parts_in_the_wrong_kit'),
        ('exhibits', '0003_marks_made_in_court'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name='ExhibitPart',
            fields=[
                ('id', models.UUIDField(default=me_office.audit.ids.new_id, editable=False, primary_key=True, serialize=False)),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('changed_at', models.DateTimeField(auto_now=True)),
                ('voided_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('void_reason', models.TextField(blank=True, editable=False)),
                ('place', models.PositiveSmallIntegerField(editable=False, verbose_name='place in the exhibit')),
                ('case', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='%(class)s_set', to='cases.case')),
                ('changed_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('created_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('exhibit', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='parts', to='exhibits.exhibit')),
                ('photograph', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='exhibit_parts', to='evidence.photograph')),
                ('voided_by', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['place', 'id'],
                'abstract': False,
                'constraints': [models.UniqueConstraint(condition=models.Q(('voided_at', None)), fields=('exhibit', 'photograph'), name='exhibit_shows_photograph_once', violation_error_message='This photograph is in the exhibit already.')],
            },
        ),
    ]
