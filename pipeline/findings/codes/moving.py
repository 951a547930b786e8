"""Findings of moving tablature to another key or instrument: what the moved text cannot keep."""

from __future__ import annotations

from pipeline.model.diagnostics import Code, Severity

OCTAVE_CHANGED = Code(
    "octave-changed",
    Severity.WARNING,
    "a note that the moved tablature has in another octave",
    "The piece was moved to another key or instrument, and no course gives this note in its octave within reach of the "
    "hand, or only at the price of something dearer. It is played an octave higher or lower. The bar is marked in the "
    "moved text; other places are named there: type one in, and refinger with --keep.",
    "",
    "",
)

STOP_LEFT_OUT = Code(
    "stop-left-out",
    Severity.WARNING,
    "a note that the moved tablature lacks",
    "The piece was moved to another key or instrument, and this note has no place there beside the others of its "
    "chord: its course is taken, or no hand reaches it. The bar is marked in the moved text.",
    "",
    "",
)

NOT_CARRIED_OVER = Code(
    "not-carried-over",
    Severity.WARNING,
    "something typed that the moved tablature cannot keep",
    "The piece was moved to another key or instrument. What is typed here belongs to the old fingering or the old key, "
    "and has no counterpart in the new: a finger on what is now an open string, a slur whose notes lie on two courses, "
    "letters of chords, lengths of strings. The bar is marked in the moved text.",
    "",
    "",
)

OTHER_FINGERING = Code(
    "other-fingering",
    Severity.NOTE,
    "a chord of the moved tablature that can be fingered otherwise as well",
    "The piece was moved to another key or instrument, and at this place two fingerings are as good as each other by "
    "all that the search weighs. The player chooses: type the other one into the moved text, and refinger with --keep.",
    "",
    "",
)

SET_NOT_MADE = Code(
    "set-not-made",
    Severity.ERROR,
    "a piece of which no set for the rehearsal is made",
    "Whoever plays or sings from a set cannot see what is wrong with the piece, so one with errors gets none; nor does "
    "one that cannot be moved where it was asked to go. A set that was made earlier stays as it is.",
    "",
    "",
    fixed=True,
)
