from django.conf import settings
from django.db import migrations

from me_office.folded import folded

STEPS = [
    "0001_initial",
    "0002_finding_impact_group",
    "0003_finding_impacts_whole",
    "0004_pairs_patterns_paths_and_postmortem_changes",
    "0005_findings_words_for_what_is_seen",
    "0006_office_terms",
]


class Migration(migrations.Migration):
    # A new office is spared the way there; one that began with these goes on with them.
    replaces = [("findings", name) for name in STEPS]
    initial = True
    dependencies = [
        ("cases", "0001_initial"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]
    operations = folded("findings.migrations", STEPS)
