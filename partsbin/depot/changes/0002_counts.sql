-- Counts made at a place, those without a difference too: how true the records are, and when a place was last counted.

CREATE TABLE counts (
  id         INTEGER PRIMARY KEY,
  place_id   INTEGER NOT NULL REFERENCES places(id),
  counted_at TEXT NOT NULL,
  operator   INTEGER NOT NULL REFERENCES operators(id),
  slip_id    INTEGER REFERENCES slips(id),       -- what was posted; NULL = nothing differed
  lines      INTEGER NOT NULL CHECK (lines >= 0),
  hits       INTEGER NOT NULL CHECK (hits BETWEEN 0 AND lines)   -- lines on which file and shelf agreed exactly
) STRICT;
CREATE INDEX counts_by_place ON counts(place_id, counted_at);

CREATE TABLE count_lines (
  count_id INTEGER NOT NULL REFERENCES counts(id),
  item_id  INTEGER NOT NULL REFERENCES items(id),
  lot_id   INTEGER NOT NULL DEFAULT 0,           -- 0 = no lot
  expected INTEGER NOT NULL,                     -- what the file said when the count was posted
  counted  INTEGER NOT NULL CHECK (counted >= 0),
  PRIMARY KEY (count_id, item_id, lot_id)
) STRICT, WITHOUT ROWID;
