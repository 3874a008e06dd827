-- One number for all events of a transaction. It is made of the moment the transaction began, but
-- is larger than that of every act already written: a clock can be set back, and an act that began
-- early may have waited for a later one. Nobody but the owner may call it.
CREATE OR REPLACE FUNCTION public.audit_act_number()
 RETURNS bigint
 LANGUAGE plpgsql
 SET search_path TO 'public', 'pg_temp'
AS $function$
DECLARE
  mine text := pg_current_xact_id()::text;
  own_digits bigint := mine::bigint & 1023;
  said text := COALESCE(NULLIF(current_setting('office.act_number', true), ''), '0');
  number bigint;
BEGIN
  IF said ~ '^[1-8]?[0-9]{1,18}$' AND said::bigint & 1023 = own_digits AND EXISTS (
    -- Anybody can set a setting: it counts only where this transaction wrote an event with it.
    SELECT FROM audit_auditevent
     WHERE transaction = said::bigint AND xmin::text::bigint >= mine::bigint & 4294967295) THEN
    RETURN said::bigint;
  END IF;
  number := GREATEST(
    (extract(epoch FROM transaction_timestamp()) * 1000000)::bigint,
    (SELECT COALESCE(max(transaction), 0) FROM audit_auditevent) / 1024 + 1) * 1024 + own_digits;
  PERFORM set_config('office.act_number', number::text, true);
  RETURN number;
END $function$
