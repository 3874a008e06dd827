"""The row of who holds an item now has another name in the code; its table keeps its own."""

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("custody", "0007_where_a_receiver_is"),
    ]

    operations = [
        # Named first, so that the rename finds the table where it is.
        migrations.AlterModelTable(name="itemstanding", table="custody_itemstanding"),
        migrations.RenameModel(old_name="ItemStanding", new_name="CustodyState"),
        migrations.AlterField(
            model_name="custodystate",
            name="item",
            field=models.OneToOneField(
                editable=False,
                on_delete=django.db.models.deletion.PROTECT,
                primary_key=True,
                related_name="custody_state",
                serialize=False,
                to="evidence.item",
            ),
        ),
    ]
