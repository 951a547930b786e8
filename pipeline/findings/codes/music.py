"""Findings of resolving: signs that are well formed, but cannot sound as they stand."""

from __future__ import annotations

from pipeline.model.diagnostics import Code, Severity

FRETTED_DIAPASON = Code(
    "fretted-diapason",
    Severity.ERROR,
    "a fret on a diapason",
    "Diapasons run beside the fingerboard on their own long neck; the left hand cannot reach them, so they "
    "sound open or not at all. A fret on one is nearly always a slip: the wrong course, a figure one line "
    "off, or a bass that the piece wants tuned a semitone higher. The sign is left out of the transcription. On lutes "
    "without a long neck all courses lie over the fingerboard; on another instrument that has more than six there, the "
    "heading says so: stopped 7.",
    """\
longneck 1
title A fretted diapason
instrument theorbo in A
metre C

| 2=8:1,4:2 7,4:0 |||
""",
    """\
longneck 1
title An open diapason
instrument theorbo in A
metre C

| 2=8,4:2 7,4:0 |||
""",
)

NO_SUCH_COURSE = Code(
    "no-such-course",
    Severity.ERROR,
    "a course that the instrument does not have",
    "The heading names the instrument, and with it how many courses there are. A sign on a course beyond the "
    "last one has no pitch. Either the sign is wrong, or the piece wants an instrument with more basses: then "
    "name another one, or declare the missing course in the heading.",
    """\
longneck 1
title A seventh course on six
instrument lute in G, 6 courses
metre C

| 2=7,4:0 6:0,4:2 |||
""",
    """\
longneck 1
title A seventh course declared
instrument lute in G, 6 courses
course 7 = F2
metre C

| 2=7,4:0 6:0,4:2 |||
""",
)

FRET_PAST_NECK = Code(
    "fret-past-neck",
    Severity.ERROR,
    "a fret beyond the last one",
    "Tied frets end at the eighth or ninth, frets glued to the body at the twelfth. A higher figure "
    "cannot be stopped; two figures were probably run together, or a diapason sign was typed on a course.",
    """\
longneck 1
title Past the neck
instrument theorbo in A
metre C

| 2=7,1:13 8,1:0 |||
""",
    """\
longneck 1
title On the neck
instrument theorbo in A
metre C

| 2=7,1:3 8,1:0 |||
""",
)

NO_CHORD_BEFORE = Code(
    "no-chord-before",
    Severity.ERROR,
    "a chord to be repeated, but none stands before",
    "The sign = under a rhythm sign says that the chord before sounds again without being printed again. "
    "Nothing has sounded yet, so there is nothing to repeat. Type the chord itself.",
    """\
longneck 1
title Nothing to repeat
instrument theorbo in A
metre C

| 2== 7,4:0 |||
""",
    """\
longneck 1
title Something to repeat
instrument theorbo in A
metre C

| 2=7,4:0 2== |||
""",
)

NO_SIGN_IN_FORCE = Code(
    "no-sign-in-force",
    Severity.ERROR,
    "no rhythm sign holds yet",
    "A rhythm sign holds until the next one, but in measured music the first event needs one: nothing "
    "before it can tell how long it lasts. Where the source has none, supply it: 4!= over the event says that "
    "the edition adds a sign that the source lacks. A piece without measure says so: metre none.",
    """\
longneck 1
title No sign at the start
instrument theorbo in A
metre C

| 7,4:0 5:0 2=8,4:2 |||
""",
    """\
longneck 1
title A sign supplied
instrument theorbo in A
metre C

| 4!=7,4:0 5:0 2=8,4:2 |||
""",
)

SIGN_ALONE = Code(
    "sign-alone",
    Severity.NOTE,
    "a sign that lengthens only its own event",
    "Unmeasured preludes print a rhythm sign here and there, for the event that it stands over; what follows is free "
    "again. So it is read where no metre is declared, signs are few and the bars would not come out equal if they "
    "held on. Music that is measured and only prints no sign of metre says so: metre none = 4/4.",
    """\
longneck 1
title A sign among free notes
instrument theorbo in A
metre none

| 2=7 3:0 3:2 3:3 2:0 2:1 |||
""",
    """\
longneck 1
title Measured, and no sign of metre
instrument theorbo in A
metre none = 4/4

| 2=7 4=3:0 3:2
| 1=7,3:3 |||
""",
)

NO_SUCH_BAR = Code(
    "no-such-bar",
    Severity.ERROR,
    "a place to repeat that does not exist",
    "A ditto or an again sends the player to bars or to a section typed elsewhere. The place it names is not "
    "there: too few bars stand before it, or no section bears that name. Names must agree to the letter.",
    """\
longneck 1
title Ditto of nothing
instrument theorbo in A
metre C

| ditto
| 1=7,4:0,3:0 |||
""",
    """\
longneck 1
title Ditto of a bar
instrument theorbo in A
metre C

| 1=7,4:0,3:0
| ditto |||
""",
)

GROUP_INCOMPLETE = Code(
    "group-incomplete",
    Severity.ERROR,
    "a group that is not full",
    "A group such as three in the time of two needs all its members before the next rhythm sign, the next "
    "group or the end of the bar; only then does the time come out even. Count the events under the group "
    "sign: one is missing, or a sign stands one event early.",
    """\
longneck 1
title Two of three
instrument theorbo in A
metre C

| 4=7,3:0 8/3=1:0 1:2 2=8,2:1 |||
""",
    """\
longneck 1
title Three of three
instrument theorbo in A
metre C

| 4=7,3:0 8/3=1:0 1:2 1:3 2=8,2:1 |||
""",
)

NOTHING_HELD = Code(
    "nothing-held",
    Severity.ERROR,
    "a hold line that begins nowhere",
    "A hold says that a string struck earlier is still to ring when the line reaches this event. No note "
    "was struck on that course before, so there is nothing to keep. The course is probably wrong, or the "
    "struck note where the line begins was forgotten.",
    """\
longneck 1
title A hold from nowhere
instrument theorbo in A
metre C

| 2=7,3:0 3:2,5:- |||
""",
    """\
longneck 1
title A hold from its note
instrument theorbo in A
metre C

| 2=5:0,3:0 3:2,5:- |||
""",
)

TEMPO_NUMBER = Code(
    "tempo-number",
    Severity.ERROR,
    "a tempo that nobody can follow",
    "Tempo words may end in a number, the editor's: a rhythm sign as the piece types it, an equals sign, and how many "
    "of it go to a minute. The edition prints it in its own values, and the practice file is played so. This one is "
    "too slow or too fast for any music; the usual pace is taken instead.",
    "tempo Adagio 2=600\n| 1=7,4:0",
    "tempo Adagio 4=60\n| 1=7,4:0",
)
