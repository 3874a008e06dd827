from django.db import migrations

from me_office.folded import folded

STEPS = [
    "0001_initial",
    "0002_redacted_copies_and_bare_copies",
    "0003_packets_are_jobs",
]


class Migration(migrations.Migration):
    # A new office is spared the way there; one that began with these goes on with them.
    replaces = [("packets", name) for name in STEPS]
    initial = True
    dependencies = [
        ("accounts", "__first__"),
        ("cases", "0001_initial"),
        ("court", "0001_initial"),
        ("jobs", "0002_count_attempts"),
    ]
    operations = folded("cases.packets.migrations", STEPS)
