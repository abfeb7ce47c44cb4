"""Which heat or oven temperature, for quality."""
