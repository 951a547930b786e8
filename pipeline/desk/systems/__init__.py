"""Where the systems lie on a picture of the source: bands seen on it, and the line of a heading that says so."""

from pipeline.desk.systems.bands import Bands, bands_of
from pipeline.desk.systems.proposing import equal_line, seen_line

__all__ = ["Bands", "bands_of", "equal_line", "seen_line"]
