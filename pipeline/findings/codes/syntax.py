"""Findings of the reading itself: words, lines and references that make no sense."""

from __future__ import annotations

from pipeline.model.diagnostics import Code, Severity

SYNTAX = Code(
    "syntax",
    Severity.ERROR,
    "a word that cannot be read",
    "One word of a bar is one event, a bar line or a break. What cannot be read affects its own event only.",
    "| 1=7,3:",
    "| 1=7,3:0",
)
FOREIGN_SIGN = Code(
    "foreign-sign",
    Severity.ERROR,
    "a sign that only looks like one of the encoding",
    "Text programs turn quotes and hyphens into others, and some letters of other alphabets look like Latin ones. Each "
    "such sign is told once, with all its places: switch the automatic correction off and replace them in one go.",
    "| 1=7,3:0’T",
    "| 1=7,3:0'T",
)
VERSION = Code(
    "version",
    Severity.ERROR,
    "the first line does not name the version of the encoding",
    "Files outlive programs: the first line says which version of the encoding they are written in.",
    "title Toccata\ninstrument theorbo in A\nsigns italian\n\n| 1=7,3:0\n",
    "longneck 1\ntitle Toccata\ninstrument theorbo in A\nsigns italian\n\n| 1=7,3:0\n",
)
UNKNOWN_LINE = Code(
    "unknown-line",
    Severity.ERROR,
    "a line that begins with no known sign",
    "Every line is known by its first word. An unknown line is kept as it is and left out of the edition.",
    "| 1=7,3:0\nwords to be typed",
    "| 1=7,3:0\n; words to be typed",
)
HEADING_FORM = Code(
    "heading-form",
    Severity.ERROR,
    "a heading line without its name or value",
    "Heading lines are a key and a value; source, editor, course, mark and layer also have a name.",
    "longneck 1\nsource Trial book\ninstrument theorbo in A\nsigns italian\n\n| 1=7,3:0\n",
    "longneck 1\nsource A = Trial book\ninstrument theorbo in A\nsigns italian\n\n| 1=7,3:0\n",
)
BARE_FIGURE = Code(
    "bare-figure",
    Severity.ERROR,
    "a fret without its course",
    "In Italian signs a bare figure is a diapason, from 7 on. A fret names its course, so that a forgotten "
    "course never passes for a diapason.",
    "| 1=7,3",
    "| 1=7,3:3",
)
UNKNOWN_LETTER = Code(
    "unknown-letter",
    Severity.ERROR,
    "a letter that stands for no fret",
    "French frets are a b c d e f g h i k l m n for 0 to 12; y is another form of i, and r of c. There is no j.",
    "longneck 1\ninstrument theorbo in A\nsigns french\n\n| 1=a,3j\n",
    "longneck 1\ninstrument theorbo in A\nsigns french\n\n| 1=a,3k\n",
)
UNKNOWN_MARK = Code(
    "unknown-mark",
    Severity.ERROR,
    "a small letter that is not a mark in this place",
    "Marks with small letters are fixed: r s u d f b e n in the head, p i m a b s h and 1 to 4 at a stop. "
    "Signs of ornament are capitals, declared in the heading.",
    "| 1=7,3:0't",
    "| 1=7,3:0'T",
)
COURSE_TWICE = Code(
    "course-twice",
    Severity.ERROR,
    "two stops on one course",
    "One string has one fret at a time. Usually a figure is one line off in the source or in the typing.",
    "| 1=7,3:0,3:3",
    "| 1=7,3:0,2:1",
)
SHORTHAND = Code(
    "shorthand",
    Severity.NOTE,
    "a course left out in typing",
    "“:2” means the course of the stop before. It is quick to type and slow to read: the formatter writes it out.",
    "| 2=7,3:0 :3",
    "| 2=7,3:0 3:3",
)
SHORTHAND_UNCLEAR = Code(
    "shorthand-unclear",
    Severity.ERROR,
    "a course left out with no stop before",
    "“:2” means the course of the stop before in the same bar; here none stands before it, or it is unreadable.",
    "| 1=:2",
    "| 1=3:2",
)
EMPTY_BAR = Code(
    "empty-bar",
    Severity.ERROR,
    "a bar with nothing in it",
    "A bar that is empty in the source is typed as “| -”, so that a forgotten bar is not taken for one.",
    "| 1=7,3:0\n|",
    "| 1=7,3:0\n| 1=-",
)
BAR_LINE_INSIDE = Code(
    "bar-line-inside",
    Severity.ERROR,
    "a bar line where none can stand",
    "One line is one bar, so a plain bar line ends it. Inside a bar may stand a removed line, a double line, "
    "or a repeat.",
    "| 1=7,3:0 | 1=7,3:0",
    "| 1=7,3:0\n| 1=7,3:0",
)
DITTO = Code(
    "ditto",
    Severity.ERROR,
    "a ditto that cannot be followed",
    "Where the source says to play a bar again, type ditto, ditto 2, or ditto with a section and a bar.",
    "| 1=7,3:0\n| ditto two",
    "| 1=7,3:0\n| ditto",
)
LINE_WITHOUT_BAR = Code(
    "line-without-bar",
    Severity.ERROR,
    "a line that belongs to a bar, with no bar above it",
    "Voices, text, chord letters, source readings and notes stand directly under their bar.",
    "section Prima\n! 1=7,3:0",
    "section Prima\n| 1=7,3:0",
)
STANZA_WITHOUT_VOICE = Code(
    "stanza-without-voice",
    Severity.ERROR,
    "words with no vocal line above them",
    "Text is sung to the vocal line just above it, syllable by note.",
    "| 1=7,3:0\n1 Ah",
    "| 1=7,3:0\nv 1=D5\n1 Ah",
)
LINE_REPEATED = Code(
    "line-repeated",
    Severity.ERROR,
    "two lines of the same name under one bar",
    "A bar has one line of each name; a long one is continued by +.",
    "| 1=7,3:0\nv 2=D5\nv 2=E5",
    "| 1=7,3:0\nv 2=D5 E5",
)
NOTE_FORM = Code(
    "note-form",
    Severity.ERROR,
    "a note line of no known form",
    "A note says who gives a reason, which word is printed, what another source has, or how to read a sign.",
    '| 1=7,3:0"a\n"a digits confused',
    '| 1=7,3:0"a\n"a EB: digits confused',
)
LABEL_WITHOUT_NOTE = Code(
    "label-without-note",
    Severity.ERROR,
    "a label with no note under its bar",
    "A label sends the reader to a note line of the same bar.",
    '| 1=7,3:0"a',
    '| 1=7,3:0"a\n"a EB: digits confused',
)
NOTE_WITHOUT_LABEL = Code(
    "note-without-label",
    Severity.ERROR,
    "a note with no label in its bar",
    "A note speaks of the sign of its own bar that has its label; a note on the whole bar begins with a quote alone.",
    '| 1=7,3:0\n"a EB: digits confused',
    '| 1=7,3:0\n" EB: digits confused',
)
DIRECTIVE = Code(
    "directive",
    Severity.ERROR,
    "a line between bars that makes no sense",
    "Sections, tempo words, metres, endings, repeats in words and gaps each have a fixed form.",
    "ending first\n| 1=7,3:0\nending end",
    "ending 1\n| 1=7,3:0\nending end",
)
UNDECLARED_SOURCE = Code(
    "undeclared-source",
    Severity.WARNING,
    "a source that the heading does not declare",
    "A siglum stands for a source named in the heading; the first source is the copy-text.",
    "| 1=7,3:0\n!C 1=7,3:3",
    "| 1=7,3:0\n!B 1=7,3:3",
)
UNDECLARED_EDITOR = Code(
    "undeclared-editor",
    Severity.WARNING,
    "initials that the heading does not declare",
    "Every decision has somebody behind it; the heading says who the initials are.",
    '| 1=7,3:0\n" ZZ: digits confused',
    '| 1=7,3:0\n" EB: digits confused',
)
UNDECLARED_LAYER = Code(
    "undeclared-layer",
    Severity.WARNING,
    "a voice or bass line that the heading does not declare",
    "The heading gives each line its name, clef and key signature.",
    "| 1=7,3:0\nv2 1=D5",
    "| 1=7,3:0\nv 1=D5",
)
UNKNOWN_SECTION = Code(
    "unknown-section",
    Severity.WARNING,
    "the name of a section that is not in the piece",
    "The words again and ditto name a section as its section line does.",
    "section Prima\n| 1=7,3:0\nagain Primo",
    "section Prima\n| 1=7,3:0\nagain Prima",
)
