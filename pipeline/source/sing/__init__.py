"""Sing: the other layers of every bar (vocal lines, basses, words, chord letters) in time."""

from pipeline.source.sing.song import sing

__all__ = ["sing"]
