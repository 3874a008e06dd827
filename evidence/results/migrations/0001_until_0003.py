from django.db import migrations

from me_office.folded import folded

STEPS = [
    "0001_results_items_and_lines",
    "0002_result_after_signing",
    "0003_plain_digits",
]


class Migration(migrations.Migration):
    # A new office is spared the way there; one that began with these goes on with them.
    replaces = [("results", name) for name in STEPS]
    initial = True
    dependencies = [
        ("accounts", "__first__"),
        ("cases", "0006_body_in_the_office"),
        ("evidence", "0004_store_check_whole_again"),
    ]
    operations = folded("evidence.results.migrations", STEPS)
