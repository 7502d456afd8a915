-- +goose Up
CREATE TABLE fitting (
  id     INTEGER PRIMARY KEY,
  job_id INTEGER NOT NULL REFERENCES job (id) ON DELETE CASCADE,
  day    TEXT NOT NULL,
  held   INTEGER NOT NULL CHECK (held IN (0, 1)),
  by     TEXT NOT NULL DEFAULT '',
  note   TEXT NOT NULL DEFAULT '',
  made   TEXT NOT NULL
) STRICT;
CREATE INDEX fitting_job ON fitting (job_id);
CREATE INDEX fitting_day ON fitting (day) WHERE held = 0;

CREATE TABLE pin (
  id         INTEGER PRIMARY KEY,
  fitting_id INTEGER NOT NULL REFERENCES fitting (id) ON DELETE CASCADE,
  said       TEXT NOT NULL,            -- as it was said: "sleeve +1/2 in"
  side       TEXT NOT NULL DEFAULT '' CHECK (side IN ('', 'left', 'right')),
  place      TEXT NOT NULL,
  mm         REAL NOT NULL,
  measure    TEXT NOT NULL DEFAULT ''  -- the measure that carries it to the next draft; empty when none can
) STRICT;
CREATE INDEX pin_fitting ON pin (fitting_id);

CREATE TABLE issue (
  id      INTEGER PRIMARY KEY,
  job_id  INTEGER NOT NULL REFERENCES job (id) ON DELETE CASCADE,
  n       INTEGER NOT NULL,
  draft_n INTEGER NOT NULL,
  quote_n INTEGER NOT NULL,
  due     TEXT NOT NULL,
  day     TEXT NOT NULL,
  agreed  TEXT,                        -- the day it was signed
  made    TEXT NOT NULL,
  UNIQUE (job_id, n)
) STRICT;

CREATE TABLE goods (
  id        INTEGER PRIMARY KEY,
  client_id INTEGER NOT NULL REFERENCES client (id) ON DELETE CASCADE,
  job_id    INTEGER REFERENCES job (id) ON DELETE CASCADE,
  day       TEXT NOT NULL,
  what      TEXT NOT NULL,
  length_mm REAL NOT NULL CHECK (length_mm > 0),
  width_mm  REAL NOT NULL CHECK (width_mm > 0),
  condition TEXT NOT NULL,
  note      TEXT NOT NULL DEFAULT '',
  made      TEXT NOT NULL
) STRICT;
CREATE INDEX goods_client ON goods (client_id);
CREATE INDEX goods_job ON goods (job_id);

CREATE TABLE goods_out (
  id        INTEGER PRIMARY KEY,
  goods_id  INTEGER NOT NULL REFERENCES goods (id) ON DELETE CASCADE,
  day       TEXT NOT NULL,
  length_mm REAL NOT NULL CHECK (length_mm > 0),
  why       TEXT NOT NULL,             -- "cut for SRC-01", "given back"
  made      TEXT NOT NULL
) STRICT;
CREATE INDEX goods_out_goods ON goods_out (goods_id);

CREATE TABLE shelf (
  id   INTEGER PRIMARY KEY,
  code TEXT NOT NULL UNIQUE,
  kind TEXT NOT NULL CHECK (kind IN ('cloth', 'rib', 'zip', 'trim')),
  name TEXT NOT NULL,
  unit TEXT NOT NULL CHECK (unit IN ('mm', 'piece')),
  made TEXT NOT NULL
) STRICT;

CREATE TABLE shelf_move (
  id       INTEGER PRIMARY KEY,
  shelf_id INTEGER NOT NULL REFERENCES shelf (id) ON DELETE CASCADE,
  day      TEXT NOT NULL,
  quantity INTEGER NOT NULL CHECK (quantity <> 0), -- mm or pieces; below nought is taken
  job_id   INTEGER REFERENCES job (id) ON DELETE SET NULL,
  why      TEXT NOT NULL DEFAULT '',
  made     TEXT NOT NULL
) STRICT;
CREATE INDEX shelf_move_shelf ON shelf_move (shelf_id);
CREATE INDEX shelf_move_job ON shelf_move (job_id) WHERE job_id IS NOT NULL;

CREATE TABLE photo (
  id         INTEGER PRIMARY KEY,
  client_id  INTEGER NOT NULL REFERENCES client (id) ON DELETE CASCADE,
  job_id     INTEGER REFERENCES job (id) ON DELETE CASCADE,
  fitting_id INTEGER REFERENCES fitting (id) ON DELETE CASCADE,
  goods_id   INTEGER REFERENCES goods (id) ON DELETE CASCADE,
  path       TEXT NOT NULL,
  sha        TEXT NOT NULL DEFAULT '', -- SHA-256 of the picture when it was booked
  note       TEXT NOT NULL DEFAULT '',
  day        TEXT NOT NULL,
  made       TEXT NOT NULL
) STRICT;
CREATE INDEX photo_client ON photo (client_id);
CREATE INDEX photo_job ON photo (job_id) WHERE job_id IS NOT NULL;
CREATE INDEX photo_fitting ON photo (fitting_id) WHERE fitting_id IS NOT NULL;
CREATE INDEX photo_goods ON photo (goods_id) WHERE goods_id IS NOT NULL;
