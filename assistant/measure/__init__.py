"""Exact amounts, units and spoon-and-cup rounding: the lowest layer, above nothing."""
