"""Words in, ranked items out. Pure over an index built from rows."""
