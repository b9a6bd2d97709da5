"""The test patch: which cells, where they lie, how they are drawn."""
