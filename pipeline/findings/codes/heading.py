"""Findings of the heading: what it declares and cannot mean."""

from __future__ import annotations

from pipeline.model.diagnostics import Code, Severity

HEADING_VALUE = Code(
    "heading-value",
    Severity.ERROR,
    "a heading value that cannot be read",
    "Each heading line has a form of its own. A line that cannot be read is ignored; all others are used.",
    "longneck 1\ninstrument theorbo in A\npitch high\n\n| 1=7,3:0\n",
    "longneck 1\ninstrument theorbo in A\npitch 440\n\n| 1=7,3:0\n",
)
HEADING_REPEATED = Code(
    "heading-repeated",
    Severity.ERROR,
    "a heading line given twice",
    "Sources, editors, courses, marks, layers and severities may repeat under other names, and remarks add up; all "
    "else is given once. The first line is used.",
    "longneck 1\ninstrument theorbo in A\nmetre C\nmetre 3/2\n\n| 1=7,3:0\n",
    "longneck 1\ninstrument theorbo in A\nmetre C\n\n| 1=7,3:0\nmetre 3/2\n| 1.=7,3:0\n",
)
NO_INSTRUMENT = Code(
    "no-instrument",
    Severity.ERROR,
    "no instrument declared",
    "Tablature says where to put the fingers; only the tuning makes pitches of it. Without an instrument "
    "line the piece is read for a theorbo in A, which may be wrong in every note.",
    "longneck 1\nsigns italian\n\n| 1=7,3:0\n",
    "longneck 1\ninstrument theorbo in A\nsigns italian\n\n| 1=7,3:0\n",
)
UNKNOWN_INSTRUMENT = Code(
    "unknown-instrument",
    Severity.ERROR,
    "an instrument of unknown tuning",
    "An instrument is a preset (longneck instruments lists them), or any name with a course line for every course "
    "from 1 on. The piece is read as far as its signs go and its tablature is printed; no pitch is claimed.",
    "longneck 1\ninstrument lute in Q\n\n| 1=3:0\n",
    "longneck 1\ninstrument lute in Q\ncourse 1 = A4\ncourse 2 = E4\ncourse 3 = B3\n\n| 1=3:0\n",
)
TUNING = Code(
    "tuning",
    Severity.ERROR,
    "a course or pitch that cannot be tuned",
    "Pitches are a letter, an accidental and an octave (C4 is middle C); strings of one course are joined by +. "
    "Courses are counted without a gap.",
    "longneck 1\ninstrument theorbo in A\ndiapasons 8 = H2\n\n| 1=7,3:0\n",
    "longneck 1\ninstrument theorbo in A\ndiapasons 8 = F#2\n\n| 1=7,3:0\n",
)
METRE = Code(
    "metre",
    Severity.ERROR,
    "a metre that cannot be read",
    "Metres are C, C|, O, a figure, a fraction, or none. Where the source's sign means something else than usual, "
    "declare it: metre 3 = 3/2.",
    "| 1=7,3:0\nmetre waltz\n| 1=7,3:0",
    "| 1=7,3:0\nmetre 3/2\n| 1.=7,3:0",
)
KEY = Code(
    "key",
    Severity.ERROR,
    "a key that cannot be read",
    "A key is a tonic and a mode, as in D minor or G dorian; a signature that differs follows a comma: "
    "G minor, 1 flat.",
    "| 1=7,3:0\nkey H minor\n| 1=7,3:0",
    "| 1=7,3:0\nkey B minor\n| 1=7,3:0",
)
SEVERITY = Code(
    "severity",
    Severity.ERROR,
    "a severity that cannot be set",
    "A heading can say how serious a kind of finding is: error, warning or note. It can hide none, and findings on "
    "the file or the program stay errors. Kinds of findings have the names that longneck explain lists.",
    "longneck 1\ninstrument theorbo in A\nseverity bar-to-short = note\n\n| 1=7,3:0\n",
    "longneck 1\ninstrument theorbo in A\nseverity bar-too-short = note\n\n| 1=7,3:0\n",
)
