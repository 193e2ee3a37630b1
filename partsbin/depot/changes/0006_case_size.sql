-- A drink may come in cases of another size than usual: "2 cs of 35" on a receipt line says so, and its lot keeps it.

CREATE TRIGGER moves_keep_case_size AFTER INSERT ON moves
  WHEN NEW.lot_id IS NOT NULL AND NEW.entered LIKE '% of %'
   AND (SELECT kind FROM places WHERE id = NEW.from_place) = 'supplier'
BEGIN
  UPDATE lots SET per_case = nullif(CAST(substr(NEW.entered, instr(NEW.entered, ' of ') + 4) AS INTEGER), 0)
    WHERE id = NEW.lot_id;
END;
