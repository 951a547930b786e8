"""Findings about size: where reading or listing ends. The limits stand in ``pipeline/model/limits.py``."""

from __future__ import annotations

from pipeline.model.diagnostics import Code, Severity

TOO_MUCH = Code(
    "too-much",
    Severity.ERROR,
    "more than one piece can hold",
    "Everything has a limit far beyond any real piece, so that no text can hold up the work on a whole folder. "
    "What lies beyond the limit is left out of the edition, and stays in the file as it is. Usually something else "
    "has slipped into the file, or a key was stuck.",
    "| 1=7>3:0>3:1>3:0>3:1>3:0>3:1>3:0>3:1>3:0>3:1>3:0>3:1>3:0>3:1>3:0>3:1>3:0>3:1>3:0>3:1>3:0>3:1>3:0>3:1>3:0>3:1>3:0"
    ">3:1>3:0>3:1>3:0>3:1>3:0\n",
    "| 1=7>3:0>3:1>3:0\n",
    fixed=True,
)

FINDINGS_CUT_OFF = Code(
    "findings-cut-off",
    Severity.ERROR,
    "more findings than are listed",
    "Ten thousand findings are listed for one piece, in order of place. Correct the first ones: usually one cause, "
    "such as "
    "a wrong system of signs, has brought about all the others.",
    "",
    "",
    fixed=True,
)
