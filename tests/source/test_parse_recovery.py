"""What bad input gets: the exact message, place and hint; and that nothing else suffers from it."""

from __future__ import annotations

import pytest

from pipeline.model.signs import Event, Unread
from pipeline.model.tablature import Bar, HeadingLine, UnreadLine
from pipeline.model.text import SourceText, Span
from pipeline.source.parse import parse
from tests.source.typed import FIRST, bar, places, read, told

ITALIAN = "Italian figures are read here: 3:2, diapasons 7 8 9 X 11 …; for letters, declare signs french"
FRENCH_BARE = "Bare figures are the diapasons 4 5 6 7 (courses 11 to 14); a stop is its course and a letter: 3c"

#: One word in a bar of its own ("| word"): start, end, slug, message, hint.
WORDS = {
    "3:": (5, 5, "syntax", "Expected a fret after “3:”.", ""),
    "7,3": (
        5,
        6,
        "bare-figure",
        "A bare figure is a diapason from 7 on, not “3”.",
        "A fret needs its course: type 3:3",
    ),
    "4": (
        *(3, 4, "bare-figure", "A bare figure is a diapason from 7 on, not “4”."),
        "A fret needs its course: type 3:4; a value is joined to its event by =: 4=3:0",
    ),
    "3:2,": (7, 7, "syntax", "Expected a stop after “3:2,”.", "No white space stands inside a chord: 3:2,3:2"),
    "4=": (5, 5, "syntax", "Expected a stop after “4=”.", "Alone, - is a place left blank; 4=- is a rest."),
    "3c": (4, 5, "syntax", "Expected a colon after “3”, not “c”.", ITALIAN),
    "a": (3, 4, "syntax", "Expected a stop, not “a”.", ITALIAN),
    "x": (3, 4, "syntax", "Expected a stop, not “x”.", "The tenth course is a capital X"),
    "X:3": (3, 4, "syntax", "Expected a course, not “X”.", "Course 10 is typed 10 before a colon."),
    "0:3": (3, 4, "syntax", "Expected a course, not “0”.", "Courses are counted from 1"),
    "3:123": (
        *(5, 8, "syntax", "Expected a fret from 0 to 12 after “3:”, not “123”."),
        "One stop, one fret: 3:1 3:0",
    ),
    "3:2-": (6, 7, "syntax", "Expected the end of the stop after “3:2”, not “-”.", "A hold has no fret: 3:-"),
    "3:2_": (
        *(6, 7, "syntax", "Expected the end of the stop after “3:2”, not “_”."),
        "A slur stands before the second stop: 3:2 _3:2",
    ),
    "[3:2]": (
        *(3, 8, "syntax", "Expected a stop, not “[3:2]”."),
        "Square brackets are not used: an added sign is 3:2!",
    ),
    "(3:2": (
        *(3, 7, "syntax", "Expected a stop, not “(3:2”."),
        "Round brackets are not used: a slur is _ before its second note.",
    ),
    "4:2+3:2": (
        *(6, 10, "syntax", "Expected the end of the stop after “4:2”, not “+3:2”."),
        "Stops struck together are joined by a comma: 4:2,3:2",
    ),
    "3:2'": (
        *(7, 7, "syntax", "Expected a mark after “3:2'”."),
        "A mark is a letter, or 1 to 4 for a finger of the left hand.",
    ),
    "3:2't": (
        *(7, 8, "unknown-mark", "No mark “t” is known at a stop."),
        "Known here: 1 2 3 4 p i m a b s h; capitals are declared in the heading.",
    ),
    "3:2'r": (
        *(7, 8, "unknown-mark", "No mark “r” is known at a stop."),
        "'r (arpeggio) stands in the head, before =",
    ),
    "'p=3:2": (4, 5, "unknown-mark", "No mark “p” is known over an event.", "'p (thumb) stands at its stop"),
    "3:2'2T!": (
        *(9, 10, "syntax", "Expected a plain mark after “3:2'2T”, not “!”."),
        "An edited mark stands alone after its own tick: 'T!",
    ),
    "3:2’T": (
        6,
        7,
        "foreign-sign",
        "Expected “'”, not “’” (right single quotation mark).",
        "Perhaps 3:2'T",
    ),
    "5=3:2": (3, 4, "syntax", "Expected a value, not “5”.", "Values are 0 (breve) 1 2 4 8 16 32 64"),
    "4...=3:2": (6, 7, "syntax", "Expected two dots at most after “4..”, not “.”.", ""),
    "8_=3:2": (4, 5, "syntax", "Expected = after “8”, not “_”.", "The beam stands before the value: _8="),
    ".4=3:2": (3, 5, "syntax", "Expected a value or a mark before =, not “.4”.", "A dot follows its value: 4.="),
    "8/=3:2": (
        *(5, 5, "syntax", "Expected how many notes form the group after “8/”."),
        "A triplet is 8/3=, five in the time of four 16/5:4=",
    ),
    "=3:2": (
        *(3, 3, "syntax", "Expected a value or a mark before =."),
        "A stop stands alone: 3:2; = alone is the chord as before.",
    ),
    "4=5=3:2": (
        *(5, 10, "syntax", "Expected the end of the event, not “5=3:2”."),
        "White space separates events: 4=3:2 8=3:3",
    ),
    '3:2"A': (
        *(7, 8, "syntax", 'Expected the small letter of a label after “3:2"”, not “A”.'),
        'A label is a double quote and a letter: "a',
    ),
    "_!!3:5": (
        *(5, 9, "syntax", "Expected a stop after “_!”, not “!3:5”."),
        "A stop that the edition leaves out has no slur of its own.",
    ),
    "3:0,3:3": (
        *(7, 10, "course-twice", "Course 3 occurs twice in one event."),
        "A string has one fret at a time; is a figure one line off? Stops played one after another are joined by >",
    ),
    ":2": (
        *(3, 5, "shorthand-unclear", "No course is known for the shorthand “:2”."),
        "The stop before it in this bar must have a course: type 3:2",
    ),
    "||||": (
        *(3, 7, "syntax", "Expected an event or a bar line, not “||||”."),
        "Bar lines are | || ||| .|| ||. .||. |-|, with ! after it if added, before it if removed.",
    ),
    "ditto two": (
        *(3, 12, "ditto", "Expected a number of bars after “ditto”, not “two”."),
        "Type ditto, or ditto 2 (the two bars before), or ditto Prima 3 (bar 3 of Prima).",
    ),
}
FRENCH_WORDS = {
    "4:c": (5, 6, "syntax", "Expected ?, * or - after “4:”, not “c”.", "Before a letter the colon is left out: 4c"),
    "4:2": (
        *(5, 6, "syntax", "Expected ?, * or - after “4:”, not “2”."),
        "French letters are read here: 3c; for figures, declare signs italian",
    ),
    "3j": (4, 5, "unknown-letter", "There is no fret called “j”.", "There is no j: the letter after i is k"),
    "/o": (
        *(4, 5, "unknown-letter", "There is no fret called “o”."),
        "Letters are a b c d e f g h i k l m n, with y for i and r for c",
    ),
    "3C": (4, 5, "unknown-letter", "There is no fret called “C”.", "Letters are small: c"),
    "9": (4, 4, "syntax", "Expected a letter after “9”.", FRENCH_BARE),
    "3?": (4, 5, "syntax", "Expected a letter after “3”, not “?”.", "Where no letter is read, the colon stands: 3:?"),
}
NOTE_FORMS = 'A note is "a EB: reason, "a : printed word, "a !B reading of source B, or "a > voice 2'
PINS = "Pins are voice 2 · octave up, octave down, octave kept · lasts 2. · lasts to b"

