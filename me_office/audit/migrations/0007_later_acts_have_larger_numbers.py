"""A later act has a larger number, also where the clock went back or an act had to wait."""

from django.db import migrations

from me_office.audit.sql_files import functions

CLOSE = "REVOKE ALL ON FUNCTION audit_act_number() FROM PUBLIC"


class Migration(migrations.Migration):
    dependencies = [("audit", "0006_failed_tries_by_person")]
    operations = [
        migrations.RunSQL(functions("audit_act_number", "audit_change")),
        migrations.RunSQL(CLOSE),
    ]
