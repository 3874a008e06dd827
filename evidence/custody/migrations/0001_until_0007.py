from importlib import import_module

from django.db import migrations

from me_office.folded import folded

STEPS = [
    "0001_initial",
    "0002_item_standing",
    "0003_items_by_holder",
    "0004_seal_number_repeats",
    "0005_agency_receipts",
    "0006_parts_of_kits",
    "0007_where_a_receiver_is",
]
STANDING = import_module("evidence.custody.migrations.0002_item_standing")
KEEP = import_module("evidence.custody.migrations.0006_parts_of_kits").KEEP


class Migration(migrations.Migration):
    # A new office is spared the way there; one that began with these goes on with them.
    replaces = [("custody", name) for name in STEPS]
    initial = True
    dependencies = [
        ("accounts", "__first__"),
        ("cases", "0006_body_in_the_office"),
        ("evidence", "0007_kits_and_trays"),
    ]
    operations = [
        *folded("evidence.custody.migrations", STEPS),
        migrations.RunSQL(STANDING.KEEP, STANDING.FORGET),
        migrations.RunSQL(KEEP, migrations.RunSQL.noop),
    ]
