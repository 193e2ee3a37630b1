-- Label jobs: kept until they are printed, so that none is lost with a printer.

CREATE TABLE print_jobs (
  id       INTEGER PRIMARY KEY,
  made_at  TEXT NOT NULL,
  operator INTEGER NOT NULL REFERENCES operators(id),
  what     TEXT NOT NULL,                       -- in words: what it prints
  stock    TEXT NOT NULL,
  labels   INTEGER NOT NULL CHECK (labels > 0),
  sheets   INTEGER NOT NULL CHECK (sheets > 0),
  width_mm REAL NOT NULL DEFAULT 0,             -- the paper; 0 = any
  height_mm REAL NOT NULL DEFAULT 0,
  pdf      BLOB,                                -- let go once it came out
  printer  TEXT NOT NULL DEFAULT '',
  number   INTEGER,                             -- the printer's own number for it
  state    TEXT NOT NULL CHECK (state IN ('kept','sending','sent','printed','dropped')),
  said     TEXT NOT NULL DEFAULT ''             -- what the printer last said, in words
) STRICT;
CREATE INDEX print_jobs_open ON print_jobs(state) WHERE state IN ('kept', 'sending', 'sent');
