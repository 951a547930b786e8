"""The moved piece typed: places as signs, voices and keys transposed, all else as it was."""

from pipeline.desk.move.rewrite.piece import rewritten

__all__ = ["rewritten"]
