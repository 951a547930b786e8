"""Engrave: MEI and the score become SVG pages."""

from pipeline.engrave.drawing import OPTIONS
from pipeline.engrave.pages import Engraved, engrave

__all__ = ["OPTIONS", "Engraved", "engrave"]
