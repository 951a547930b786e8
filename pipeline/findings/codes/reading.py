"""What the reading asks the editor: doubtful octaves, pins that cannot be followed, an undeclared bass scale."""

from __future__ import annotations

from pipeline.model.diagnostics import Code, Severity

OCTAVE_DOUBTFUL = Code(
    "octave-doubtful",
    Severity.NOTE,
    "a line that may be meant an octave above the sound",
    "The first courses of a theorbo sound an octave below where a lute's would. Where a line falls on them it may be "
    "meant an octave higher, or the source may mean just what sounds. The reading is not sure here, so it changes "
    "nothing and asks: the edition prints (8?). Pin the octave at the stop to settle it.",
    "| 4=8,4:0,1:0 1:2 3:0 2:1\n| 4=X,4:2,2:1 3:3 3:1 3:5\n| 4=8,4:2,3:1 1:2 2:3 1:2\n| 4=7,4:2,2:0 2:0 3:2 1:0\n"
    "| 1=11,4:0,3:1,2:0 |||",
    "| 4=8,4:0,3:1 3:3 3:0 3:1\n| 4=X,4:2,3:1 3:3 3:1 3:5\n| 1=11,4:0,3:1 |||",
)

PIN_IMPOSSIBLE = Code(
    "pin-impossible",
    Severity.WARNING,
    "a pinned reading that cannot be followed",
    "The editor's reading at a stop always wins, but no string sounds on after it is struck again, and a voice holds "
    "one note at a time. The pin is followed as far as it goes.",
    '| 4=3:2"a 3:0 2=3:2\n"a > lasts 1',
    '| 4=3:2"a 3:0 2=3:2\n"a > lasts 4',
)

SCALE_QUESTION = Code(
    "bass-scale",
    Severity.NOTE,
    "fretted notes that suggest another tuning of a diapason",
    "The diapasons are retuned to suit the key of each piece, and the source seldom says how. No scale is declared "
    "here, so the usual one is used; but the fretted notes of the piece fit another better. Nothing is changed: "
    "declare the scale in the heading if the suggestion is right.",
    "| 2=X,4:2,3:3,2:2 8,5:4,3:1,1:0\n| 2=8,3:2,1:0 X,5:4,3:3,1:0\n| 2=8,5:4,3:3,1:0 7,4:4,3:0\n"
    "| 2=X,4:2,3:3,2:2 8,5:4,3:1,1:0\n| 1=X,5:4,4:2,3:3 |||",
    "| 2=X,4:2,3:3,2:1 8,4:2,3:1\n| 1=X,4:2,3:3,2:1 |||",
)
