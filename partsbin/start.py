"""Where the program starts. Ctrl-C is answered from here on, so as little as possible is imported before it is."""

import signal
import sys
import time
from types import FrameType

_STOPPED = 130
_AGAIN = 2.0
"""Seconds in which Ctrl-C pressed again is the same wish to stop, not a second one into the midst of the first."""

_pressed = -_AGAIN


def _stop(_signal: int, _frame: FrameType | None) -> None:
    global _pressed
    before, _pressed = _pressed, time.monotonic()
    if _pressed - before >= _AGAIN:
        raise KeyboardInterrupt


def _missed(what: "sys.UnraisableHookArgs") -> None:
    """Have Ctrl-C count a moment later where it came into a callback, such as an import's, that can raise nothing."""
    global _pressed
    if not issubclass(what.exc_type, KeyboardInterrupt):
        sys.__unraisablehook__(what)
        return
    from threading import Timer

    _pressed = -_AGAIN
    again = Timer(0.05, signal.raise_signal, (signal.SIGINT,))
    again.daemon = True
    again.start()


def main() -> int:
    """Run the command line; returns its exit status, 130 where Ctrl-C ended it, however early or often pressed."""
    try:
        if signal.getsignal(signal.SIGINT) is signal.default_int_handler:  # “&” in a shell script has it ignored
            signal.signal(signal.SIGINT, _stop)
            sys.unraisablehook = _missed
        from partsbin.cli import main as run

        status = run()
        signal.signal(signal.SIGINT, signal.SIG_DFL)  # all is said and done: nothing is left that could complain
        return status
    except KeyboardInterrupt:
        signal.signal(signal.SIGINT, signal.SIG_IGN)
        print("Stopped. What was not finished was not posted.", file=sys.stderr)  # noqa: T201 - as every command says it
        return _STOPPED
