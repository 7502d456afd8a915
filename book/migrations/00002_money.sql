-- +goose Up
CREATE TABLE quote (
  id        INTEGER PRIMARY KEY,
  job_id    INTEGER NOT NULL REFERENCES job (id) ON DELETE CASCADE,
  n         INTEGER NOT NULL,
  draft_n   INTEGER NOT NULL,
  currency  TEXT NOT NULL,
  total     INTEGER NOT NULL,          -- in the currency's smallest unit
  deposit   INTEGER NOT NULL,
  minutes   INTEGER NOT NULL,          -- of labour
  words     TEXT NOT NULL CHECK (json_valid(words)), -- the lines, for the maker
  costing   TEXT NOT NULL REFERENCES kept (sha),
  day       TEXT NOT NULL,
  made      TEXT NOT NULL,
  UNIQUE (job_id, n)
) STRICT;

CREATE TABLE payment (
  id       INTEGER PRIMARY KEY,
  job_id   INTEGER NOT NULL REFERENCES job (id) ON DELETE CASCADE,
  day      TEXT NOT NULL,
  amount   INTEGER NOT NULL CHECK (amount <> 0), -- smallest unit; below nought is paid back
  currency TEXT NOT NULL,
  why      TEXT NOT NULL DEFAULT '',
  made     TEXT NOT NULL
) STRICT;
CREATE INDEX payment_job ON payment (job_id);

CREATE TABLE worked (
  id        INTEGER PRIMARY KEY,
  job_id    INTEGER NOT NULL REFERENCES job (id) ON DELETE CASCADE,
  operation TEXT NOT NULL,             -- how the operation's sentence begins
  minutes   INTEGER NOT NULL CHECK (minutes BETWEEN 1 AND 6000),
  day       TEXT NOT NULL,
  by        TEXT NOT NULL DEFAULT '',
  made      TEXT NOT NULL
) STRICT;
CREATE INDEX worked_job ON worked (job_id);

CREATE TABLE setting (
  key   TEXT PRIMARY KEY,
  value TEXT NOT NULL
) STRICT, WITHOUT ROWID;

-- +goose StatementBegin
CREATE TRIGGER quote_kept BEFORE UPDATE ON quote BEGIN
  SELECT RAISE(ABORT, 'kept: a quotation is never overwritten; another price is a new quotation');
END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER payment_kept BEFORE UPDATE ON payment BEGIN
  SELECT RAISE(ABORT, 'kept: a payment is never overwritten; book what was paid back as a payment below nought');
END;
-- +goose StatementEnd
