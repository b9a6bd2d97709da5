"""Geometry and numbers turned into characters; without a terminal, so that a test can read them."""
