-- Containers, lane types and machines with their lanes; readings of audit files; opened cases; what a case weighs.

CREATE TABLE containers (
  code        TEXT PRIMARY KEY COLLATE NOCASE CHECK (code <> ''),
  name        TEXT NOT NULL,
  kind        TEXT NOT NULL CHECK (kind IN ('can','pet')),
  nominal_ml  INTEGER NOT NULL DEFAULT 0 CHECK (nominal_ml >= 0),
  fluid_oz    REAL NOT NULL DEFAULT 0 CHECK (fluid_oz >= 0),
  style       TEXT NOT NULL DEFAULT '',
  shape       TEXT NOT NULL DEFAULT 'round',
  can_code    TEXT NOT NULL DEFAULT '',          -- as printed; never the body diameter
  body_mm     REAL NOT NULL CHECK (body_mm BETWEEN 20 AND 200),
  tolerance_mm REAL NOT NULL DEFAULT 0 CHECK (tolerance_mm BETWEEN 0 AND 20),
  basis       TEXT NOT NULL CHECK (basis IN ('measured','standard','published','estimate')),
  height_mm   REAL NOT NULL CHECK (height_mm BETWEEN 30 AND 500),
  height_tolerance_mm REAL NOT NULL DEFAULT 0 CHECK (height_tolerance_mm BETWEEN 0 AND 50),
  gross_g     INTEGER NOT NULL DEFAULT 0 CHECK (gross_g >= 0),
  words       TEXT NOT NULL DEFAULT '',          -- what people call it, parted by |
  source      TEXT NOT NULL DEFAULT ''
) STRICT, WITHOUT ROWID;

CREATE TABLE case_forms (
  container TEXT NOT NULL COLLATE NOCASE REFERENCES containers(code),
  quantity  INTEGER NOT NULL CHECK (quantity > 0),
  wrap      TEXT NOT NULL DEFAULT '',
  gross_g   INTEGER NOT NULL DEFAULT 0 CHECK (gross_g >= 0),
  PRIMARY KEY (container, quantity, wrap)
) STRICT, WITHOUT ROWID;

CREATE TABLE lane_types (
  code           TEXT PRIMARY KEY COLLATE NOCASE CHECK (code <> ''),
  family         TEXT NOT NULL COLLATE NOCASE,
  width_mm       REAL NOT NULL CHECK (width_mm >= 20),
  depth_mm       REAL NOT NULL CHECK (depth_mm >= 50),
  shelf_pitch_mm REAL NOT NULL CHECK (shelf_pitch_mm >= 50),
  front_gap_mm   REAL NOT NULL DEFAULT 0 CHECK (front_gap_mm >= 0),   -- 0 = not known
  coil_pitch_mm  REAL NOT NULL CHECK (coil_pitch_mm >= 10),
  turns          INTEGER NOT NULL CHECK (turns BETWEEN 1 AND 60),
  spacer_side    TEXT NOT NULL CHECK (spacer_side IN ('L','R','both')),
  max_per_side   INTEGER NOT NULL DEFAULT 2 CHECK (max_per_side BETWEEN 0 AND 3),
  coupled        INTEGER NOT NULL DEFAULT 0 CHECK (coupled IN (0,1))
) STRICT, WITHOUT ROWID;

CREATE TABLE machines (
  asset  TEXT PRIMARY KEY COLLATE NOCASE CHECK (asset <> ''),
  family TEXT NOT NULL COLLATE NOCASE,
  site   TEXT NOT NULL DEFAULT '',
  serial TEXT NOT NULL DEFAULT '' COLLATE NOCASE,
  round  TEXT NOT NULL DEFAULT '',
  stop   INTEGER NOT NULL DEFAULT 0 CHECK (stop >= 0),
  van    INTEGER REFERENCES places(id)           -- the van that fills it
) STRICT, WITHOUT ROWID;

