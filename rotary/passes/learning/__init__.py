"""Readings of cells and depths, and what they teach."""
