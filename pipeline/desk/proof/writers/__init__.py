"""Proof pages: a piece's pages beside its text, and the page of all pieces."""

from pipeline.desk.proof.writers.index import write_index
from pipeline.desk.proof.writers.page import write_proof

__all__ = ["write_index", "write_proof"]