CREATE TABLE lanes (
  asset      TEXT NOT NULL COLLATE NOCASE REFERENCES machines(asset),
  lane       TEXT NOT NULL COLLATE NOCASE CHECK (lane <> ''),
  selection  TEXT NOT NULL DEFAULT '' COLLATE NOCASE,   -- what a customer keys; empty = the lane's own number
  shelf      INTEGER NOT NULL CHECK (shelf > 0),        -- from the top
  position   INTEGER NOT NULL CHECK (position > 0),     -- from the left
  lane_type  TEXT NOT NULL COLLATE NOCASE REFERENCES lane_types(code),
  item_id    INTEGER REFERENCES items(id),              -- the drink
  container  TEXT COLLATE NOCASE REFERENCES containers(code),
  capacity   INTEGER NOT NULL DEFAULT 0 CHECK (capacity >= 0),
  count      INTEGER CHECK (count BETWEEN 0 AND capacity),   -- NULL = nobody counted it
  changed_on TEXT NOT NULL DEFAULT '',
  PRIMARY KEY (asset, lane),
  UNIQUE (asset, shelf, position)
) STRICT, WITHOUT ROWID;

CREATE TABLE lane_parts (                        -- what is fitted in a lane now
  asset    TEXT NOT NULL COLLATE NOCASE,
  lane     TEXT NOT NULL COLLATE NOCASE,
  item_id  INTEGER NOT NULL REFERENCES items(id),
  quantity INTEGER NOT NULL CHECK (quantity > 0),
  PRIMARY KEY (asset, lane, item_id),
  FOREIGN KEY (asset, lane) REFERENCES lanes(asset, lane) ON DELETE CASCADE
) STRICT, WITHOUT ROWID;

CREATE TABLE event_hints (
  code     TEXT PRIMARY KEY COLLATE NOCASE CHECK (code <> ''),
  families TEXT NOT NULL DEFAULT '',             -- part families parted by |, likeliest first
  symptom  TEXT NOT NULL DEFAULT '',
  text     TEXT NOT NULL DEFAULT ''
) STRICT, WITHOUT ROWID;

CREATE TABLE audit_readings (                    -- a reading is taken once: its fingerprint is the key
  fingerprint  TEXT PRIMARY KEY CHECK (fingerprint <> ''),
  number       INTEGER NOT NULL UNIQUE CHECK (number > 0),   -- the order they were taken in
  asset        TEXT NOT NULL COLLATE NOCASE REFERENCES machines(asset),
  serial       TEXT NOT NULL DEFAULT '',
  board_serial TEXT NOT NULL DEFAULT '',
  read_at      TEXT NOT NULL DEFAULT '',         -- the machine's own clock; may be unset
  taken_at     TEXT NOT NULL,                    -- UTC
  vends        INTEGER,
  checked      INTEGER NOT NULL DEFAULT 1 CHECK (checked IN (0,1))
) STRICT, WITHOUT ROWID;
CREATE INDEX audit_readings_by_machine ON audit_readings(asset, number);

CREATE TABLE audit_counts (
  fingerprint TEXT NOT NULL REFERENCES audit_readings(fingerprint),
  selection   TEXT NOT NULL COLLATE NOCASE,
  product     TEXT NOT NULL DEFAULT '',
  counter     INTEGER NOT NULL CHECK (counter >= 0),          -- sold since the board was started
  item_id     INTEGER REFERENCES items(id),                   -- the drink the chart showed when it was read
  units       INTEGER NOT NULL DEFAULT 0 CHECK (units >= 0),  -- sold since the reading before
  filled      INTEGER NOT NULL DEFAULT 0 CHECK (filled BETWEEN 0 AND units),  -- of these, put back from the van
  PRIMARY KEY (fingerprint, selection)
) STRICT, WITHOUT ROWID;
CREATE INDEX audit_counts_open ON audit_counts(fingerprint) WHERE filled < units;

-- Cases and loose units of a lot are one pool counted in each; a row here is one case opened.

ALTER TABLE lots ADD COLUMN per_case INTEGER CHECK (per_case > 0);   -- as it came; NULL = the item's pack

CREATE TABLE case_breaks (
  id       INTEGER PRIMARY KEY,
  at       TEXT NOT NULL,
  operator INTEGER NOT NULL REFERENCES operators(id),
  item_id  INTEGER NOT NULL REFERENCES items(id),
  lot_id   INTEGER NOT NULL REFERENCES lots(id),
  place_id INTEGER NOT NULL REFERENCES places(id),
  per_case INTEGER NOT NULL CHECK (per_case > 1),
  slip_id  INTEGER REFERENCES slips(id),         -- the slip that took the first of it; NULL = opened, none taken yet
  reason   TEXT NOT NULL DEFAULT ''
) STRICT;
CREATE INDEX case_breaks_by_lot ON case_breaks(lot_id, place_id);

