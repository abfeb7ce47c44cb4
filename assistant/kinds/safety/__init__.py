"""Safe temperatures, reheating, thawing, food left out, power cuts, cooling, and the special cases."""
