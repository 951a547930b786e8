"""Figure: what a continuo player expects over a bass that has no figures of its own; names of chords on request."""

from pipeline.edition.figure.bass import figured, figured_under, intended_bass, named
from pipeline.edition.figure.columns import BassNote, Tone, columns
from pipeline.edition.figure.names import chord_name
from pipeline.edition.figure.numbers import figure_for, meant

__all__ = [
    "BassNote",
    "Tone",
    "chord_name",
    "columns",
    "figure_for",
    "figured",
    "figured_under",
    "intended_bass",
    "meant",
    "named",
]
