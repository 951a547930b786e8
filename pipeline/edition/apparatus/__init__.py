"""The critical apparatus: every editorial act of a piece, and every octave read into it, each once."""

from pipeline.edition.apparatus.piece import apparatus

__all__ = ["apparatus"]
