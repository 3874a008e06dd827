from importlib import import_module

from django.db import migrations

from me_office.folded import folded

STEPS = [
    "0001_initial",
    "0002_signatures_and_outside_review",
    "0003_amendments_and_the_lock",
    "0004_addendum_rests_on_result",
    "0005_closed_without_a_report",
]
LOCK = import_module("cases.review.migrations.0003_amendments_and_the_lock").LOCK


class Migration(migrations.Migration):
    # A new office is spared the way there; one that began with these goes on with them.
    replaces = [("review", name) for name in STEPS]
    initial = True
    dependencies = [
        ("accounts", "__first__"),
        ("audit", "0005_indexes_of_the_trail"),
        ("cases", "0008_closed_without_a_report"),
        ("results", "0002_result_after_signing"),
    ]
    operations = [
        *folded("cases.review.migrations", STEPS),
        migrations.RunSQL(LOCK, "DROP FUNCTION case_locked() CASCADE"),
    ]
