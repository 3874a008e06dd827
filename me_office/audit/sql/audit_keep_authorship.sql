-- Refuses another author, moment or case of a record.
CREATE OR REPLACE FUNCTION public.audit_keep_authorship()
 RETURNS trigger
 LANGUAGE plpgsql
 SET search_path TO 'public', 'pg_temp'
AS $function$
BEGIN
  RAISE EXCEPTION 'who made a record of %, when, and for which case, never changes', TG_TABLE_NAME
    USING ERRCODE = 'insufficient_privilege';
END $function$
