-- People sign on: wrong PINs are counted and slowed; what a rule stopped is a chain of its own and stays as it was written.

ALTER TABLE operators ADD COLUMN failed INTEGER NOT NULL DEFAULT 0 CHECK (failed >= 0);   -- wrong PINs in a row
ALTER TABLE operators ADD COLUMN locked_until TEXT NOT NULL DEFAULT '';                   -- UTC; no PIN is tried before

ALTER TABLE refusals ADD COLUMN hash TEXT NOT NULL DEFAULT '';   -- ties each to the one before; empty = before this change
CREATE TRIGGER refusals_stay BEFORE UPDATE ON refusals BEGIN
  SELECT RAISE(ABORT, 'refusals are never changed');
END;
CREATE TRIGGER refusals_last BEFORE DELETE ON refusals BEGIN
  SELECT RAISE(ABORT, 'refusals are never deleted');
END;
