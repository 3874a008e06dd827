"""The check reads every kind of file and names those that no row names."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('evidence', '0011_office_identity'),
        ('fixity', '0001_initial'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.AddField(
            model_name='fixityproblem',
            name='named_by',
            field=models.CharField(blank=True, db_default='', editable=False, max_length=80),
        ),
        migrations.AddField(
            model_name='fixityproblem',
            name='path',
            field=models.CharField(db_default='', editable=False, max_length=200),
        ),
        migrations.AddField(
            model_name='fixityproblem',
            name='row',
            field=models.UUIDField(editable=False, null=True),
        ),
        migrations.AddField(
            model_name='fixityproblem',
            name='sha256',
            field=models.CharField(blank=True, db_default='', editable=False, max_length=64),
        ),
        migrations.AddField(
            model_name='fixityproblem',
            name='size_bytes',
            field=models.BigIntegerField(editable=False, null=True),
        ),
        migrations.AddField(
            model_name='fixityrun',
            name='part',
            field=models.CharField(blank=True, db_default='', default='', max_length=80),
        ),
        migrations.AddField(
            model_name='fixityrun',
            name='place',
            field=models.CharField(blank=True, db_default='', default='', max_length=200),
        ),
        migrations.AddField(
            model_name='fixityrun',
            name='unfinished',
            field=models.PositiveIntegerField(db_default=0, default=0),
        ),
        migrations.AlterField(
            model_name='fixityproblem',
            name='file',
            field=models.ForeignKey(editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='fixity_problems', to='evidence.storedfile'),
        ),
        migrations.AlterField(
            model_name='fixityproblem',
            name='kind',
            field=models.CharField(choices=[('missing', 'missing'), ('altered', 'altered'), ('unreadable', 'cannot be read'), ('unnamed', 'in no record')], max_length=10),
        ),
    ]
