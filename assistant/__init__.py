"""A local assistant that answers questions about a cooking programme's own recipes."""

__version__ = "0.3.0"
