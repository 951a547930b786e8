"""Engrave: MEI and the score become SVG pages."""

from pipeline.writers.engrave.drawing import OPTIONS
from pipeline.writers.engrave.pages import Engraved, engrave
from pipeline.writers.engrave.paper import A4, LETTER, Paper

__all__ = ["A4", "LETTER", "OPTIONS", "Engraved", "Paper", "engrave"]
