"""The functions that the triggers call, and the search extensions."""

from django.contrib.postgres.operations import TrigramExtension, UnaccentExtension
from django.db import migrations

WRITE = """
CREATE FUNCTION audit_change() RETURNS trigger
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE
  context jsonb := COALESCE(NULLIF(current_setting('office.audit', true), ''), '{}')::jsonb;
  was jsonb := CASE WHEN TG_OP = 'INSERT' THEN NULL ELSE to_jsonb(OLD) END;
  becomes jsonb := CASE WHEN TG_OP = 'DELETE' THEN NULL ELSE to_jsonb(NEW) END;
  row_now jsonb := COALESCE(becomes, was);
  -- Who and when stand in the event itself; a password's digest stands nowhere.
  unsaid text[] := ARRAY['changed_at', 'changed_by_id', 'created_by_id', 'password', 'last_login'];
  changes jsonb;
BEGIN
  SELECT COALESCE(jsonb_object_agg(k, jsonb_build_array(was -> k, becomes -> k)), '{}')
    INTO changes
    FROM jsonb_object_keys(row_now) AS k
   WHERE NOT k = ANY (unsaid)
     AND (was -> k) IS DISTINCT FROM (becomes -> k)
     AND NOT (was IS NULL AND (becomes -> k = 'null'::jsonb OR becomes -> k = '""'::jsonb));
  IF TG_OP = 'UPDATE' AND (was -> 'password') IS DISTINCT FROM (becomes -> 'password') THEN
    changes := changes || jsonb_build_object('password', jsonb_build_array('', 'changed'));
  END IF;
  IF TG_OP = 'UPDATE' AND changes = '{}'::jsonb THEN
    RETURN NULL;
  END IF;
  INSERT INTO audit_auditevent (
    at, transaction, "table", operation, record_id, case_id, changes, act, reason,
    actor_id, actor_name, actor_roles, source, request_id, address, database_role)
  VALUES (
    clock_timestamp(), (pg_current_xact_id()::text)::bigint, TG_TABLE_NAME, lower(TG_OP),
    COALESCE(row_now ->> 'id', ''),
    CASE WHEN TG_TABLE_NAME = 'cases_case' THEN (row_now ->> 'id')::uuid
         ELSE (row_now ->> 'case_id')::uuid END,
    changes,
    COALESCE(context ->> 'act', ''), COALESCE(context ->> 'reason', ''),
    (context ->> 'actor_id')::uuid, COALESCE(context ->> 'actor_name', ''),
    COALESCE(context ->> 'actor_roles', ''), COALESCE(context ->> 'source', 'database'),
    COALESCE(context ->> 'request_id', ''), COALESCE(context ->> 'address', ''),
    session_user);
  RETURN NULL;
END $$;

CREATE FUNCTION audit_refuse() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  RAISE EXCEPTION '% is not allowed on %: records of the office stay', TG_OP, TG_TABLE_NAME
    USING ERRCODE = 'insufficient_privilege';
END $$;
"""


class Migration(migrations.Migration):
    """Reversible once the triggers are gone."""

    dependencies = [("audit", "0001_initial")]
    run_before = [("cases", "0001_initial")]
    operations = [
        TrigramExtension(),
        UnaccentExtension(),
        migrations.RunSQL(WRITE, "DROP FUNCTION audit_change(); DROP FUNCTION audit_refuse();"),
    ]
