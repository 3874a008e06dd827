"""A kept calculation is never changed, only voided: the database holds to that."""

from django.db import migrations

STAYS = """
CREATE FUNCTION computing_calculation_stays() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF (OLD.case_id, OLD.method, OLD.method_version, OLD.inputs, OLD.taken_from, OLD.measured_at,
        OLD.result, OLD.refused, OLD.note, OLD.made_at, OLD.made_by_id)
       IS DISTINCT FROM
       (NEW.case_id, NEW.method, NEW.method_version, NEW.inputs, NEW.taken_from, NEW.measured_at,
        NEW.result, NEW.refused, NEW.note, NEW.made_at, NEW.made_by_id) THEN
        RAISE EXCEPTION 'a kept calculation is never changed' USING ERRCODE = 'check_violation';
    END IF;
    RETURN NEW;
END $$;
CREATE TRIGGER calculation_stays BEFORE UPDATE ON computing_calculation
    FOR EACH ROW EXECUTE FUNCTION computing_calculation_stays();
"""
UNDO = """
DROP TRIGGER calculation_stays ON computing_calculation;
DROP FUNCTION computing_calculation_stays();
"""


class Migration(migrations.Migration):
    dependencies = [("computing", "0001_keep_calculations")]

    operations = [migrations.RunSQL(STAYS, UNDO)]
