-- Jobs and the log of their edits.
-- Times are microseconds since 1970-01-01T00:00:00Z.

-- Marks the file as ours ("WPLT"), so that another program's database is told apart and left alone.
PRAGMA application_id = 1464880212;

CREATE TABLE jobs (
    id            TEXT    NOT NULL PRIMARY KEY,
    name          TEXT    NOT NULL,
    -- The seq of the last entry of the job's log.
    revision      BIGINT  NOT NULL CHECK (revision >= 1),
    archived      BOOLEAN NOT NULL,
    -- When and by whom the job was last archived or taken back; null if never.
    archived_at   BIGINT,
    archived_by   TEXT,
    created_at    BIGINT  NOT NULL,
    changed_at    BIGINT  NOT NULL,
    -- The format in which the document and its base are written.
    format        TEXT    NOT NULL,
    -- The entry after which the base was the document. Later entries are written in `format` and lead from the base to
    -- `document`; earlier ones are history and are not taken back.
    base_seq      BIGINT  NOT NULL CHECK (base_seq BETWEEN 1 AND revision),
    document      TEXT    NOT NULL
);

-- Apart from the jobs, for it hardly ever changes and would be written anew with every edit.
CREATE TABLE bases (
    job_id        TEXT    NOT NULL PRIMARY KEY REFERENCES jobs (id),
    document      TEXT    NOT NULL
);

CREATE INDEX jobs_by_change ON jobs (archived, changed_at, id);

-- Entries are added and never changed.
CREATE TABLE entries (
    job_id     TEXT    NOT NULL REFERENCES jobs (id),
    -- From 1 without gaps; the job's revision after this entry.
    seq        BIGINT  NOT NULL CHECK (seq >= 1),
    at         BIGINT  NOT NULL,
    who        TEXT    NOT NULL,
    label      TEXT    NOT NULL,
    kind       TEXT    NOT NULL CHECK (kind IN ('create', 'edit', 'undo', 'redo')),
    -- For an undo or redo: the edit that it took back or made again.
    of_seq     BIGINT,
    -- After this entry: the edit that an undo takes back, and the one that a redo makes again.
    undo_seq   BIGINT,
    redo_seq   BIGINT,
    -- What was done to the document, and what takes it back, as JSON lists in the order in which to apply them.
    edits      TEXT    NOT NULL,
    inverse    TEXT    NOT NULL,
    PRIMARY KEY (job_id, seq),
    CHECK ((of_seq IS NOT NULL) = (kind IN ('undo', 'redo')))
);
