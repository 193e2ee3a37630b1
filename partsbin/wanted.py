"""Whoever asked for long work may have left it: the work asks now and then whether it is still wanted."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar

from partsbin.errors import Refused

_left: ContextVar[Callable[[], bool]] = ContextVar("left", default=lambda: False)


@contextmanager
def while_wanted(left: Callable[[], bool]) -> Iterator[None]:
    """Work done in here ends, at the next ``still_wanted``, once ``left`` says that nobody waits for it."""
    before = _left.set(left)
    try:
        yield
    finally:
        _left.reset(before)


def still_wanted() -> None:
    """End work that nobody waits for any more; said between two parts of it that each take a moment."""
    if _left.get()():
        message = "Stopped before it was done; nothing was changed."
        raise Refused(message)
