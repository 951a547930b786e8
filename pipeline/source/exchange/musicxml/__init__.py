"""Tablature in MusicXML: notes with string and fret, what is sung beside them, signs and words over them."""

from pipeline.source.exchange.musicxml.piece import read_musicxml

__all__ = ["read_musicxml"]
