"""Hostile input: what is tried (``targets``), how it is made up (``maker``, ``guided``, ``families``) and run."""
