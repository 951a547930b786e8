"""How two pieces differ in music, bar by bar, whatever the way in which they are typed."""

from pipeline.desk.compare.differ.piece import differences

__all__ = ["differences"]
