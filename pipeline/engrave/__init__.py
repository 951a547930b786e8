"""Engrave: MEI and the score become SVG pages."""

from pipeline.engrave.pages import Engraved, engrave

__all__ = ["Engraved", "engrave"]
