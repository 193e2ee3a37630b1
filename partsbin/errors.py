"""The one exception the program shows to people."""

from __future__ import annotations


class Refused(Exception):  # noqa: N818 - a refusal is an answer, not a fault
    """A rule said no: the message is one clear sentence on what was wrong, where, and what to do.

    The command line prints it and exits 1; a screen shows it and keeps what was entered.
    """