#: Whole lines: line, start, end, slug, message, hint.
LINES = {
    "|2=X 3:2": (
        *(1, 1, 5, "syntax", "Expected a bar line alone, not “|2=X”."),
        "White space separates the bar line from what follows; || stands at the end, opens ||. at the start.",
    ),
    "|": (1, 1, 2, "empty-bar", "Expected an event after “|”.", "An empty bar is typed | -"),
    "| 3:2 | 3:3": (
        *(1, 7, 8, "bar-line-inside", "Expected no “|” inside a bar: one bar is one line."),
        "Begin a new line with |",
    ),
    "| 3:2 !|": (
        *(1, 7, 9, "bar-line-inside", "Expected an event after a removed bar line: it stands inside its bar."),
        "Join the next bar to this line: | 2=1:0 !| 2:0",
    ),
    "| 3:2\nfoo bar": (
        *(2, 1, 4, "unknown-line", "No kind of line begins with “foo”."),
        'Lines begin with | + v b c 1 to 9 ! " & or a word such as section; comments with ;',
    ),
    "| 3:2\n4=3:2 3:3": (
        *(2, 1, 6, "unknown-line", "No kind of line begins with “4=3:2”."),
        "A bar begins with |, and a line that continues it with +",
    ),
    "| 3:2\ntitle x": (
        *(2, 1, 6, "unknown-line", "No kind of line begins with “title”."),
        "Heading lines stand before the music.",
    ),
    "section A\nv 2=D5": (
        *(2, 1, 2, "line-without-bar", "Expected the bar above this “v” line."),
        "The lines of a bar follow it directly; a bar begins with |",
    ),
    "| 3:2\n1 Ah": (
        *(2, 1, 2, "stanza-without-voice", "Expected a vocal line above stanza 1."),
        "Words stand under their v line; a stanza not underlaid is typed stanza 4 …",
    ),
    "| 3:2\nv D5\nv E5": (
        *(3, 1, 2, "line-repeated", "A second “v” line stands under this bar."),
        "A long line is continued by +",
    ),
    "| 3:2\nv H5": (
        *(2, 3, 5, "syntax", "Expected a note from A to G or -, not “H5”."),
        "B natural is B, B flat is Bb.",
    ),
    '| 3:2"a': (
        *(1, 6, 8, "label-without-note", "Expected a note line for the label “a”."),
        'Type under the bar: "a EB: … or "a : printed word',
    ),
    '| 3:2\n"a EB: x': (
        *(2, 1, 9, "note-without-label", "No sign of this bar has the label “a” of this note."),
        'Type "a after the sign that it refers to.',
    ),
    '| 3:2"a\n"a > lasts to b': (
        *(2, 1, 16, "note-without-label", "No sign of this bar has the label “b” of this pin."),
        'Type "b after the sign that it refers to.',
    ),
    '| 3:2"a\n"a digits': (
        *(2, 4, 10, "note-form", 'Expected who says it, or : ! > after “"a”, not “digits”.'),
        NOTE_FORMS,
    ),
    '| 3:2"a\n"a > voice 0': (2, 6, 13, "note-form", "Expected a pin after “>”, not “voice 0”.", PINS),
    "ending first": (
        *(1, 8, 13, "directive", "Expected the number of the ending, or end after “ending”, not “first”."),
        "For example: ending 1, ending 2, ending end",
    ),
    "&4r x": (
        *(1, 5, 6, "directive", "Expected the end of the line after “&4r”."),
        "& and &4r stand alone before a bar, or inside its line after |, where they may have a label",
    ),
    "again Foo": (1, 7, 10, "unknown-section", "There is no section called “Foo”.", "The sections are: none"),
    "| 3:2\n!C 3:3": (
        *(2, 1, 3, "undeclared-source", "The source C is not declared."),
        "Say in the heading what it is: source C = …",
    ),
    '| 3:2\n" ZZ: x': (
        *(2, 3, 6, "undeclared-editor", "The editor ZZ is not declared."),
        "Say in the heading who it is: editor ZZ = …",
    ),
    "| 3:2\nv2 D5": (
        *(2, 1, 3, "undeclared-layer", "The line v2 is not declared."),
        "Say in the heading what it is: layer v2 = Canto, clef C1",
    ),
    "| 4=3:2 :3": (
        *(1, 9, 11, "shorthand", "The course is left out; course 3 is assumed, as in the stop before."),
        "longneck tidy writes it out.",
    ),
}


