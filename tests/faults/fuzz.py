"""Noise where files, scans and messages are expected: always words, never a traceback."""

from __future__ import annotations

FAULTS: tuple[object, ...] = ()
