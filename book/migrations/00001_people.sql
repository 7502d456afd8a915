-- +goose Up
CREATE TABLE client (
  id      INTEGER PRIMARY KEY,
  code    TEXT NOT NULL UNIQUE CHECK (length(code) BETWEEN 1 AND 40),
  name    TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 200),
  folded  TEXT NOT NULL,               -- the name as a search sees it
  contact TEXT NOT NULL DEFAULT '',
  note    TEXT NOT NULL DEFAULT '',
  made    TEXT NOT NULL
) STRICT;
CREATE INDEX client_folded ON client (folded);

CREATE TABLE card (
  id        INTEGER PRIMARY KEY,
  client_id INTEGER NOT NULL REFERENCES client (id) ON DELETE CASCADE,
  taken     TEXT NOT NULL,             -- the day, 2026-03-02
  by        TEXT NOT NULL,             -- who held the tape
  figure    TEXT NOT NULL DEFAULT '' CHECK (figure IN ('', 'women', 'men', 'child')),
  age       REAL,
  measures  TEXT NOT NULL CHECK (json_valid(measures)),
  corrects  INTEGER REFERENCES card (id) ON DELETE CASCADE,
  note      TEXT NOT NULL DEFAULT '',
  made      TEXT NOT NULL
) STRICT;
CREATE INDEX card_client ON card (client_id, taken);
CREATE INDEX card_corrects ON card (corrects) WHERE corrects IS NOT NULL;

-- What no draft may ever lose, kept once however many use it: house files, scripts, costing files.
CREATE TABLE kept (
  sha   TEXT PRIMARY KEY,              -- SHA-256 of the bytes
  bytes BLOB NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TABLE job (
  id        INTEGER PRIMARY KEY,
  number    TEXT NOT NULL UNIQUE CHECK (length(number) BETWEEN 1 AND 80),
  client_id INTEGER NOT NULL REFERENCES client (id) ON DELETE CASCADE,
  garment   TEXT NOT NULL,
  title     TEXT NOT NULL DEFAULT '',
  state     TEXT NOT NULL,
  due       TEXT,                      -- the day promised
  note      TEXT NOT NULL DEFAULT '',
  made      TEXT NOT NULL
) STRICT;
CREATE INDEX job_client ON job (client_id);
CREATE INDEX job_due ON job (due) WHERE due IS NOT NULL;
CREATE INDEX job_state ON job (state, due);

CREATE TABLE step (
  id     INTEGER PRIMARY KEY,
  job_id INTEGER NOT NULL REFERENCES job (id) ON DELETE CASCADE,
  was    TEXT NOT NULL,
  is_now TEXT NOT NULL,
  day    TEXT NOT NULL,
  note   TEXT NOT NULL DEFAULT '',
  made   TEXT NOT NULL
) STRICT;
CREATE INDEX step_job ON step (job_id);

CREATE TABLE draft (
  id          INTEGER PRIMARY KEY,
  job_id      INTEGER NOT NULL REFERENCES job (id) ON DELETE CASCADE,
  n           INTEGER NOT NULL,
  card_id     INTEGER REFERENCES card (id) ON DELETE CASCADE,
  name        TEXT NOT NULL,           -- of the job file
  file        BLOB NOT NULL,           -- the job file as it was
  house_name  TEXT NOT NULL DEFAULT '',
  house       TEXT REFERENCES kept (sha),
  script_name TEXT NOT NULL,
  script      TEXT NOT NULL REFERENCES kept (sha),
  program     TEXT NOT NULL,           -- the program's version
  level       TEXT NOT NULL,
  record      BLOB NOT NULL,           -- job.json, packed by gzip
  sha         TEXT NOT NULL,           -- SHA-256 of job.json
  why         TEXT NOT NULL DEFAULT '',
  made        TEXT NOT NULL,
  UNIQUE (job_id, n)
) STRICT;
CREATE INDEX draft_card ON draft (card_id);

-- What was written down stays as it was written down. Only with the client it belongs to does it go.
-- +goose StatementBegin
CREATE TRIGGER card_kept BEFORE UPDATE ON card BEGIN
  SELECT RAISE(ABORT, 'kept: a tape card is never overwritten; a correction is a new card');
END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER card_stays BEFORE DELETE ON card WHEN EXISTS (SELECT 1 FROM client WHERE id = OLD.client_id) BEGIN
  SELECT RAISE(ABORT, 'kept: a tape card is never thrown away; a correction is a new card');
END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER draft_kept BEFORE UPDATE ON draft BEGIN
  SELECT RAISE(ABORT, 'kept: a draft is never overwritten; a change is a new draft');
END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER draft_stays BEFORE DELETE ON draft WHEN EXISTS (SELECT 1 FROM job WHERE id = OLD.job_id) BEGIN
  SELECT RAISE(ABORT, 'kept: a draft is never thrown away; a change is a new draft');
END;
-- +goose StatementEnd
