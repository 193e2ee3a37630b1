"""Where the files that ship with the program lie: in a checkout at top level, in a wheel inside the package."""

from __future__ import annotations

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent


def shipped(room: str) -> Path:
    """Return the folder ``seed`` or ``labels`` as shipped, from a wheel or a checkout.

    Raises FileNotFoundError when the installation lacks it.
    """
    for folder in (_PACKAGE / f"_{room}", _PACKAGE.parent / room):
        if folder.is_dir():
            return folder
    message = f"the installation lacks its {room} folder; install partsbin again"
    raise FileNotFoundError(message)
