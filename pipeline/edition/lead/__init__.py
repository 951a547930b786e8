"""Lead: which line a sound belongs to, how long it lasts, which octave it means. Facts in, a reading out."""

from pipeline.edition.lead.joint import NO_SONG, lead
from pipeline.edition.lead.questions import questions

__all__ = ["NO_SONG", "lead", "questions"]
