"""Findings that reading a text never brings about: they speak of the machine, the run, an option, drawn pages,
or a piece moved to another key or instrument."""

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
        "character-without-face",
    }
)
