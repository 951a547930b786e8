"""Notate: bars, rests, ties, beams, stems, accidentals; every decision of notation is taken here."""

from pipeline.stages.notate.copy import notate_copy
from pipeline.stages.notate.piece import notate

__all__ = ["notate", "notate_copy"]
