"""CSV in and out, GS1 scan reading, audit reading, backups."""

from partsbin.exchange.scan import Scan, read_scan

__all__ = ["Scan", "read_scan"]
