CREATE TRIGGER audit_is_kept BEFORE DELETE ON audit
BEGIN SELECT RAISE(ABORT, 'the audit log is append-only'); END;

CREATE TRIGGER audit_is_final BEFORE UPDATE ON audit
BEGIN SELECT RAISE(ABORT, 'the audit log is append-only'); END;

CREATE TRIGGER form_log_is_final BEFORE UPDATE ON form_log
BEGIN SELECT RAISE(ABORT, 'the log of a form is append-only'); END;

CREATE TRIGGER form_log_is_kept BEFORE DELETE ON form_log
WHEN NOT EXISTS (SELECT 1 FROM erasing WHERE form_id = OLD.form_id)
BEGIN SELECT RAISE(ABORT, 'the log of a form is append-only'); END;
