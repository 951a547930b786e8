"""Partbook: one part of a notation file (MusicXML, ABC, kern, MIDI) as a line of notes and words."""

from pipeline.source.partbook.read import read_part

__all__ = ["read_part"]
