"""Where the program starts. Ctrl-C is answered from here on, so as little as possible is imported before it is."""

import signal
import sys

_STOPPED = 130


def main() -> int:
    """Run the command line; returns its exit status, 130 where Ctrl-C ended it, however early or often pressed."""
    try:
        from partsbin.cli import main as run

        status = run()
        signal.signal(signal.SIGINT, signal.SIG_DFL)  # all is said and done: nothing is left that could complain
        return status
    except KeyboardInterrupt:
        signal.signal(signal.SIGINT, signal.SIG_IGN)
        print("Stopped. What was not finished was not posted.", file=sys.stderr)  # noqa: T201 - as every command says it
        return _STOPPED
