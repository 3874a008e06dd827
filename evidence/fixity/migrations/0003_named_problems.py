"""Problems that were found before say which file they are of by its name, too."""

from django.db import migrations, models

FILL = """
SELECT set_config('office.audit', '{"act": "check_store", "source": "task", "reason":
 "The service was updated"}', true);
UPDATE evidence_fixityproblem p SET named_by = 'evidence.storedfile', row = f.id, path = f.path,
 sha256 = f.sha256, size_bytes = f.size_bytes
 FROM evidence_storedfile f WHERE f.id = p.file_id AND p.path = '';
"""


class Migration(migrations.Migration):

    dependencies = [
        ('fixity', '0002_every_kind_of_file'),
    ]

    operations = [
        migrations.RunSQL(FILL, migrations.RunSQL.noop),
        migrations.AddConstraint(
            model_name='fixityproblem',
            constraint=models.UniqueConstraint(condition=models.Q(('resolved_at', None), models.Q(('path', ''), _negated=True)), fields=('path',), name='fixity_open_problem_once_a_path'),
        ),
    ]
