-- The depot's file, first edition. Every table is STRICT; nothing posted is ever changed or deleted.

CREATE TABLE settings (
  key   TEXT PRIMARY KEY,
  value TEXT NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TABLE places (
  id       INTEGER PRIMARY KEY,
  code     TEXT NOT NULL UNIQUE COLLATE NOCASE CHECK (code <> '' AND code = trim(code)),
  scan     TEXT NOT NULL UNIQUE,               -- what the label encodes: the code without hyphens
  kind     TEXT NOT NULL CHECK (kind IN ('bin','van','drawer','shelf','supplier','job','scrap','count-difference')),
  name     TEXT NOT NULL DEFAULT '',
  parent   INTEGER REFERENCES places(id),      -- a drawer's van
  zone     TEXT NOT NULL DEFAULT '',
  aisle    TEXT NOT NULL DEFAULT '',
  bay      INTEGER NOT NULL DEFAULT 0,
  walk     INTEGER NOT NULL DEFAULT 0,         -- walking order: aisle by aisle, bays serpentine
  physical INTEGER NOT NULL GENERATED ALWAYS AS (kind IN ('bin','van','drawer')) STORED,
  retired  INTEGER NOT NULL DEFAULT 0 CHECK (retired IN (0,1)),
  CHECK ((kind = 'drawer') = (parent IS NOT NULL))
) STRICT;
CREATE INDEX places_by_parent ON places(parent) WHERE parent IS NOT NULL;

CREATE TABLE operators (
  id       INTEGER PRIMARY KEY,
  initials TEXT NOT NULL UNIQUE COLLATE NOCASE CHECK (initials <> ''),
  name     TEXT NOT NULL DEFAULT '',
  role     TEXT NOT NULL CHECK (role IN ('clerk','technician','lead')),
  badge    TEXT UNIQUE,
  pin_hash TEXT NOT NULL DEFAULT '',
  van      INTEGER REFERENCES places(id),
  retired  INTEGER NOT NULL DEFAULT 0 CHECK (retired IN (0,1))
) STRICT;

CREATE TABLE suppliers (
  id             INTEGER PRIMARY KEY,
  name           TEXT NOT NULL UNIQUE COLLATE NOCASE CHECK (name <> ''),
  lead_time_days INTEGER CHECK (lead_time_days >= 0),
  lead_time_sd   REAL CHECK (lead_time_sd >= 0),               -- days
  minimum_order  INTEGER NOT NULL DEFAULT 0 CHECK (minimum_order >= 0),   -- minor units
  free_carriage  INTEGER NOT NULL DEFAULT 0 CHECK (free_carriage >= 0),   -- minor units; 0 = none stated
  order_days     TEXT NOT NULL DEFAULT ''
) STRICT;

CREATE TABLE items (
  id            INTEGER PRIMARY KEY,
  part_number   TEXT NOT NULL UNIQUE COLLATE NOCASE CHECK (part_number <> '' AND part_number = trim(part_number)),
  part_key      TEXT NOT NULL,                  -- upper case, letters and digits only: what noise leaves over
  description   TEXT NOT NULL CHECK (description <> ''),
  category      TEXT NOT NULL DEFAULT '',
  kind          TEXT NOT NULL DEFAULT 'part',
  unit          TEXT NOT NULL DEFAULT 'each',
  pack_size     INTEGER NOT NULL DEFAULT 1 CHECK (pack_size > 0),
  family        TEXT NOT NULL DEFAULT '',
  hand          TEXT NOT NULL DEFAULT '' CHECK (hand IN ('','LH','RH')),
  viewpoint     TEXT NOT NULL DEFAULT '',
  tracking      TEXT NOT NULL DEFAULT 'quantity' CHECK (tracking IN ('quantity','lot','serial','bulk')),
  disposition   TEXT NOT NULL DEFAULT 'consumable'
                CHECK (disposition IN ('consumable','reusable','core','controlled','regulated')),
  shelf_life_days INTEGER CHECK (shelf_life_days > 0),
  weight_g      INTEGER CHECK (weight_g >= 0),
  service       TEXT NOT NULL DEFAULT '' CHECK (service IN ('','fast','medium','slow')),
  container     TEXT NOT NULL DEFAULT '',
  home_bin      INTEGER REFERENCES places(id),
  opposite_hand INTEGER REFERENCES items(id) DEFERRABLE INITIALLY DEFERRED,
  superseded_by INTEGER REFERENCES items(id) DEFERRABLE INITIALLY DEFERRED,
  retired       INTEGER NOT NULL DEFAULT 0 CHECK (retired IN (0,1)),
  changed       INTEGER NOT NULL DEFAULT 0,     -- rises with every edit: how an index in memory follows
  CHECK (superseded_by IS NULL OR superseded_by <> id)
) STRICT;
CREATE INDEX items_by_key ON items(part_key);
CREATE INDEX items_by_change ON items(changed);
CREATE INDEX items_by_successor ON items(superseded_by) WHERE superseded_by IS NOT NULL;

CREATE TABLE item_suppliers (
  item_id       INTEGER NOT NULL REFERENCES items(id),
  supplier_id   INTEGER NOT NULL REFERENCES suppliers(id),
  their_number  TEXT NOT NULL DEFAULT '',
  cost          INTEGER CHECK (cost >= 0),      -- minor units a base unit; NULL = not known
  pack_size     INTEGER NOT NULL DEFAULT 1 CHECK (pack_size > 0),
  minimum       INTEGER NOT NULL DEFAULT 0 CHECK (minimum >= 0),
  lead_time_days INTEGER CHECK (lead_time_days >= 0),
  price_breaks  TEXT NOT NULL DEFAULT '',
  preferred     INTEGER NOT NULL DEFAULT 1 CHECK (preferred IN (0,1)),
  PRIMARY KEY (item_id, supplier_id)
) STRICT, WITHOUT ROWID;
CREATE INDEX item_suppliers_by_number ON item_suppliers(their_number);

CREATE TABLE item_words (
  item_id  INTEGER NOT NULL REFERENCES items(id),
  words    TEXT NOT NULL COLLATE NOCASE CHECK (words <> ''),
  source   TEXT NOT NULL CHECK (source IN ('catalogue','learned')),
  times    INTEGER NOT NULL DEFAULT 1 CHECK (times > 0),
  operator INTEGER REFERENCES operators(id),
  since    TEXT NOT NULL DEFAULT '',
  PRIMARY KEY (item_id, words, source)
) STRICT, WITHOUT ROWID;

CREATE TABLE item_fits (
  item_id INTEGER NOT NULL REFERENCES items(id),
  machine TEXT NOT NULL COLLATE NOCASE CHECK (machine <> ''),
  PRIMARY KEY (item_id, machine)
) STRICT, WITHOUT ROWID;

CREATE TABLE item_gtins (
  gtin     TEXT PRIMARY KEY CHECK (length(gtin) = 14),
  item_id  INTEGER NOT NULL REFERENCES items(id),
  quantity INTEGER CHECK (quantity > 0)          -- base units in what carries this number; NULL = the item's pack
) STRICT, WITHOUT ROWID;
CREATE INDEX item_gtins_by_item ON item_gtins(item_id);

CREATE TABLE item_cautions (
  item_id INTEGER NOT NULL REFERENCES items(id),
  code    TEXT NOT NULL REFERENCES cautions(code),
  PRIMARY KEY (item_id, code)
) STRICT, WITHOUT ROWID;

CREATE TABLE item_parts (                        -- what a kit explodes to
  kit_id   INTEGER NOT NULL REFERENCES items(id),
  item_id  INTEGER NOT NULL REFERENCES items(id),
  quantity INTEGER NOT NULL CHECK (quantity > 0),
  PRIMARY KEY (kit_id, item_id),
  CHECK (kit_id <> item_id)
) STRICT, WITHOUT ROWID;
CREATE INDEX item_parts_by_item ON item_parts(item_id);

CREATE TABLE item_substitutes (
  item_id   INTEGER NOT NULL REFERENCES items(id),
  instead   INTEGER NOT NULL REFERENCES items(id),
  PRIMARY KEY (item_id, instead)
) STRICT, WITHOUT ROWID;

CREATE TABLE cautions (
  code     TEXT PRIMARY KEY,
  word     TEXT NOT NULL,
  text     TEXT NOT NULL,
  severity INTEGER NOT NULL CHECK (severity BETWEEN 1 AND 4),   -- 1 is the most severe
  basis    TEXT NOT NULL DEFAULT ''
) STRICT, WITHOUT ROWID;

CREATE TABLE first_checks (
  family   TEXT NOT NULL,
  symptom  TEXT NOT NULL DEFAULT '',
  sequence INTEGER NOT NULL,                    -- cheapest first
  text     TEXT NOT NULL,
  PRIMARY KEY (family, symptom, sequence)
) STRICT, WITHOUT ROWID;

CREATE TABLE trade_words (
  word  TEXT NOT NULL COLLATE NOCASE,
  means TEXT NOT NULL,
  kind  TEXT NOT NULL,
  PRIMARY KEY (word, means, kind)
) STRICT, WITHOUT ROWID;

CREATE TABLE lots (
  id          INTEGER PRIMARY KEY,
  item_id     INTEGER NOT NULL REFERENCES items(id),
  code        TEXT NOT NULL CHECK (code <> ''),
  best_before TEXT NOT NULL DEFAULT '' CHECK (best_before = '' OR best_before GLOB '[12][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]'),
  UNIQUE (item_id, code)
) STRICT;

CREATE TABLE serials (
  id       INTEGER PRIMARY KEY,
  item_id  INTEGER NOT NULL REFERENCES items(id),
  serial   TEXT NOT NULL CHECK (serial <> ''),
  place_id INTEGER REFERENCES places(id),       -- kept by trigger
  UNIQUE (item_id, serial)
) STRICT;

CREATE TABLE orders (
  id          INTEGER PRIMARY KEY,
  number      TEXT NOT NULL UNIQUE COLLATE NOCASE CHECK (number <> ''),
  supplier_id INTEGER NOT NULL REFERENCES suppliers(id),
  ordered_at  TEXT NOT NULL,
  expected_on TEXT NOT NULL DEFAULT '',
  operator    INTEGER NOT NULL REFERENCES operators(id),
  closed      INTEGER NOT NULL DEFAULT 0 CHECK (closed IN (0,1)),
  note        TEXT NOT NULL DEFAULT ''
) STRICT;

CREATE TABLE order_lines (
  id       INTEGER PRIMARY KEY,
  order_id INTEGER NOT NULL REFERENCES orders(id),
  line     INTEGER NOT NULL,
  item_id  INTEGER NOT NULL REFERENCES items(id),
  quantity INTEGER NOT NULL CHECK (quantity > 0),
  received INTEGER NOT NULL DEFAULT 0 CHECK (received >= 0),
  received_before INTEGER NOT NULL DEFAULT 0 CHECK (received_before >= 0),  -- before this ledger began
  cost     INTEGER CHECK (cost >= 0),
  UNIQUE (order_id, line)
) STRICT;
CREATE INDEX order_lines_open ON order_lines(item_id) WHERE received < quantity;

CREATE TABLE requests (
  id       INTEGER PRIMARY KEY,
  asked_at TEXT NOT NULL,
  text     TEXT NOT NULL,
  van      INTEGER REFERENCES places(id),
  job      TEXT NOT NULL DEFAULT '',
  site     TEXT NOT NULL DEFAULT '',
  operator INTEGER NOT NULL REFERENCES operators(id)
) STRICT;

CREATE TABLE request_lines (
  id         INTEGER PRIMARY KEY,
  request_id INTEGER NOT NULL REFERENCES requests(id),
  line       INTEGER NOT NULL,
  text       TEXT NOT NULL,
  item_id    INTEGER REFERENCES items(id),
  quantity   INTEGER CHECK (quantity > 0),
  supplied   INTEGER NOT NULL DEFAULT 0 CHECK (supplied >= 0),
  status     TEXT NOT NULL CHECK (status IN ('asked','promised','supplied','withdrawn')),
  UNIQUE (request_id, line),
  CHECK (status <> 'promised' OR (item_id IS NOT NULL AND quantity IS NOT NULL))
) STRICT;
CREATE INDEX request_lines_promised ON request_lines(item_id) WHERE status = 'promised';

CREATE TABLE slips (
  id         INTEGER PRIMARY KEY,
  kind       TEXT NOT NULL CHECK (kind IN ('receipt','put-away','checkout','return','issue','count','correction')),
  posted_at  TEXT NOT NULL,
  operator   INTEGER NOT NULL REFERENCES operators(id),
  reference  TEXT NOT NULL DEFAULT '',
  reason     TEXT NOT NULL DEFAULT '',
  reverses   INTEGER UNIQUE REFERENCES slips(id),
  previous   TEXT NOT NULL,                     -- hash of the slip before: tamper evidence
  hash       TEXT NOT NULL UNIQUE
) STRICT;
CREATE INDEX slips_by_time ON slips(posted_at);

CREATE TABLE moves (
  id         INTEGER PRIMARY KEY,
  slip_id    INTEGER NOT NULL REFERENCES slips(id),
  line       INTEGER NOT NULL,
  item_id    INTEGER NOT NULL REFERENCES items(id),
  lot_id     INTEGER REFERENCES lots(id),
  serial_id  INTEGER REFERENCES serials(id),
  from_place INTEGER NOT NULL REFERENCES places(id),
  to_place   INTEGER NOT NULL REFERENCES places(id),
  quantity   INTEGER NOT NULL CHECK (quantity > 0),
  entered    TEXT NOT NULL DEFAULT '',          -- as keyed, where a case or dozen was meant: "2 case"
  order_line   INTEGER REFERENCES order_lines(id),
  request_line INTEGER REFERENCES request_lines(id),
  CHECK (from_place <> to_place),
  CHECK (serial_id IS NULL OR quantity = 1)
) STRICT;
CREATE UNIQUE INDEX moves_by_slip ON moves(slip_id, line);
CREATE INDEX moves_by_item ON moves(item_id);

CREATE TABLE stock (                             -- kept by trigger from moves, never written otherwise
  item_id  INTEGER NOT NULL REFERENCES items(id),
  place_id INTEGER NOT NULL REFERENCES places(id),
  lot_id   INTEGER NOT NULL DEFAULT 0,           -- 0 = no lot
  quantity INTEGER NOT NULL,
  PRIMARY KEY (item_id, place_id, lot_id)
) STRICT, WITHOUT ROWID;
CREATE INDEX stock_by_place ON stock(place_id, item_id);

CREATE TABLE set_points (
  item_id       INTEGER NOT NULL REFERENCES items(id),
  place_id      INTEGER NOT NULL REFERENCES places(id),
  reorder_point INTEGER NOT NULL CHECK (reorder_point >= 0),
  order_up_to   INTEGER NOT NULL CHECK (order_up_to >= reorder_point),
  source        TEXT NOT NULL DEFAULT 'entered' CHECK (source IN ('entered','imported','planned')),
  operator      INTEGER REFERENCES operators(id),
  since         TEXT NOT NULL DEFAULT '',
  explanation   TEXT NOT NULL DEFAULT '',
  PRIMARY KEY (item_id, place_id)
) STRICT, WITHOUT ROWID;
CREATE INDEX set_points_by_place ON set_points(place_id);

CREATE TABLE set_point_history (
  item_id       INTEGER NOT NULL,
  place_id      INTEGER NOT NULL,
  reorder_point INTEGER NOT NULL,
  order_up_to   INTEGER NOT NULL,
  source        TEXT NOT NULL,
  operator      INTEGER,
  since         TEXT NOT NULL,
  until         TEXT NOT NULL
) STRICT;

CREATE TABLE refusals (                          -- what a rule stopped: the count plan and the lead look here
  id       INTEGER PRIMARY KEY,
  at       TEXT NOT NULL,
  operator INTEGER,
  what     TEXT NOT NULL,
  item_id  INTEGER,
  place_id INTEGER,
  message  TEXT NOT NULL
) STRICT;

CREATE TABLE drafts (                            -- half-entered work, kept as it is typed
  key      TEXT PRIMARY KEY,
  operator INTEGER,
  saved_at TEXT NOT NULL,
  body     TEXT NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TRIGGER moves_keep_stock AFTER INSERT ON moves BEGIN
  INSERT INTO stock (item_id, place_id, lot_id, quantity)
    VALUES (NEW.item_id, NEW.from_place, ifnull(NEW.lot_id, 0), -NEW.quantity)
    ON CONFLICT DO UPDATE SET quantity = quantity - NEW.quantity;
  INSERT INTO stock (item_id, place_id, lot_id, quantity)
    VALUES (NEW.item_id, NEW.to_place, ifnull(NEW.lot_id, 0), NEW.quantity)
    ON CONFLICT DO UPDATE SET quantity = quantity + NEW.quantity;
  SELECT RAISE(ABORT, 'a physical place would go below zero')
    WHERE (SELECT physical FROM places WHERE id = NEW.from_place) = 1
      AND (SELECT quantity FROM stock WHERE item_id = NEW.item_id AND place_id = NEW.from_place
           AND lot_id = ifnull(NEW.lot_id, 0)) < 0;
  SELECT RAISE(ABORT, 'the shelf as a whole holds no stock of its own')
    WHERE (SELECT kind FROM places WHERE id = NEW.from_place) = 'shelf'
       OR (SELECT kind FROM places WHERE id = NEW.to_place) = 'shelf';
END;

CREATE TRIGGER moves_keep_serials AFTER INSERT ON moves WHEN NEW.serial_id IS NOT NULL BEGIN
  SELECT RAISE(ABORT, 'this serial is not where the move takes it from')
    WHERE (SELECT physical FROM places WHERE id = NEW.from_place) = 1
      AND (SELECT place_id FROM serials WHERE id = NEW.serial_id) IS NOT NEW.from_place;
  UPDATE serials SET place_id = NEW.to_place WHERE id = NEW.serial_id;
END;

CREATE TRIGGER moves_keep_orders AFTER INSERT ON moves WHEN NEW.order_line IS NOT NULL BEGIN
  UPDATE order_lines SET received = received + NEW.quantity
    * iif((SELECT reverses FROM slips WHERE id = NEW.slip_id) IS NULL, 1, -1)
    WHERE id = NEW.order_line;
END;

CREATE TRIGGER moves_keep_requests AFTER INSERT ON moves WHEN NEW.request_line IS NOT NULL BEGIN
  UPDATE request_lines SET supplied = supplied + NEW.quantity
    * iif((SELECT reverses FROM slips WHERE id = NEW.slip_id) IS NULL, 1, -1)
    WHERE id = NEW.request_line;
  UPDATE request_lines SET status = iif(supplied >= quantity, 'supplied', 'promised')
    WHERE id = NEW.request_line AND status IN ('promised', 'supplied');
END;

CREATE TRIGGER moves_stay BEFORE UPDATE ON moves BEGIN
  SELECT RAISE(ABORT, 'posted moves are never changed: post a reversing slip');
END;
CREATE TRIGGER moves_last BEFORE DELETE ON moves BEGIN
  SELECT RAISE(ABORT, 'posted moves are never deleted: post a reversing slip');
END;
CREATE TRIGGER slips_stay BEFORE UPDATE ON slips BEGIN
  SELECT RAISE(ABORT, 'posted slips are never changed: post a reversing slip');
END;
CREATE TRIGGER slips_last BEFORE DELETE ON slips BEGIN
  SELECT RAISE(ABORT, 'posted slips are never deleted: post a reversing slip');
END;
CREATE TRIGGER items_last BEFORE DELETE ON items BEGIN
  SELECT RAISE(ABORT, 'items are retired, never deleted');
END;
CREATE TRIGGER places_last BEFORE DELETE ON places BEGIN
  SELECT RAISE(ABORT, 'places are retired, never deleted');
END;
CREATE TRIGGER set_points_remember AFTER UPDATE ON set_points
  WHEN OLD.reorder_point <> NEW.reorder_point OR OLD.order_up_to <> NEW.order_up_to BEGIN
  INSERT INTO set_point_history VALUES
    (OLD.item_id, OLD.place_id, OLD.reorder_point, OLD.order_up_to, OLD.source, OLD.operator, OLD.since, NEW.since);
END;
