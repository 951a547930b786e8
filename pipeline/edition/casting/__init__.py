"""Casting off: which measures begin a system, which are too long for one, and how large a piece is printed."""

from pipeline.edition.casting.lines import Cast, cast_off

__all__ = ["Cast", "cast_off"]
