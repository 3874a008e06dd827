from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('accounts', '0003_counts_of_wrong_passwords'),
    ]

    operations = [
        migrations.AddField(
            model_name='staff',
            name='session_generation',
            field=models.PositiveIntegerField(default=0, editable=False),
        ),
    ]