@pytest.mark.parametrize("word", WORDS)
def test_italian_words(word: str) -> None:
    assert told(f"| {word}") == [(1, *WORDS[word])]


@pytest.mark.parametrize("word", FRENCH_WORDS)
def test_french_words(word: str) -> None:
    assert told(f"| {word}", "french") == [(1, *FRENCH_WORDS[word])]


@pytest.mark.parametrize("lines", LINES)
def test_lines(lines: str) -> None:
    assert told(lines) == [LINES[lines]]


# --- nothing else suffers ---------------------------------------------------------------------------------------


def test_a_bad_word_spoils_its_event_only() -> None:
    tablature, found = read("| 4=1:0 3:j 1:3\n| 1:0")
    first, second = tablature.bars
    good, bad, after = first.items
    assert isinstance(good, Event)
    assert bad == Unread("3:j", Span("trial.intav", FIRST, 9, 12))
    assert isinstance(after, Event)
    assert len(found) == 1
    assert len(second.events) == 1


def test_the_sign_over_a_spoilt_event_is_kept() -> None:
    tablature, _ = read("| 4=3:j 1:3")
    (spoilt, _) = tablature.bars[0].items
    assert isinstance(spoilt, Unread)
    assert spoilt.head
    assert spoilt.head.value
    assert spoilt.head.value.edition
    assert spoilt.head.value.edition.name == "4"


