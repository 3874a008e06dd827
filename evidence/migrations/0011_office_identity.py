"""Each office gets an id of its own, which its store carries too."""

import uuid
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('evidence', '0010_tables_to_apps_of_their_own'),
    ]

    operations = [
        migrations.CreateModel(
            name='OfficeIdentity',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('made_at', models.DateTimeField(auto_now_add=True)),
            ],
            options={
                'constraints': [models.UniqueConstraint(models.Value(1), name='office_identity_once')],
            },
        ),
        migrations.RunSQL(
            "INSERT INTO evidence_officeidentity (id, made_at) VALUES (gen_random_uuid(), now())",
            migrations.RunSQL.noop,
        ),
    ]
