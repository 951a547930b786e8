"""longneck: from a typed tablature to a modern edition."""

__version__ = "0.1.0"