def test_all_faults_of_one_word_are_told() -> None:
    assert [(start, slug) for _, start, _, slug, _, _ in told("| 5=3:,2,3:2'q")] == [
        (3, "syntax"),
        (7, "syntax"),
        (8, "bare-figure"),
        (14, "unknown-mark"),
    ]


def test_a_bad_line_spoils_only_itself() -> None:
    tablature, found = read("| 1:0\nv2x D5\nv 2=D5\nending first\n| 1:2")
    first, unread, bad_ending, second = tablature.body
    assert isinstance(first, Bar)
    assert [layer.name for layer in first.layers] == ["v"]
    assert isinstance(unread, UnreadLine)
    assert (unread.text, unread.span.line) == ("v2x D5", FIRST + 1)
    assert isinstance(bad_ending, UnreadLine)
    assert isinstance(second, Bar)
    assert len(found) == 2


def test_a_bar_that_begins_badly_keeps_its_lines() -> None:
    tablature, found = read("| 1:0\n|2=X 3:2\nv 2=D5")
    assert [len(each.layers) for each in tablature.bars] == [0, 1]
    assert len(found) == 1


def test_a_note_that_cannot_be_read_still_answers_its_label() -> None:
    assert [slug for _, _, _, slug, _, _ in told('| 3:2"a\n"a nobody says so')] == ["note-form"]


def test_labels_of_a_spoilt_word_count_as_used() -> None:
    assert [slug for _, _, _, slug, _, _ in told('| 3:j"a\n"a EB: blot')] == ["syntax"]


def test_an_open_slur_does_not_leak_over_a_bar_line() -> None:
    tablature, found = read("| 1:0 _1:\n| 1:2")
    assert len(found) == 1
    assert tablature.bars[1].events[0].stops[0].slur is None


def test_a_fretted_diapason_and_far_courses_are_read_for_later_refusal() -> None:
    fretted, far, high = bar("| 8:3 25:3 3:15").events
    assert (places(fretted), places(far), places(high)) == ([(8, 3)], [(25, 3)], [(3, 15)])
    assert places(bar("| /b", "french").events[0]) == [(8, 1)]


def test_removed_stops_may_share_a_course() -> None:
    assert len(bar("| !3:5,3:2").events[0].stops) == 2


def test_shorthand_takes_the_course_of_the_stop_before() -> None:
    tablature, _ = read("| 4:2,3:2 :3 !:5 :0!:1 7 :0")
    courses = [[s.reading.edition and s.reading.edition.course for s in e.stops] for e in tablature.bars[0].events]
    assert courses == [[4, 3], [3], [None], [3], [7], [7]]
    emended = tablature.bars[0].events[3].stops[0].reading
    assert emended.source
    assert emended.source.course == 3


def test_shorthand_does_not_reach_over_a_bar_line_or_an_unread_word() -> None:
    assert [slug for _, _, _, slug, _, _ in told("| 3:2\n| :2")] == ["shorthand-unclear"]
    assert [slug for _, _, _, slug, _, _ in told("| 3:x :2")] == ["syntax", "shorthand-unclear"]


# --- version and heading ------------------------------------------------------------------------------------------

VERSION_HINT = "The first line names the version of the encoding: longneck 1"


