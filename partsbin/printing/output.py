"""Files written whole or not at all."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path

from partsbin.errors import Refused


def write_whole(file: Path, content: bytes) -> None:
    """Write ``content`` to ``file`` so that it appears complete; what was there before stays until then.

    Raises Refused when it cannot be written.
    """
    part = file.with_name(f"{file.name}.part")
    try:
        part.write_bytes(content)
        part.replace(file)
    except OSError as fault:
        with suppress(OSError):
            part.unlink(missing_ok=True)
        raise Refused(f"{file} cannot be written: {fault.strerror}. Choose another folder or file name.") from fault
