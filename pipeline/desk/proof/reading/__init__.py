"""Proof-reading as work: which bars are read, told by what they hold, and what the reader notes."""

from pipeline.desk.proof.reading.contents import BarText, bar_texts
from pipeline.desk.proof.reading.document import read_progress, write_progress
from pipeline.desk.proof.reading.found import marks_found
from pipeline.desk.proof.reading.marks import Marks, Note, NotMarksError, Progress, progress_of, read_marks

__all__ = [
    "BarText",
    "Marks",
    "NotMarksError",
    "Note",
    "Progress",
    "bar_texts",
    "marks_found",
    "progress_of",
    "read_marks",
    "read_progress",
    "write_progress",
]
