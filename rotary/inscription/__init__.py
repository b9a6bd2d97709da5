"""Inscriptions on small parts: what fits, whether it can be read, the files, a list of names."""
