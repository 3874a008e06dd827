from django.db import migrations

from me_office.folded import folded

STEPS = [
    "0001_initial",
    "0002_series_outlines_and_tiles",
    "0003_uploads_clocks_and_store_checks",
    "0004_store_check_whole_again",
    "0005_what_things_are",
    "0006_specimens_of_others",
    "0007_kits_and_trays",
    "0008_why_a_site_is_right",
    "0009_parts_in_the_wrong_kit",
]


class Migration(migrations.Migration):
    # A new office is spared the way there; one that began with these goes on with them.
    replaces = [("evidence", name) for name in STEPS]
    initial = True
    dependencies = [
        ("accounts", "__first__"),
        ("cases", "0007_no_scene_visit_and_no_receipt"),
        ("findings", "0009_more_kinds_of_examination"),
    ]
    operations = folded("evidence.migrations", STEPS)
