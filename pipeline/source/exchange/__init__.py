"""Tablature that exists already, in MEI or MusicXML, taken over as text."""

from pipeline.source.exchange.take import ENDINGS, Taken, take

__all__ = ["ENDINGS", "Taken", "take"]
