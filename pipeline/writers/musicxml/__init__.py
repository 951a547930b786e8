"""MusicXML 4.0 for notation programs, one function for each group of elements."""

from pipeline.writers.musicxml.document import write_musicxml

__all__ = ["write_musicxml"]
