"""Part numbers, supplier numbers and GTINs: found through spacing, hyphens, case and a misread character."""

from __future__ import annotations

import re
from bisect import bisect_left, insort
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from partsbin.requests.types import CatalogueItem

_NOT_ALNUM = re.compile(r"[^0-9A-Z]+")
_SEGMENT = re.compile(r"[0-9A-Z]+")
# Characters the eye and the keyboard swap; both sides of a pair fold to one.
_SIGNS = "0123456789ACDEFGHJKMNPRTUVWXY"
_FOLD = str.maketrans("OQILSBZ", "0011582")

_FRONT = 3
Ids = int | Sequence[int]


def plain(number: str) -> str:
    """A number without spacing, marks and case."""
    return _NOT_ALNUM.sub("", number.upper())


def folded(number: str) -> str:
    """A plain number with look-alike characters made one."""
    return number.translate(_FOLD)


@dataclass(frozen=True, slots=True)
class Hit:
    """Items found by a number: how (``part number``, ``supplier number``, ``GTIN``) and how surely.

    ``exact`` is false when look-alike characters were folded; ``near`` when one character is plainly another.
    """

    item_ids: tuple[int, ...]
    how: str
    exact: bool = True
    near: bool = False
    gap: str = ""


class Numbers:
    """Every number the items are known by."""

    def __init__(self) -> None:
        self._own: dict[str, Ids] = {}
        self._others: dict[str, Ids] = {}
        self._gtins: dict[str, Ids] = {}
        self._folded: dict[str, Ids] = {}
        self._ordered: list[str] | None = None
        self._fronts: set[str] = set()  # how numbers begin, look-alikes made one: most words are told by it to be none
        self._unread: Callable[[], list[dict[str, Ids]]] | None = None

    def add(self, item: CatalogueItem) -> None:
        """Learn an item's numbers."""
        own = plain(item.part_number)
        if self._ordered is not None and own and own not in self._own:
            insort(self._ordered, own)
        _put(self._own, own, item.item_id)
        others = [plain(number) for number in item.supplier_numbers]
        for other in others:
            _put(self._others, other, item.item_id)
        for key in map(folded, (own, *others)):
            _put(self._folded, key, item.item_id)
            self._fronts.add(key[:_FRONT])
        for gtin in item.gtins:
            _put(self._gtins, _gtin(gtin), item.item_id)

    def fill(self, items: Sequence[CatalogueItem]) -> None:
        """Learn the numbers of many items at once."""
        own = [(plain(item.part_number), item.item_id) for item in items]
        others = [(plain(number), item.item_id) for item in items for number in item.supplier_numbers]
        gtins = [(_gtin(gtin), item.item_id) for item in items for gtin in item.gtins]
        for table, pairs in ((self._own, own), (self._others, others), (self._gtins, gtins)):
            _fill(table, pairs)
        alike = [(folded(key), item_id) for key, item_id in (*own, *others)]
        _fill(self._folded, alike)
        self._fronts.update(key[:_FRONT] for key, _ in alike)
        self._ordered = sorted(self._own)

    def fronts(self) -> list[str]:
        """How numbers begin, for writing down."""
        return sorted(self._fronts)

    def tables(self) -> list[dict[str, Ids]]:
        """All that is known, for writing down."""
        return [self._own, self._others, self._gtins, self._folded]

    def take(self, fronts: Iterable[str], read: Callable[[], list[dict[str, Ids]]]) -> None:
        """Take in what was written down; the tables are read once a number is looked for."""
        self._fronts, self._unread, self._ordered = set(fronts), read, None

    def _read(self) -> None:
        if self._unread is not None:
            self._own, self._others, self._gtins, self._folded = self._unread()
            self._unread = None

    def remove(self, item: CatalogueItem) -> None:
        """Forget an item's numbers."""
        own = plain(item.part_number)
        _drop(self._own, own, item.item_id)
        if self._ordered is not None and own and own not in self._own:
            del self._ordered[bisect_left(self._ordered, own)]
        _drop(self._folded, own.translate(_FOLD), item.item_id)
        for number in item.supplier_numbers:
            other = plain(number)
            _drop(self._others, other, item.item_id)
            _drop(self._folded, other.translate(_FOLD), item.item_id)
        for gtin in item.gtins:
            _drop(self._gtins, _gtin(gtin), item.item_id)

    def find(self, text: str) -> Hit | None:
        """Items whose number this text is, or None. Looks for the number as written first, then with look-alikes."""
        key = plain(text)
        if not self.begins(key):
            return None
        self._read()
        if len(key) < 3 and key not in self._own:
            return None
        for table, how in ((self._own, "part number"), (self._others, "supplier number")):
            if key in table:
                return Hit(_ids(table[key]), how)
        if key.isdigit() and 8 <= len(key) <= 14 and _gtin(key) in self._gtins:
            return Hit(_ids(self._gtins[_gtin(key)]), "GTIN")
        alike = self._folded.get(folded(key)) if len(key) >= 4 else None
        return Hit(_ids(alike), "part number", exact=False) if alike is not None else None

    def begins(self, text: str) -> bool:
        """Whether a number may begin like this text: a quick no for most words, and never a wrong one."""
        key = plain(text)
        return key.isdigit() or folded(key)[:_FRONT] in self._fronts

    def owned(self, text: str) -> bool:
        """Whether this is an item's own part number, spacing, marks and case aside."""
        key = plain(text)
        if folded(key)[:_FRONT] not in self._fronts:
            return False
        self._read()
        return key in self._own

    def near(self, text: str) -> Hit | None:
        """Items whose own number is one character away (changed, missing, extra or swapped with its neighbour)."""
        key = folded(plain(text))
        if len(key) < 6:
            return None
        self._read()
        found: list[int] = []
        for number in sorted(self._close(key)):
            found.extend(_ids(self._folded.get(number, ())))
        return Hit(tuple(found[:50]), "part number", exact=False, near=True) if found else None

    def starting(self, text: str) -> Hit | None:
        """Items whose own number starts with this one: the front of a number quoted without its tail."""
        key = plain(text)
        if len(key) < 4 or not self.begins(key):
            return None
        self._read()
        if self._ordered is None:
            self._ordered = sorted(self._own)
        at = bisect_left(self._ordered, key)
        found: list[int] = []
        while at < len(self._ordered) and self._ordered[at].startswith(key) and len(found) < 50:
            found.extend(_ids(self._own[self._ordered[at]]))
            at += 1
        return Hit(tuple(found), "part number", exact=False, near=True, gap="starts so") if found else None

    def _close(self, key: str) -> set[str]:
        """Known numbers one slip away: some thousand look-ups, whatever the catalogue's size."""
        if len(key) > 24:
            return set()
        return {slip for slip in _slips(key) if slip in self._folded and slip != key}


