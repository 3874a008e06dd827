"""The functions that the triggers call, and the search extensions."""

from django.contrib.postgres.operations import TrigramExtension, UnaccentExtension
from django.db import migrations

from me_office.audit.sql_files import functions

MADE = ("audit_act_number", "audit_change", "audit_refuse")
DROP = "".join(f"DROP FUNCTION {name}();" for name in MADE)


class Migration(migrations.Migration):
    """Reversible once the triggers are gone."""

    dependencies = [("audit", "0001_initial")]
    run_before = [("cases", "0001_initial")]
    operations = [
        TrigramExtension(),
        UnaccentExtension(),
        migrations.RunSQL(functions(*MADE), DROP),
    ]
