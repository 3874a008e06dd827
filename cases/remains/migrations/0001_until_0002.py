from django.db import migrations

from me_office.folded import folded

STEPS = [
    "0001_initial",
    "0002_cremation_and_disposition",
]


class Migration(migrations.Migration):
    # A new office is spared the way there; one that began with these goes on with them.
    replaces = [("remains", name) for name in STEPS]
    initial = True
    dependencies = [
        ("accounts", "__first__"),
        ("cases", "0006_body_in_the_office"),
    ]
    operations = folded("cases.remains.migrations", STEPS)
