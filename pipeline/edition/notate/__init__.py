"""Notate: bars, rests, ties, beams, stems, accidentals; every decision of notation is taken here."""

from pipeline.edition.notate.copy import notate_copy
from pipeline.edition.notate.piece import notate

__all__ = ["notate", "notate_copy"]
