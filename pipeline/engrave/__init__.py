"""Engrave: MEI and the score become SVG pages."""

from pipeline.engrave.drawing import OPTIONS
from pipeline.engrave.pages import Engraved, engrave
from pipeline.engrave.paper import A4, LETTER, Paper

__all__ = ["A4", "LETTER", "OPTIONS", "Engraved", "Paper", "engrave"]
