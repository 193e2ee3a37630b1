"""CSV in and out, GS1 scan reading, audit reading, backups."""
