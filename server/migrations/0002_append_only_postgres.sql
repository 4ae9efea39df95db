CREATE FUNCTION refuse_change() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION '% is append-only', TG_TABLE_NAME;
END $$;

CREATE FUNCTION refuse_deletion_of_form_log() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF NOT EXISTS (SELECT 1 FROM erasing WHERE form_id = OLD.form_id) THEN
        RAISE EXCEPTION 'the log of a form is append-only';
    END IF;
    RETURN OLD;
END $$;

CREATE TRIGGER audit_is_append_only BEFORE UPDATE OR DELETE ON audit
FOR EACH ROW EXECUTE FUNCTION refuse_change();

CREATE TRIGGER form_log_is_final BEFORE UPDATE ON form_log
FOR EACH ROW EXECUTE FUNCTION refuse_change();

CREATE TRIGGER form_log_is_kept BEFORE DELETE ON form_log
FOR EACH ROW EXECUTE FUNCTION refuse_deletion_of_form_log();
