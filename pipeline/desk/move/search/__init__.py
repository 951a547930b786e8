"""The search for a fingering: ways to play each chord alone (``ways``), weighed by what they ask of the hands
(``costs``), joined to the cheapest path through the piece (``paths``)."""

from pipeline.desk.move.search.paths import placed

__all__ = ["placed"]
