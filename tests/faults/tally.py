"""What is counted for each fault, and the one table it all ends in."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field

_MACHINE_TALK = re.compile(
    r"Traceback|sqlite3\.|OperationalError|IntegrityError|DatabaseError|database is locked|disk I/O error|"
    r"database disk image|Errno|constraint failed|unable to open database"
)


@dataclass
class Tally:
    """One fault: how often it was tried and what came of it. All but ``tried`` should stay zero."""

    fault: str
    tried: int = 0
    lost: int = 0
    doubled: int = 0
    damaged: int = 0
    unclear: int = 0
    note: str = ""
    details: list[str] = field(default_factory=list)

    @property
    def wrong(self) -> int:
        """Everything that should not be."""
        return self.lost + self.doubled + self.damaged + self.unclear

    def told(self, sentence: str) -> None:
        """Judge what a person was shown: words, not the machine's talk."""
        if not sentence.strip() or _MACHINE_TALK.search(sentence):
            self.unclear += 1
            self.details.append(f"unclear: {sentence[:300]!r}")

    def harmed(self, what: str) -> None:
        """Count a damage and keep what it was."""
        self.damaged += 1
        self.details.append(f"damaged: {what[:300]}")

    def missed(self, what: str) -> None:
        """Count a loss and keep what it was."""
        self.lost += 1
        self.details.append(f"lost: {what[:300]}")


def table(tallies: Sequence[Tally]) -> list[str]:
    """Return the table: one line a fault, a total below."""
    head = ("FAULT", "TRIED", "LOST", "DOUBLED", "DAMAGED", "UNCLEAR MESSAGE", "")
    rows = [(t.fault, *map(str, (t.tried, t.lost, t.doubled, t.damaged, t.unclear)), t.note) for t in tallies]
    sums = [str(sum(getattr(t, name) for t in tallies)) for name in ("tried", "lost", "doubled", "damaged", "unclear")]
    cells = [head, *rows, ("all", *sums, "")]
    widths = [max(len(row[i]) for row in cells) for i in range(6)]
    out = []
    for row in cells:
        figures = (cell.rjust(width) for cell, width in zip(row[1:6], widths[1:], strict=True))
        out.append("  ".join((row[0].ljust(widths[0]), *figures, row[6])).rstrip())
    return out
