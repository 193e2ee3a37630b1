"""A program in a real pseudo-terminal: start it, type into it, look at its screen.

    with Terminal([sys.executable, "-m", "partsbin"], rows=24) as terminal:
        terminal.wait_for("Counter")
        terminal.type("2 left shims\\r")
        assert "SHIM" in terminal.text()

The screen is kept by pyte, a terminal emulator, so what is asserted is what a person would see. Every wait is for a
condition with a limit, never for a time.
"""

from __future__ import annotations

import fcntl
import os
import pty
import re
import select
import signal
import struct
import subprocess
import termios
import threading
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from types import TracebackType

import pyte

ESCAPE, TAB, ENTER, UP, DOWN, RIGHT, LEFT = "\x1b", "\t", "\r", "\x1b[A", "\x1b[B", "\x1b[C", "\x1b[D"
F = {number: f"\x1bO{letter}" for number, letter in zip(range(1, 5), "PQRS", strict=True)} | {
    number: f"\x1b[{code}~" for number, code in zip(range(5, 13), (15, 17, 18, 19, 20, 21, 23, 24), strict=True)
}
"""Function keys as an xterm sends them."""

_BEYOND_PYTE = re.compile(
    rb"\x1b\[[<>=][0-9;:]*[A-Za-z]|\x1b\[\?[0-9;]*\$p"
)  # keyboard and mode queries it would print


class Terminal:
    """A program running in a pseudo-terminal of ``columns`` by ``rows``; use it in a ``with`` block."""

    def __init__(
        self,
        command: Sequence[str],
        *,
        columns: int = 80,
        rows: int = 24,
        cwd: Path | str | None = None,
        env: dict[str, str] | None = None,
    ) -> None:
        self._screen = pyte.Screen(columns, rows)
        self._stream = pyte.ByteStream(self._screen)
        self.output = bytearray()
        self._shown = 0  # bytes of the output that the emulator has seen
        self._master, slave = pty.openpty()
        fcntl.ioctl(slave, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))
        surroundings = {**os.environ, "TERM": "xterm-256color", "TEXTUAL_ANIMATIONS": "none", **(env or {})}
        surroundings.pop("NO_COLOR", None) if "NO_COLOR" not in (env or {}) else None
        self.process = subprocess.Popen(
            command, stdin=slave, stdout=slave, stderr=slave, cwd=cwd, env=surroundings, start_new_session=True
        )
        os.close(slave)
        self._reader = threading.Thread(target=self._read, daemon=True)
        self._reader.start()

    def __enter__(self) -> Terminal:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def _read(self) -> None:
        while True:
            ready, _, _ = select.select([self._master], [], [], 0.2)
            if not ready:
                if self.process.poll() is not None:
                    return
                continue
            try:
                data = os.read(self._master, 65536)
            except OSError:
                return
            if not data:
                return
            self.output += data

    def send(self, data: str | bytes) -> None:
        """Write ``data`` in one go."""
        raw = data.encode() if isinstance(data, str) else data
        while raw:
            raw = raw[os.write(self._master, raw) :]

    def type(self, text: str, gap: float = 0.09) -> None:
        """Type ``text`` a character at a time, ``gap`` seconds apart: 0.09 are fingers, 0 to 0.02 a scanner."""
        due = time.monotonic()
        for letter in text:
            self.send(letter)
            due += gap
            time.sleep(max(0.0, due - time.monotonic()))

    def paste(self, text: str) -> None:
        """Paste ``text`` as a terminal with bracketed paste does."""
        self.send(f"\x1b[200~{text}\x1b[201~")

    def lines(self) -> list[str]:
        """The rows of the screen, without trailing blanks."""
        fresh = bytes(self.output[self._shown :])  # emulated here, not while reading: typing must not stall
        self._shown += len(fresh)
        self._stream.feed(_BEYOND_PYTE.sub(b"", fresh))
        return [line.rstrip() for line in self._screen.display]

    def text(self) -> str:
        """The whole screen as one string."""
        return "\n".join(self.lines())

    def wait_until(self, condition: Callable[[], bool], limit: float = 20.0, what: str = "the condition") -> None:
        """Wait until ``condition`` holds; fails with the screen shown after ``limit`` seconds."""
        end = time.monotonic() + limit
        while not condition():
            if time.monotonic() > end:
                message = f"{what} did not come within {limit:.0f} s. The screen:\n{self.text()}"
                raise AssertionError(message)
            time.sleep(0.02)

    def wait_for(self, words: str, limit: float = 20.0) -> None:
        """Wait until ``words`` stand on the screen."""
        self.wait_until(lambda: words in self.text(), limit, repr(words))

    def wait_for_end(self, limit: float = 20.0) -> int:
        """Wait until the program ends and return its exit status."""
        self.wait_until(lambda: self.process.poll() is not None, limit, "the end of the program")
        return self.process.returncode

    def close(self) -> None:
        """End the program if it still runs."""
        if self.process.poll() is None:
            os.killpg(self.process.pid, signal.SIGTERM)
            try:
                self.process.wait(5)
            except subprocess.TimeoutExpired:
                os.killpg(self.process.pid, signal.SIGKILL)
                self.process.wait()
        self._reader.join(2)
        os.close(self._master)
