"""What a written file will do on this item: a forward model that knows none of the formulas that drew it."""
