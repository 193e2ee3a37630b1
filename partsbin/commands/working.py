"""Work that takes longer than a moment: one line on stderr says what is done, how far it is, and how to stop it."""

from __future__ import annotations

import sys
import threading
import time

_QUIET = 1.0
"""Seconds before anything is said: what is quick needs no words."""

_AGAIN = 0.25
_AGAIN_IN_A_LOG = 10.0
"""Seconds between two words: on a terminal one line is written over, in a log each is a line of its own."""


class Working:
    """What this run of the program is at. ``rows``, ``labels``, ``pages`` and ``part`` hear how far it is.

    Nothing here stops the work: Ctrl-C raises where the work is, and what was not finished is rolled back.
    """

    def __init__(self) -> None:
        self._what = self._detail = ""
        self._began = 0.0
        self._wide = 0
        self._over = threading.Event()
        self._lock = threading.Lock()

    def begin(self, what: str) -> None:
        """Begin; nothing is said before a second has passed."""
        if not self._what:
            self._what, self._detail, self._began, self._over = what, "", time.monotonic(), threading.Event()
            threading.Thread(target=self._run, args=(self._over,), daemon=True).start()

    def end(self) -> None:
        """Wipe the line away: it is done, or somebody is asked something."""
        self._over.set()
        self._what = ""
        self.wipe()

    def rows(self, count: int) -> None:
        """Hear how many rows are done."""
        self._detail = f"{count:,} rows"

    def labels(self, count: int) -> None:
        """Hear how many labels are done."""
        self._detail = f"{count:,} labels"

    def pages(self, left: int, of: int) -> None:
        """Hear how much of a file is left to copy."""
        self._detail = f"{100 * (of - left) // max(of, 1)} % copied"

    def part(self, what: str) -> None:
        """Hear which part of the work begins."""
        self._detail = what

    def wipe(self) -> None:
        """Take the line off the terminal, so that others may write there."""
        with self._lock:
            if self._wide:
                print("\r" + " " * self._wide, end="\r", file=sys.stderr, flush=True)
                self._wide = 0

    def _run(self, over: threading.Event) -> None:
        tty = sys.stderr is not None and sys.stderr.isatty()
        wait = _QUIET
        while not over.wait(wait):
            with self._lock:
                if not over.is_set():
                    self._show(tty=tty)
            wait = _AGAIN if tty else _AGAIN_IN_A_LOG

    def _show(self, *, tty: bool) -> None:
        seconds = f"{time.monotonic() - self._began:.0f} s"
        line = f"{self._what} … {' · '.join(word for word in (self._detail, seconds, 'Ctrl-C stops') if word)}"
        if tty:
            print("\r" + line.ljust(self._wide), end="", file=sys.stderr, flush=True)
            self._wide = len(line)
        else:
            print(line, file=sys.stderr, flush=True)


working = Working()
"""The one there is: a run of the program is one command."""
