"""Resolve: every sign to its sounding pitch and its place in time."""

from pipeline.stages.resolve.piece import resolve

__all__ = ["resolve"]
