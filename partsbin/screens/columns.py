"""Tables that leave out columns with nothing in them: at 80 columns the room is the description's."""

from __future__ import annotations

from collections.abc import Sequence

from partsbin.screens.clipping import FittedLines


def show_told(
    table: FittedLines,
    headings: Sequence[str],
    rows: Sequence[Sequence[str]],
    *,
    giving: str,
    optional: Sequence[str],
    keys: Sequence[str] = (),
) -> None:
    """Show rows, without the ``optional`` columns that are empty in all of them; column ``giving`` is cut to fit."""
    told = [at for at, name in enumerate(headings) if name not in optional or any(row[at] for row in rows)]
    names = keys or [str(at) for at in range(len(rows))]
    kept = [headings[at] for at in told]
    table.show(kept, [[row[at] for at in told] for row in rows], names, kept.index(giving))
