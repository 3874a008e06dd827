"""Authorship is an event, acts keep their number for ever, looks and answers are written once."""

from django.db import migrations, models

WRITE = """
CREATE OR REPLACE FUNCTION audit_change() RETURNS trigger
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE
  context jsonb := COALESCE(NULLIF(current_setting('office.audit', true), ''), '{}')::jsonb;
  was jsonb := CASE WHEN TG_OP = 'INSERT' THEN NULL ELSE to_jsonb(OLD) END;
  becomes jsonb := CASE WHEN TG_OP = 'DELETE' THEN NULL ELSE to_jsonb(NEW) END;
  row_now jsonb := COALESCE(becomes, was);
  -- A password and a second factor stand nowhere, only that they changed; nor a plain sign-in.
  secret text[] := CASE WHEN TG_TABLE_NAME = 'mfa_authenticator'
                        THEN ARRAY['data'] ELSE ARRAY['password'] END;
  unsaid text[] := secret || ARRAY['last_login', 'last_used_at'];
  changes jsonb;
BEGIN
  SELECT COALESCE(jsonb_object_agg(k, jsonb_build_array(was -> k, becomes -> k)), '{}')
    INTO changes
    FROM jsonb_object_keys(row_now) AS k
   WHERE NOT k = ANY (unsaid)
     AND (was -> k) IS DISTINCT FROM (becomes -> k)
     AND NOT (was IS NULL AND (becomes -> k = 'null'::jsonb OR becomes -> k = '""'::jsonb))
     -- Who and when stand in the event itself, and here only where they are not the same.
     AND NOT (k IN ('created_by_id', 'changed_by_id')
              AND COALESCE(becomes -> k = context -> 'actor_id', false))
     AND NOT (k IN ('created_at', 'changed_at') AND context ? 'actor_id'
              AND COALESCE((becomes ->> k)::timestamptz
                           BETWEEN clock_timestamp() - interval '1 hour'
                               AND clock_timestamp() + interval '1 hour', false));
  IF TG_OP = 'UPDATE' AND (was -> secret[1]) IS DISTINCT FROM (becomes -> secret[1]) THEN
    changes := changes || jsonb_build_object(secret[1], jsonb_build_array('', 'changed'));
  END IF;
  IF TG_OP = 'UPDATE' AND changes = '{}'::jsonb THEN
    IF (was - unsaid) IS NOT DISTINCT FROM (becomes - unsaid) THEN
      RETURN NULL;
    END IF;
    changes := jsonb_build_object(
      'changed_by_id', jsonb_build_array(was -> 'changed_by_id', becomes -> 'changed_by_id'),
      'changed_at', jsonb_build_array(was -> 'changed_at', becomes -> 'changed_at'));
  END IF;
  INSERT INTO audit_auditevent (
    at, transaction, "table", operation, record_id, case_id, changes, act, reason,
    actor_id, actor_name, actor_roles, source, request_id, address, database_role)
  VALUES (
    clock_timestamp(),
    -- The number of an act. The server's own numbers of transactions begin again when an office
    -- is restored into a new cluster; the moment one began, with its last digits, does not.
    (extract(epoch FROM transaction_timestamp()) * 1000000)::bigint * 1024
      + ((pg_current_xact_id()::text)::bigint & 1023),
    TG_TABLE_NAME, lower(TG_OP),
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

CREATE FUNCTION audit_keep_authorship() RETURNS trigger
LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
BEGIN
  RAISE EXCEPTION 'who made a record of %, when, and for which case, never changes', TG_TABLE_NAME
    USING ERRCODE = 'insufficient_privilege';
END $$;

CREATE OR REPLACE FUNCTION audit_refuse() RETURNS trigger
LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
BEGIN
  RAISE EXCEPTION '% is not allowed on %: records of the office stay', TG_OP, TG_TABLE_NAME
    USING ERRCODE = 'insufficient_privilege';
END $$;

-- Who looked. The time is the database's, the name the account's; nothing else writes the table.
CREATE FUNCTION audit_note_look(
  reader uuid, of_case uuid, what_it_was text, of_record text, request text, came_from text,
  row_count integer, asked_for jsonb) RETURNS void
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
BEGIN
  INSERT INTO audit_accessevent (
    at, case_id, what, record_id, actor_id, actor_name, request_id, address, "rows", asked)
  SELECT clock_timestamp(), of_case, what_it_was, of_record, staff.id,
         COALESCE(NULLIF(staff.display_name, ''), staff.username), request, came_from,
         row_count, asked_for
    FROM accounts_staff staff WHERE staff.id = reader;
  IF NOT FOUND THEN
    RAISE EXCEPTION 'nobody of this office looked' USING ERRCODE = 'insufficient_privilege';
  END IF;
END $$;

-- What a key was answered with is filled in once, by the request that took the key.
CREATE FUNCTION audit_answer_once() RETURNS trigger
LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
BEGIN
  IF TG_OP = 'INSERT' THEN
    NEW.at := clock_timestamp();
    RETURN NEW;
  END IF;
  IF OLD.record_type <> '' OR (OLD.id, OLD.key, OLD.act, OLD.ordinal, OLD.actor_id, OLD.digest, OLD.at)
     IS DISTINCT FROM (NEW.id, NEW.key, NEW.act, NEW.ordinal, NEW.actor_id, NEW.digest, NEW.at) THEN
    RAISE EXCEPTION 'a request is answered once' USING ERRCODE = 'insufficient_privilege';
  END IF;
  RETURN NEW;
END $$;
CREATE TRIGGER answer_once BEFORE INSERT OR UPDATE ON audit_requestanswer
  FOR EACH ROW EXECUTE FUNCTION audit_answer_once();

CREATE FUNCTION audit_clear_answers(kept interval, most integer) RETURNS integer
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE
  cleared integer;
BEGIN
  IF kept < interval '7 days' THEN
    RAISE EXCEPTION 'a retry may still come within 7 days' USING ERRCODE = 'insufficient_privilege';
  END IF;
  DELETE FROM audit_requestanswer WHERE id IN (
    SELECT id FROM audit_requestanswer WHERE at < clock_timestamp() - kept ORDER BY at LIMIT most);
  GET DIAGNOSTICS cleared = ROW_COUNT;
  RETURN cleared;
END $$;
"""


class Migration(migrations.Migration):
    """Not reversible: events were written by the new function, and numbers of acts go on from it."""

    dependencies = [("audit", "0003_what_a_key_was_sent_with"), ("accounts", "0002_staff_version")]
    operations = [
        migrations.AlterField("accessevent", "case_id", models.UUIDField(null=True)),
        migrations.AddField(
            "accessevent", "rows", models.PositiveIntegerField(null=True)
        ),
        migrations.AddField("accessevent", "asked", models.JSONField(default=dict)),
        migrations.RunSQL(WRITE),
    ]
