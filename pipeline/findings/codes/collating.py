"""Findings of collating: what keeps two sources from being held against each other, and what no reading can say."""

from __future__ import annotations

from pipeline.model.diagnostics import Code, Severity

CANNOT_COLLATE = Code(
    "cannot-collate",
    Severity.ERROR,
    "two texts that cannot be held against each other",
    "The readings of another source are put into a text sign for sign, on the same courses. That cannot be done where "
    "the courses are tuned otherwise, where one text is typed in other note values, where a bar is not written out, or "
    "where the two have hardly anything in common. Nothing is written.",
    "",
    "",
)

NOT_COLLATED = Code(
    "not-collated",
    Severity.WARNING,
    "a difference between two sources that no reading says",
    "Readings of another source are written for the tablature. Lines between bars, declarations of the heading, sung "
    "lines, words and chord letters of the other source are held against the text too, and what differs is told, but "
    "not written: note it yourself where it matters, under its own label.",
    "",
    "",
)

SOURCE_BREAKS_OFF = Code(
    "source-breaks-off",
    Severity.NOTE,
    "a text that breaks off before the other ends",
    "The last bar of one text has no double or final bar line, and the other goes on: the text is taken for a part of "
    "what its source has, and nothing is said of the bars beyond. Where the source does end there, type its bar line.",
    "",
    "",
)
