-- Every trigger of the trail, a line each, letter for letter as `pg_get_triggerdef` tells it; names in
-- braces are filled in.
CREATE TRIGGER audit_change AFTER INSERT OR DELETE OR UPDATE ON {table} FOR EACH ROW EXECUTE FUNCTION audit_change()
CREATE TRIGGER keep_authorship BEFORE UPDATE ON {table} FOR EACH ROW WHEN ({changed}) EXECUTE FUNCTION audit_keep_authorship()
CREATE TRIGGER never_deleted BEFORE DELETE OR TRUNCATE ON {table} FOR EACH STATEMENT EXECUTE FUNCTION audit_refuse()
CREATE TRIGGER append_only BEFORE DELETE OR UPDATE OR TRUNCATE ON {table} FOR EACH STATEMENT EXECUTE FUNCTION audit_refuse()
CREATE TRIGGER answer_once BEFORE INSERT OR UPDATE ON {table} FOR EACH ROW EXECUTE FUNCTION audit_answer_once()
CREATE TRIGGER state_moves BEFORE INSERT OR UPDATE ON {table} FOR EACH ROW EXECUTE FUNCTION state_moves('{begins}', '{allowed}')
