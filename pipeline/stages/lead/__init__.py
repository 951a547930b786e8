"""Lead: which line a sound belongs to and how long it lasts. Facts in, a reading out."""

from pipeline.stages.lead.plain import lead

__all__ = ["lead"]