CREATE INDEX case_breaks_waiting ON case_breaks(lot_id, place_id) WHERE slip_id IS NULL;

-- A move that takes part of a case has one opened, unless one stands open there already. What lies at a place is taken
-- to be whole cases as far as it goes; so the stock before the move says whether its loose units do.
CREATE TRIGGER moves_open_cases BEFORE INSERT ON moves
  WHEN NEW.lot_id IS NOT NULL
   AND (SELECT kind FROM items WHERE id = NEW.item_id) = 'product case'
   AND (SELECT physical FROM places WHERE id = NEW.from_place) = 1
   AND (SELECT reverses FROM slips WHERE id = NEW.slip_id) IS NULL
   AND (SELECT s.quantity >= NEW.quantity
          AND s.quantity / n.per - (s.quantity - NEW.quantity) / n.per - NEW.quantity / n.per > 0
        FROM stock s,
             (SELECT ifnull(l.per_case, i.pack_size) AS per FROM lots l JOIN items i ON i.id = l.item_id
              WHERE l.id = NEW.lot_id) n
        WHERE s.item_id = NEW.item_id AND s.place_id = NEW.from_place AND s.lot_id = NEW.lot_id)
BEGIN
  INSERT INTO case_breaks (at, operator, item_id, lot_id, place_id, per_case, slip_id)
    SELECT s.posted_at, s.operator, NEW.item_id, NEW.lot_id, NEW.from_place, ifnull(l.per_case, i.pack_size), s.id
    FROM slips s JOIN lots l ON l.id = NEW.lot_id JOIN items i ON i.id = NEW.item_id
    WHERE s.id = NEW.slip_id AND NOT EXISTS (
      SELECT 1 FROM case_breaks WHERE lot_id = NEW.lot_id AND place_id = NEW.from_place AND slip_id IS NULL);
  UPDATE case_breaks SET slip_id = NEW.slip_id WHERE id = (
    SELECT min(id) FROM case_breaks
    WHERE lot_id = NEW.lot_id AND place_id = NEW.from_place AND slip_id IS NULL);
END;

-- What one handling unit of an item weighs, in grams: a full case as weighed, else its contents and 1.5 % of packaging.
CREATE VIEW handling_weights AS
  SELECT i.id AS item_id,
         CASE WHEN i.container = '' THEN ifnull(i.weight_g, 0)
              ELSE ifnull((SELECT max(f.gross_g) FROM case_forms f
                           WHERE f.container = i.container AND f.quantity = i.pack_size AND f.gross_g > 0),
                          CAST(round(i.pack_size * 1.015 * ifnull(i.weight_g,
                            ifnull((SELECT c.gross_g FROM containers c WHERE c.code = i.container), 0))) AS INTEGER))
         END AS grams
  FROM items i;

-- The caution a weight calls for joins those of the item. Limits: 9.9 kg from the floor by the lifting equation, and
-- 16 kg for one person by common practice; a test holds them to both.
INSERT OR IGNORE INTO cautions VALUES
  ('LIFT', 'WARNING', 'Heavy: two people or a lift table. Bend your knees, hold it close, do not twist.', 2,
   'Revised lifting equation, NIOSH publication 94-110: 23 kg is the most for an ideal lift.'),
  ('HEAVY-CASE', 'CAUTION', 'Too heavy to lift from the floor alone: store it at waist height, keep it close, do not twist.', 3,
   'Revised lifting equation, NIOSH publication 94-110: 9.9 kg from the floor with the arms out.');
CREATE VIEW weight_cautions AS
  SELECT w.item_id, c.code, c.word, printf('%.1f kg. ', w.grams / 1000.0) || c.text AS text, c.severity, c.basis
  FROM handling_weights w JOIN cautions c ON c.code = iif(w.grams > 16000, 'LIFT', 'HEAVY-CASE')
  WHERE w.grams > iif((SELECT container FROM items WHERE id = w.item_id) = '', 16000, 9900);
