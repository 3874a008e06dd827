-- Who looked. The time is the database's, the name the account's; nothing else writes the table.
CREATE OR REPLACE FUNCTION public.audit_note_look(reader uuid, of_case uuid, what_it_was text, of_record text, request text, came_from text, row_count integer, asked_for jsonb)
 RETURNS void
 LANGUAGE plpgsql
 SECURITY DEFINER
 SET search_path TO 'public', 'pg_temp'
AS $function$
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
END $function$
