-- What a key was answered with is filled in once, by the request that took the key.
CREATE OR REPLACE FUNCTION public.audit_answer_once()
 RETURNS trigger
 LANGUAGE plpgsql
 SET search_path TO 'public', 'pg_temp'
AS $function$
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
END $function$
