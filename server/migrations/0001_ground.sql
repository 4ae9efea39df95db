-- Ground of the service. Times are milliseconds since 1970 (UTC), booleans 0 or 1, identifiers text.

CREATE TABLE secret (
    name TEXT NOT NULL PRIMARY KEY,
    value TEXT NOT NULL
);

CREATE TABLE customer (
    id TEXT NOT NULL PRIMARY KEY,
    name TEXT NOT NULL UNIQUE,
    created_at BIGINT NOT NULL
);

CREATE TABLE person (
    id TEXT NOT NULL PRIMARY KEY,
    login TEXT NOT NULL UNIQUE,
    name TEXT NOT NULL,
    role TEXT NOT NULL,
    customer_id TEXT REFERENCES customer (id),
    password TEXT,
    disabled BIGINT NOT NULL,
    version BIGINT NOT NULL,
    created_at BIGINT NOT NULL
);

CREATE TABLE session (
    hash TEXT NOT NULL PRIMARY KEY,
    person_id TEXT NOT NULL REFERENCES person (id),
    created_at BIGINT NOT NULL,
    seen_at BIGINT NOT NULL,
    expires_at BIGINT NOT NULL
);
CREATE INDEX session_by_person ON session (person_id);

CREATE TABLE token (
    id TEXT NOT NULL PRIMARY KEY,
    hash TEXT NOT NULL UNIQUE,
    person_id TEXT NOT NULL REFERENCES person (id),
    name TEXT NOT NULL,
    scopes TEXT NOT NULL,
    created_at BIGINT NOT NULL,
    expires_at BIGINT NOT NULL,
    revoked_at BIGINT
);
CREATE INDEX token_by_person ON token (person_id);

-- A data set is known by its content. Its bytes lie in one object under a key of their own, so that
-- taking a set in and deleting the same set cannot meet.
CREATE TABLE data_set (
    id TEXT NOT NULL PRIMARY KEY,
    object TEXT NOT NULL,
    manifest TEXT NOT NULL,
    bytes BIGINT NOT NULL,
    created_at BIGINT NOT NULL
);

-- Who has sent a set: the same content may be held by several owners.
CREATE TABLE holding (
    data_set_id TEXT NOT NULL REFERENCES data_set (id),
    owner TEXT NOT NULL,
    created_by TEXT NOT NULL,
    created_at BIGINT NOT NULL,
    PRIMARY KEY (data_set_id, owner)
);
CREATE INDEX holding_by_owner ON holding (owner, created_at);

-- A check and its place in the queue.
CREATE TABLE board_check (
    id TEXT NOT NULL PRIMARY KEY,
    data_set_id TEXT NOT NULL REFERENCES data_set (id),
    asked TEXT NOT NULL,
    record TEXT NOT NULL,
    state TEXT NOT NULL,
    progress TEXT NOT NULL,
    version BIGINT NOT NULL,
    attempts BIGINT NOT NULL,
    crashes BIGINT NOT NULL,
    quarantined BIGINT NOT NULL,
    cancel_asked BIGINT NOT NULL,
    worker TEXT,
    lease_until BIGINT NOT NULL,
    due_at BIGINT NOT NULL,
    object TEXT,
    created_at BIGINT NOT NULL,
    ended_at BIGINT
);
CREATE INDEX check_by_state ON board_check (state, due_at, created_at);
CREATE INDEX check_by_set ON board_check (data_set_id);

-- The parts of a finished check, one after another in its object.
CREATE TABLE check_part (
    check_id TEXT NOT NULL REFERENCES board_check (id),
    name TEXT NOT NULL,
    start BIGINT NOT NULL,
    bytes BIGINT NOT NULL,
    sha256 TEXT NOT NULL,
    PRIMARY KEY (check_id, name)
);

CREATE TABLE part (
    id TEXT NOT NULL PRIMARY KEY,
    owner TEXT NOT NULL,
    number TEXT NOT NULL,
    title TEXT NOT NULL,
    version BIGINT NOT NULL,
    created_at BIGINT NOT NULL,
    UNIQUE (owner, number)
);

CREATE TABLE revision (
    id TEXT NOT NULL PRIMARY KEY,
    part_id TEXT NOT NULL REFERENCES part (id),
    name TEXT NOT NULL,
    data_set_id TEXT NOT NULL REFERENCES data_set (id),
    created_at BIGINT NOT NULL,
    UNIQUE (part_id, name)
);
CREATE INDEX revision_by_set ON revision (data_set_id);

CREATE TABLE form (
    id TEXT NOT NULL PRIMARY KEY,
    part_id TEXT NOT NULL REFERENCES part (id),
    revision_id TEXT NOT NULL REFERENCES revision (id),
    check_id TEXT NOT NULL REFERENCES board_check (id),
    head TEXT NOT NULL,
    version BIGINT NOT NULL,
    last_entry BIGINT NOT NULL,
    created_by TEXT NOT NULL,
    created_at BIGINT NOT NULL,
    updated_at BIGINT NOT NULL
);
CREATE INDEX form_by_part ON form (part_id, created_at);
CREATE INDEX form_by_check ON form (check_id);

CREATE TABLE line (
    form_id TEXT NOT NULL REFERENCES form (id),
    number BIGINT NOT NULL,
    state TEXT NOT NULL,
    severity TEXT NOT NULL,
    rule TEXT NOT NULL,
    body TEXT NOT NULL,
    version BIGINT NOT NULL,
    updated_at BIGINT NOT NULL,
    PRIMARY KEY (form_id, number)
);
CREATE INDEX line_by_state ON line (state, updated_at);

CREATE TABLE form_log (
    form_id TEXT NOT NULL REFERENCES form (id),
    entry BIGINT NOT NULL,
    line BIGINT,
    at BIGINT NOT NULL,
    actor TEXT NOT NULL,
    action TEXT NOT NULL,
    from_state TEXT,
    to_state TEXT,
    body TEXT NOT NULL,
    PRIMARY KEY (form_id, entry)
);

CREATE TABLE answer_link (
    id TEXT NOT NULL PRIMARY KEY,
    form_id TEXT NOT NULL REFERENCES form (id),
    made_for TEXT NOT NULL,
    made_by TEXT NOT NULL,
    created_at BIGINT NOT NULL,
    expires_at BIGINT NOT NULL,
    revoked_at BIGINT
);
CREATE INDEX answer_link_by_form ON answer_link (form_id);

-- Answers kept for requests that carry an idempotency key.
CREATE TABLE repeated_request (
    owner TEXT NOT NULL,
    key TEXT NOT NULL,
    asked TEXT NOT NULL,
    status BIGINT NOT NULL,
    headers TEXT NOT NULL,
    body TEXT NOT NULL,
    created_at BIGINT NOT NULL,
    PRIMARY KEY (owner, key)
);

-- The one row that hands out the next number of the audit log and holds its last hash.
CREATE TABLE audit_head (
    id BIGINT NOT NULL PRIMARY KEY,
    seq BIGINT NOT NULL,
    hash TEXT NOT NULL
);
INSERT INTO audit_head (id, seq, hash) VALUES (1, 0, '');

CREATE TABLE audit (
    seq BIGINT NOT NULL PRIMARY KEY,
    at BIGINT NOT NULL,
    actor TEXT NOT NULL,
    action TEXT NOT NULL,
    subject TEXT NOT NULL,
    detail TEXT NOT NULL,
    previous TEXT NOT NULL,
    hash TEXT NOT NULL
);

-- Forms whose log may be deleted: filled and emptied within one deletion.
CREATE TABLE erasing (
    form_id TEXT NOT NULL PRIMARY KEY
);
