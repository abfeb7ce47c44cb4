"""A local assistant that answers questions about a cooking programme's own recipes."""

__version__ = "0.2.0"
