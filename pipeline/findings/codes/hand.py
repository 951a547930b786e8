"""Findings of playing: hands, strings, and what the source cannot have meant."""

from __future__ import annotations

from pipeline.model.diagnostics import Code, Severity

WIDE_STRETCH = Code(
    "wide-stretch",
    Severity.WARNING,
    "a stretch that no hand reaches",
    "The lowest and the highest fret of this chord lie further apart than index and little finger can reach: "
    "16.5 cm along the string, with the string length that the heading declares. Where it declares none, the "
    "shortest of the trade is taken: 70 cm for a theorbo, 55 cm for a lute. Open strings do not count. A figure "
    "was probably confused (1 and 7, 3 and 5), or stands one line off.",
    """\
longneck 1
title Seven frets apart
instrument theorbo in A
strings 84 cm, 160 cm
metre C

| 2=7,4:1,3:8 7,4:0,3:3 |||
""",
    """\
longneck 1
title Two frets apart
instrument theorbo in A
strings 84 cm, 160 cm
metre C

| 2=7,4:1,3:3 7,4:0,3:3 |||
""",
)

TOO_MANY_FINGERS = Code(
    "too-many-fingers",
    Severity.WARNING,
    "more stopped courses than fingers",
    "The left hand has four fingers for the fingerboard. One finger can lie across several courses at the same "
    "fret as long as no course between them sounds at a lower fret or open, and the mark 'b over the event "
    "says that it does. Counted so, this chord still needs five fingers or more.",
    """\
longneck 1
title Five fingers
instrument theorbo in A
metre C

| 1=6:1,5:4,4:2,3:4,2:1,1:3 |||
""",
    """\
longneck 1
title Three fingers
instrument theorbo in A
metre C

| 1=6:0,5:2,4:2,3:1,2:0 |||
""",
)

SLUR_LEAVES_COURSE = Code(
    "slur-leaves-course",
    Severity.WARNING,
    "a slur that leaves its course",
    "Under a slur only the first note is plucked, and the left hand sounds the next on the same string. The "
    "event before has nothing on this course, so there is no sounding string to slur from. Either the course "
    "is wrong, or the slur belongs elsewhere; if the source has it so, !_ removes it for the edition.",
    """\
longneck 1
title A slur to another course
instrument theorbo in A
metre C

| 2=7,3:0 4=3:2 _2:3 |||
""",
    """\
longneck 1
title A slur on one course
instrument theorbo in A
metre C

| 2=7,3:0 4=3:2 _3:3 |||
""",
)

FRET_ON_BODY = Code(
    "fret-on-body",
    Severity.WARNING,
    "a fret beyond the tied ones",
    "Gut frets can be tied as far as the eighth or so; those above were played on the bare neck or on strips "
    "of wood glued to the belly, and many instruments have none. Such high notes exist, but a figure that "
    "stands alone up there is more often a misreading, or a diapason sign typed on a course.",
    """\
longneck 1
title High on the belly
instrument theorbo in A
metre C

| 2=7,1:X 7,1:3 |||
""",
    """\
longneck 1
title On the neck
instrument theorbo in A
metre C

| 2=7,1:7 7,1:3 |||
""",
)

DIAPASON_CLASH = Code(
    "diapason-clash",
    Severity.WARNING,
    "a diapason against the notes above it",
    "Diapasons are tuned in a scale to suit the key of the piece. Here an open bass sounds a natural where "
    "the notes above it have the sharp or flat of the same letter and never the bass's own note, or the other "
    "way round. The player probably retuned that course, and the heading does not say so: declare the scale.",
    """\
longneck 1
title F against F sharp
instrument theorbo in A
metre C

| 2=8,5:0,3:3,2:2 4=8,4:2,2:2 3:3 |||
""",
    """\
longneck 1
title F sharp in the bass
instrument theorbo in A
diapasons 8 = F#2
metre C

| 2=8,5:0,3:3,2:2 4=8,4:2,2:2 3:3 |||
""",
)

STRING_WOULD_BREAK = Code(
    "string-would-break",
    Severity.WARNING,
    "a string that gut would not bear",
    "A plain gut string breaks when its frequency in hertz times its length in metres passes about 248, "
    "however thin it is. At the declared pitch standard and string length this course lies above that. Look at "
    "pitch, length and tuning again. The figure is a rule of thumb: tune up slowly, mind your eyes, and ask a maker.",
    """\
longneck 1
title A first course too high
instrument lute in G, 6 courses
pitch 440
strings 70 cm, 70 cm
metre C

| 1=6:0,4:0,3:0 |||
""",
    """\
longneck 1
title A bearable first course
instrument lute in G, 6 courses
pitch 440
strings 60 cm, 60 cm
metre C

| 1=6:0,4:0,3:0 |||
""",
)

UNDECLARED_MARK = Code(
    "undeclared-mark",
    Severity.WARNING,
    "a mark whose sign is not declared",
    "Ornament signs vary from source to source. A capital letter therefore means nothing by itself: the "
    "heading says once which printed sign it stands for, what it means in this source, and where it is set.",
    """\
longneck 1
title What is T?
instrument theorbo in A
metre C

| 1=7,4:0,3:0'T |||
""",
    """\
longneck 1
title T is a trill
instrument theorbo in A
metre C
mark T = "t" trill, after

| 1=7,4:0,3:0'T |||
""",
)

BASS_RISES = Code(
    "bass-rises",
    Severity.NOTE,
    "a bass tuned above the one before it",
    "The basses beside the fingerboard descend from course to course; only of a 13th is it known that it was tuned "
    "high. Here an 8th to 12th course is declared higher than its neighbour: usually an octave figure or a letter is "
    "wrong.",
    """\
longneck 1
title An octave too high
instrument theorbo in A
diapasons 8 = F3
metre C

| 1=8,4:2,2:1 |||
""",
    """\
longneck 1
title In its place
instrument theorbo in A
diapasons 8 = F2
metre C

| 1=8,4:2,2:1 |||
""",
)
