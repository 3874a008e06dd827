-- Refuses a statement on a table whose rows stay.
CREATE OR REPLACE FUNCTION public.audit_refuse()
 RETURNS trigger
 LANGUAGE plpgsql
 SET search_path TO 'public', 'pg_temp'
AS $function$
BEGIN
  RAISE EXCEPTION '% is not allowed on %: records of the office stay', TG_OP, TG_TABLE_NAME
    USING ERRCODE = 'insufficient_privilege';
END $function$
