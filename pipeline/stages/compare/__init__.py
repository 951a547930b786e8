"""How two pieces differ in music, bar by bar, whatever the way in which they are typed."""

from pipeline.stages.compare.piece import differences

__all__ = ["differences"]
