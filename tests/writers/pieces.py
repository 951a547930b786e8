"""Typed pieces for the tests of the MEI writer and of the engraving. The music is invented."""

from __future__ import annotations

from pipeline.edition.lead import lead
from pipeline.edition.notate import notate
from pipeline.edition.spell import spell
from pipeline.model.score import Score
from tests import made

FRENCH = made.HEADING + "signs french\nmetre none\n"
MEASURED = made.HEADING + "metre 3\nkey D minor\n"
COMMON = made.HEADING + "metre C\nkey G minor\n"

#: One piece for every group of elements.
PIECES = {
    "slurs, hold, arpeggio": (
        "| 2'r=X,3:3,2:1,1:0 4=3:5\n| 4.=6:1,3:3 8=_3:1 4=4:0,1:1\n| 4=5:0 3:2 3:3,5:- |||",
        MEASURED,
    ),
    "editing": ("| 4!=3:2! 3:3?,2:1 3:2!3:1\n| 4=3:? ?:2 3:* |||", MEASURED),
    "grid and groups": (
        "| 16=1:0 _=1:2 _8=1:3 8/3=1:0 1:2 1:3 4=1:0\n| 16/5:4=1:0 1:2 1:3 1:2 1:0 4=1:1 2=1:0",
        COMMON,
    ),
    "added bar line": ("| 2=3:3 4=7,3:5 |!\n| 4=6:0,3:3 3:2 3:0 |||", MEASURED),
    "repeats, endings": (
        "opens ||.\n|< 4=3:0\n| 2=3:3 4=3:2\nending 1\n| 2.=3:2 .||\nending 2\n| 2.=3:0 .||.\nending end\n"
        "|< 4=3:0\n| 2=3:3 4=3:2 .||",
        MEASURED,
    ),
    "form": (
        "&3v\nsection Prima\ntempo Adagio\n| 1=7,3:3\nmetre 3/2\nkey D major\nsection Seconda\n| 1.=8,3:3\n"
        "retune 8 = F#2\n| 1.'f=8,3:3 |||\nagain start",
        COMMON,
    ),
    "french": ("| 's=a,4c,3b,2b 3d 2a 1a _1c 2d. 2b.. /a 5e 'u=a,3d,2d,1b\n| 5 //a 4 ///a y1? 'd=/a,3r 1n", FRENCH),
    "fingers, ornaments": (
        "| 4=3:2'2i X'p 2:1'T 3:2..\n| 4'e=3:2 3:2'M 'u=7,3:2,2:1 'd=3:2,2:1 |||",
        COMMON.replace("metre", 'mark T = "t" trill, after\nmark M = "x" mordent, above\nmetre'),
    ),
    "wide values": ("| 0=1:0\n| 1=1:0 1=1:2", made.HEADING + "metre none\n"),
    "nothing": ("", made.HEADING),
}


def piece(name: str) -> Score:
    """One of the pieces as a score. Faults are allowed: what cannot be read must be written too."""
    music, heading = PIECES[name]
    sounding, _ = made.resolved(music, heading)
    return notate(spell(lead(sounding)))
