"""Figure: what a continuo player expects over a bass that has no figures of its own; names of chords on request."""

from pipeline.stages.figure.bass import figured, intended_bass, named
from pipeline.stages.figure.columns import BassNote, Tone, columns
from pipeline.stages.figure.names import chord_name
from pipeline.stages.figure.numbers import figure_for, meant

__all__ = ["BassNote", "Tone", "chord_name", "columns", "figure_for", "figured", "intended_bass", "meant", "named"]
