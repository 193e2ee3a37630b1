"""The people: who is at the desk, by initials, badge and PIN."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from partsbin.depot import clock
from partsbin.depot.file import Depot, Row
from partsbin.errors import Refused

ROLES = ("clerk", "technician", "lead")
_FREE_TRIES = 2
_FIRST_WAIT, _LONGEST_WAIT = 5, 900  # seconds


@dataclass(frozen=True, slots=True)
class Operator:
    """Someone who posts slips."""

    id: int
    initials: str
    name: str
    role: str
    van: int | None = None
    has_pin: bool = False


def _operator(row: Row) -> Operator:
    return Operator(row["id"], row["initials"], row["name"], row["role"], row["van"], row["pin_hash"] != "")


def the_operator(depot: Depot, initials: str = "") -> Operator:
    """Return the operator with these initials; without initials, the first lead.

    Refuses initials nobody has, naming who there is. Asks for no PIN: that is ``signed_on``.
    """
    if initials:
        row = depot.one("SELECT * FROM operators WHERE initials = ? AND retired = 0", (initials.strip(),))
    else:
        row = depot.one("SELECT * FROM operators WHERE retired = 0 ORDER BY role = 'lead' DESC, id LIMIT 1")
    if row is None:
        known = ", ".join(operator.initials for operator in operators(depot))
        message = f"Nobody here has the initials “{initials}”. Known: {known or 'nobody yet'}."
        raise Refused(message)
    return _operator(row)


def by_badge(depot: Depot, badge: str) -> Operator | None:
    """Return the operator who wears this badge, or None."""
    row = depot.one("SELECT * FROM operators WHERE badge = ? AND retired = 0", (badge.strip(),))
    return _operator(row) if row else None


def operators(depot: Depot) -> list[Operator]:
    """Return everybody, by initials."""
    return [_operator(row) for row in depot.all("SELECT * FROM operators WHERE retired = 0 ORDER BY initials")]


def signed_on(depot: Depot, initials: str, pin: str) -> Operator:
    """Return the operator with these initials if the PIN is theirs; one without a PIN needs none.

    Every try is counted before it is judged, so that tries side by side are slowed too: after two wrong ones in a row
    the next must wait 5 s, then twice as long each time, up to 15 minutes. The count is kept in the file.
    """
    operator = the_operator(depot, initials)
    if not operator.has_pin:
        return operator
    _count_try(depot, operator)
    if not _fits(str(depot.value("SELECT pin_hash FROM operators WHERE id = ?", (operator.id,))), pin):
        raise _no_entry(depot, operator, f"That is not the PIN of {operator.initials}.")
    with depot.write():
        depot.run("UPDATE operators SET failed = 0, locked_until = '' WHERE id = ?", (operator.id,))
    return operator


def _count_try(depot: Depot, operator: Operator) -> None:
    now = datetime.now(UTC)
    with depot.write():
        failed, until = tuple(
            depot.one("SELECT failed, locked_until FROM operators WHERE id = ?", (operator.id,)) or ()
        )
        if until:  # never longer than the wait it stands for, should the clock have gone back since
            left = min((clock.local_time(until, clock.zone("UTC")) - now).total_seconds(), _wait(failed))
            if left > 0:
                said = f"Too many wrong PINs for {operator.initials}: wait {left:.0f} s, then try again."
                raise _no_entry(depot, operator, said)
        wait = _wait(failed + 1)
        locked = clock.as_kept(now + timedelta(seconds=wait)) if wait else ""
        depot.run("UPDATE operators SET failed = failed + 1, locked_until = ? WHERE id = ?", (locked, operator.id))


def _no_entry(depot: Depot, operator: Operator, said: str) -> Refused:
    from partsbin.depot.refusals import note_afterwards

    note_afterwards(depot, operator, "sign on", said)
    return Refused(said)


def _wait(failed: int) -> int:
    """Return how many seconds must pass after this many wrong PINs in a row."""
    return 0 if failed <= _FREE_TRIES else min(_FIRST_WAIT << min(failed - _FREE_TRIES - 1, 10), _LONGEST_WAIT)


def _fits(kept: str, pin: str) -> bool:
    import argon2  # imported where a PIN is judged: most openings need none

    try:
        return argon2.PasswordHasher().verify(kept, pin)
    except (argon2.exceptions.VerificationError, argon2.exceptions.InvalidHashError):
        return False


def pin_hash(pin: str) -> str:
    """Return what is kept of a PIN (Argon2id); refuses one that is not 4 to 12 digits, or the same digit throughout."""
    import argon2

    if not (pin.isascii() and pin.isdigit() and 4 <= len(pin) <= 12):
        message = "A PIN is 4 to 12 digits."
        raise Refused(message)
    if len(set(pin)) == 1:
        message = "A PIN of one digit repeated is tried first; choose another."
        raise Refused(message)
    return argon2.PasswordHasher().hash(pin)