@pytest.mark.parametrize(
    ("text", "version", "start", "end", "message"),
    [
        ("", 0, 1, 1, "Expected “longneck 1” on the first line."),
        ("title X\n", 0, 1, 8, "Expected “longneck 1” on the first line, not “title”."),
        ("longneck\n", 0, 1, 9, "Expected a version after “longneck”."),
        ("longneck one\n", 0, 1, 13, "Expected a version after “longneck”."),
        ("longneck 2\n", 2, 1, 11, "Version 2 of the encoding is not known; the file is read as version 1."),
    ],
)
def test_the_version_line(text: str, version: int, start: int, end: int, message: str) -> None:
    outcome = parse(SourceText.of("x.intav", text + "title Y\n\n| 3:2\n" if text else ""))
    assert outcome.value.version == version
    (found,) = outcome.diagnostics
    assert (found.code.slug, found.span, found.message, found.hint) == (
        *("version", Span("x.intav", 1, start, end), message),
        VERSION_HINT,
    )
    assert len(outcome.value.bars) == bool(text)


#: The second line of a file: start, end, slug, message, hint.
HEADING_LINES = {
    "titel X": (1, 6, "unknown-line", "Expected a heading line or music, not “titel”.", "Perhaps title"),
    "title": (6, 6, "heading-form", "Expected a value after “title”.", ""),
    "source Trial": (
        *(8, 13, "heading-form", "Expected = after “source Trial”."),
        "For example: source A = Trial book, f. 3v",
    ),
    "course x = G2": (
        *(8, 14, "heading-form", "“x” cannot be the name that stands after “course”."),
        "For example: course 7 = G2+G3",
    ),
    "4=3:2 3:3": (
        *(1, 6, "unknown-line", "Expected a heading line or music, not “4=3:2”."),
        "A bar begins with |, and a line that continues it with +",
    ),
}


@pytest.mark.parametrize("line", HEADING_LINES)
def test_heading_lines(line: str) -> None:
    outcome = parse(SourceText.of("x.intav", f"longneck 1\n{line}\nremark kept\n\n| 3:2\n"))
    (found,) = outcome.diagnostics
    start, end, slug, message, hint = HEADING_LINES[line]
    assert (found.code.slug, found.span, found.message, found.hint) == (
        *(slug, Span("x.intav", 2, start, end), message),
        hint,
    )
    unread, kept = outcome.value.heading
    assert isinstance(unread, UnreadLine)
    assert isinstance(kept, HeadingLine)


# --- headings of folders ------------------------------------------------------------------------------------------


def inherit(*texts: str) -> tuple[tuple[str, str, str], ...]:
    """Key, name and value of what the last text inherits from the others, outermost first."""
    *outer, own = [SourceText.of(f"{place}/x", text) for place, text in enumerate(texts)]
    outcome = parse(own, tuple(outer))
    assert not outcome.diagnostics
    assert all(line.inherited for line in outcome.value.inherited)
    return tuple((line.key, line.name, line.value) for line in outcome.value.inherited)


def test_the_piece_wins_over_its_folder_and_the_inner_folder_over_the_outer() -> None:
    outer = "longneck 1\ncomposer X\npitch 440\nsource A = book\n"
    inner = "longneck 1\npitch 415\nmark T = t\n"
    own = "longneck 1\ncomposer Y\nsource B = other\nmark T = x\n"
    assert inherit(outer, inner, own) == (("source", "A", "book"), ("pitch", "", "415"))


def test_remarks_add_up() -> None:
    assert inherit("longneck 1\nremark one\n", "longneck 1\nremark two\n") == (("remark", "", "one"),)


def test_an_instrument_of_its_own_begins_anew() -> None:
    outer = "longneck 1\ninstrument theorbo in A\ndiapasons 8 = F#2\nstrings 84 cm, 160 cm\npitch 440\n"
    assert inherit(outer, "longneck 1\ninstrument archlute in G\n") == (("pitch", "", "440"),)


def test_signs_are_inherited() -> None:
    piece = SourceText.of("x", "longneck 1\n\n| 3c\n")
    outcome = parse(piece, (SourceText.of("heading", "longneck 1\nsigns french\n"),))
    assert not outcome.diagnostics
    assert places(outcome.value.bars[0].events[0]) == [(3, 2)]


def test_a_folders_heading_holds_no_music() -> None:
    piece = SourceText.of("x", "longneck 1\n\n| 3:2\n")
    outcome = parse(piece, (SourceText.of("heading.intav", "longneck 1\ntitle X\n| 3:2\n"),))
    (found,) = outcome.diagnostics
    assert found.span == Span("heading.intav", 3, 1, 2)
    assert found.message == "Expected a heading line, not “|”: a folder's heading holds no music."
