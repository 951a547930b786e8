"""Proof pages: a piece's pages beside its text, and the page of all pieces."""

from pipeline.writers.proof.index import write_index
from pipeline.writers.proof.page import write_proof

__all__ = ["write_index", "write_proof"]
