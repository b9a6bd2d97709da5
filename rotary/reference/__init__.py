"""Metals, coatings and heads as data files; every value with its source."""
