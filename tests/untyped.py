"""Findings that reading a text never brings about: they speak of the machine, the run, an option, drawn pages,
a piece moved to another key or instrument, tablature taken over from another kind of file, or two texts held against
each other."""

from __future__ import annotations

UNTYPED = frozenset(
    {
        "file-too-large",
        "file-unreadable",
        "folder-unreadable",
        "cannot-write",
        "internal-fault",
        "out-of-time",
        "out-of-memory",
        "program-died",
        "not-worked-on",
        "findings-cut-off",
        "range-too-narrow",
        "ranges-and-voices",
        "octave-changed",
        "stop-left-out",
        "not-carried-over",
        "other-fingering",
        "set-not-made",
        "cannot-collate",
        "not-collated",
        "source-breaks-off",
        "character-without-face",
        "exchange-file-broken",
        "exchange-file-unsafe",
        "not-taken-over",
        "pitch-against-tuning",
        "no-tuning",
        "assumed-in-taking-over",
        "changed-by-heading",
        "marks-unreadable",
        "book-file",
        "book-text",
        "book-part",
    }
)
