import django.db.models.deletion
import me_office.audit.ids
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('cases', '0012_search_indexes_at_once'),
        ('exhibits', '0005_numbers_before'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name='ExhibitRuling',
            fields=[
                ('id', models.UUIDField(default=me_office.audit.ids.new_id, editable=False, primary_key=True, serialize=False)),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('changed_at', models.DateTimeField(auto_now=True)),
                ('voided_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('void_reason', models.TextField(blank=True, editable=False)),
                ('on_day', models.DateField(verbose_name='date of the ruling')),
                ('ruling', models.CharField(choices=[('admitted', 'admitted'), ('limited', 'admitted for a limited purpose'), ('not admitted', 'not admitted'), ('reserved', 'ruling reserved'), ('withdrawn', 'offer withdrawn')], max_length=12)),
                ('purpose', models.CharField(blank=True, max_length=240, verbose_name='limited purpose')),
                ('objected_by', models.CharField(blank=True, max_length=160, verbose_name='objected by')),
                ('ground', models.TextField(blank=True, verbose_name='ground of the objection')),
                ('case', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='%(class)s_set', to='cases.case')),
                ('changed_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('created_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('exhibit', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='rulings', to='exhibits.exhibit')),
                ('voided_by', models.ForeignKey(blank=True, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['on_day', 'created_at', 'id'],
                'abstract': False,
            },
        ),
    ]
