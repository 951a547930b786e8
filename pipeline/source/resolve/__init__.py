"""Resolve: every sign to its sounding pitch and its place in time."""

from pipeline.source.resolve.piece import resolve

__all__ = ["resolve"]
