"""Lead: which line a sound belongs to, how long it lasts, which octave it means. Facts in, a reading out."""

from pipeline.stages.lead.joint import lead
from pipeline.stages.lead.questions import questions

__all__ = ["lead", "questions"]
