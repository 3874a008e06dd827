-- Writes one event for a row that was added, changed or deleted.
CREATE OR REPLACE FUNCTION public.audit_change()
 RETURNS trigger
 LANGUAGE plpgsql
 SECURITY DEFINER
 SET search_path TO 'public', 'pg_temp'
AS $function$
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
    audit_act_number(),
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
END $function$
