from django.db import migrations

from me_office.folded import folded

STEPS = [
    "0001_measurements",
    "0002_copy_requests",
]


class Migration(migrations.Migration):
    # A new office is spared the way there; one that began with these goes on with them.
    replaces = [("measuring", name) for name in STEPS]
    initial = True
    dependencies = [
        ("accounts", "__first__"),
        ("cases", "0001_initial"),
        ("evidence", "0003_uploads_clocks_and_store_checks"),
        ("findings", "0001_initial"),
    ]
    operations = folded("evidence.measuring.migrations", STEPS)
