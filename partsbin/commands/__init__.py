"""One module a group of commands; a skin over the desk's flows."""
