"""Findings about the work on a piece: what it may take, and processes that end before it is done."""

from __future__ import annotations

from pipeline.model.diagnostics import Code, Severity

OUT_OF_TIME = Code(
    "out-of-time",
    Severity.ERROR,
    "a piece that took too long",
    "The time for one piece is limited, so that no piece can hold up a whole folder. This one was stopped at "
    "the limit; all others have been done. A long piece on a slow or busy machine can need more: raise "
    "--time-limit. If a short piece reaches the limit, that is a fault of the program: please keep the file and "
    "report it.",
    "",
    "",
    fixed=True,
)

OUT_OF_MEMORY = Code(
    "out-of-memory",
    Severity.ERROR,
    "a piece that took too much memory",
    "The memory for one piece is limited, so that no piece can bring down the machine. This one needed more "
    "and was stopped; all others have been done. A very long piece can need more: raise --memory-limit.",
    "",
    "",
    fixed=True,
)

PROGRAM_DIED = Code(
    "program-died",
    Severity.ERROR,
    "a fault of the program that ended it",
    "Each piece is worked on in a process of its own, which can end without a message: the engraver crashes, or the "
    "system stops it. Here it did, on this piece; all others have been done. Please keep the file and report it.",
    "",
    "",
    fixed=True,
)

NOT_WORKED_ON = Code(
    "not-worked-on",
    Severity.ERROR,
    "a piece that no machine worked on",
    "The machines that were to work on this piece went away, or gave no answer, before it was done. Nothing is wrong "
    "with the piece. Run the same command again: what is done already is not done again.",
    "",
    "",
    fixed=True,
)
