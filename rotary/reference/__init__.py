"""Metals, coatings and lasers as data files; every value with its source."""
