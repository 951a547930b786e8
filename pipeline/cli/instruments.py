"""``longneck instruments``."""

from __future__ import annotations

import sys

from pipeline.cli.show import console, show_lines
from pipeline.cli.show.instruments import instrument_list


def instruments() -> None:
    """List the instruments that a heading can name, with the pitches of their courses.

    Any of them can be changed in the heading, course by course; one that is not listed is declared in the
    same way, from the first course to the last.

    \b
    In a heading:
        instrument theorbo in A
        diapasons 8 = F#2, 11 = C#2
        course 7 = G2+G3
    """
    target = console(sys.stdout)
    show_lines(target, instrument_list())
