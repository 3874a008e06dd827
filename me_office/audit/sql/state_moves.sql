-- Which state of a record may follow which: the states in which a row may begin, and the moves.
-- The owner of the tables, who migrates, could take the trigger away: it binds everybody else.
CREATE OR REPLACE FUNCTION public.state_moves()
 RETURNS trigger
 LANGUAGE plpgsql
 SECURITY DEFINER
 SET search_path TO 'public', 'pg_temp'
AS $function$
BEGIN
  IF session_user = (SELECT pg_get_userbyid(relowner) FROM pg_class WHERE oid = TG_RELID) THEN
    RETURN NEW;
  END IF;
  IF TG_OP = 'INSERT' AND NOT NEW.state = ANY (string_to_array(TG_ARGV[0], ',')) THEN
    RAISE EXCEPTION 'a row of % does not begin as %', TG_TABLE_NAME, NEW.state
      USING ERRCODE = 'insufficient_privilege';
  END IF;
  IF TG_OP = 'UPDATE' AND NEW.state <> OLD.state
     AND NOT (OLD.state || '>' || NEW.state) = ANY (string_to_array(TG_ARGV[1], ',')) THEN
    RAISE EXCEPTION '% of % does not follow %', NEW.state, TG_TABLE_NAME, OLD.state
      USING ERRCODE = 'insufficient_privilege';
  END IF;
  RETURN NEW;
END $function$
