-- Forgets what keys were answered with, once no retry may come any more.
CREATE OR REPLACE FUNCTION public.audit_clear_answers(kept interval, most integer)
 RETURNS integer
 LANGUAGE plpgsql
 SECURITY DEFINER
 SET search_path TO 'public', 'pg_temp'
AS $function$
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
END $function$
