from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('exhibits', '0004_composites'),
    ]

    operations = [
        migrations.AddField(
            model_name='exhibitset',
            name='numbers_before',
            field=models.JSONField(blank=True, editable=False, null=True),
        ),
    ]
