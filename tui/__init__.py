"""Everything that needs a terminal."""