def _slips(key: str) -> Iterable[str]:
    """Every string one changed, missing, extra or swapped character away."""
    for at in range(len(key) + 1):
        front, back = key[:at], key[at:]
        for sign in _SIGNS:
            yield front + sign + back
            yield front + sign + back[1:]
        yield front + back[1:]
        if len(back) > 1:
            yield front + back[1] + back[0] + back[2:]


def segments(number: str) -> Iterable[str]:
    """The parts of a number that carry a figure and are long enough to be quoted alone."""
    parts = _SEGMENT.findall(number.upper())
    if len(parts) < 2:
        return ()
    return (part for part in parts if len(part) >= 3 and not part.isalpha())


def _gtin(number: str) -> str:
    """GTIN-8, -12, -13 and -14 of one article differ only in leading zeros."""
    return plain(number).lstrip("0")


def _ids(found: Ids) -> tuple[int, ...]:
    return (found,) if isinstance(found, int) else tuple(found)


def _put(table: dict[str, Ids], key: str, item_id: int) -> None:
    if not key:
        return
    have = table.get(key)
    if have is None:
        table[key] = item_id
    elif item_id not in _ids(have):
        table[key] = (*_ids(have), item_id)


def _fill(table: dict[str, Ids], pairs: list[tuple[str, int]]) -> None:
    """Put many numbers; where none repeats, which is usual, at once."""
    fresh = dict(pairs)
    if len(fresh) == len(pairs) and "" not in fresh and table.keys().isdisjoint(fresh):
        table.update(fresh)
        return
    for key, item_id in pairs:
        _put(table, key, item_id)


def _drop(table: dict[str, Ids], key: str, item_id: int) -> None:
    left = tuple(one for one in _ids(table.get(key, ())) if one != item_id)
    if not left:
        table.pop(key, None)
    else:
        table[key] = left[0] if len(left) == 1 else left
