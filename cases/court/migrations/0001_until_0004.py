from django.db import migrations

from me_office.folded import folded

STEPS = [
    "0001_initial",
    "0002_release_latest",
    "0003_answered_in_part",
    "0004_list_of_all_requests",
]


class Migration(migrations.Migration):
    # A new office is spared the way there; one that began with these goes on with them.
    replaces = [("court", name) for name in STEPS]
    initial = True
    dependencies = [
        ("accounts", "__first__"),
        ("cases", "0001_initial"),
    ]
    operations = folded("cases.court.migrations", STEPS)
