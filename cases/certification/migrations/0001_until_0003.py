from django.db import migrations

from me_office.folded import folded

STEPS = [
    "0001_initial",
    "0002_items_of_the_certificate",
    "0003_index_of_what_is_pending",
]


class Migration(migrations.Migration):
    # A new office is spared the way there; one that began with these goes on with them.
    replaces = [("certification", name) for name in STEPS]
    initial = True
    dependencies = [
        ("accounts", "__first__"),
        ("cases", "0004_as_read_and_race"),
    ]
    operations = folded("cases.certification.migrations", STEPS)
