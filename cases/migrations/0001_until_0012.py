from django.db import migrations

from me_office.folded import folded

STEPS = [
    "0001_initial",
    "0002_positions_and_lividity_not_judged",
    "0003_scene_color",
    "0004_as_read_and_race",
    "0005_american_words",
    "0006_body_in_the_office",
    "0007_no_scene_visit_and_no_receipt",
    "0008_closed_without_a_report",
    "0009_other_places_and_positions",
    "0010_weather_and_people_at_places",
    "0011_hospital_and_place_of_death",
    "0012_search_indexes_at_once",
]


class Migration(migrations.Migration):
    # A new office is spared the way there; one that began with these goes on with them.
    replaces = [("cases", name) for name in STEPS]
    initial = True
    dependencies = [
        ("audit", "0002_write_changes"),
        ("accounts", "__first__"),
    ]
    operations = folded("cases.migrations", STEPS)
