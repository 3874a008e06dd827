from django.db import migrations

from me_office.audit.sql_files import functions


class Migration(migrations.Migration):
    dependencies = [("audit", "0007_later_acts_have_larger_numbers")]

    operations = [migrations.RunSQL(functions("state_moves"), "DROP FUNCTION state_moves() CASCADE")]
