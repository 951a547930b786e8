"""Resolve: every sign to its sounding pitch and its place in time."""

from pipeline.source.resolve.known import KnownEvents
from pipeline.source.resolve.piece import resolve

__all__ = ["KnownEvents", "resolve"]
