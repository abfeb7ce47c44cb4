"""Safe temperatures, reheating, thawing, food left out, power cuts, cooling, special cases."""
