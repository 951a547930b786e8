"""What heading lines mean, and what is said of those that mean nothing."""

from __future__ import annotations

from fractions import Fraction

import pytest

from pipeline.model.diagnostics import Diagnostic
from pipeline.model.heading import ArpeggioOrder, DeclaredMark, Heading, Key, Layer, Witness
from pipeline.model.signs import Signs
from pipeline.model.text import SourceText, Span
from pipeline.model.time import Metre
from pipeline.source.declare import declare, read_key, read_metre, retune
from pipeline.source.parse import parse
from pipeline.source.read import sounding_piece

NOWHERE = Span("x", 1, 1, 1)


def declared(lines: str) -> tuple[Heading, tuple[Diagnostic, ...]]:
    outcome = declare(parse(SourceText.of("x.intav", f"longneck 1\n{lines}\n")).value)
    return outcome.value, outcome.diagnostics


def clean(lines: str) -> Heading:
    heading, found = declared(f"instrument theorbo in A\n{lines}")
    assert not found, [each.message for each in found]
    return heading


def pitches(heading: Heading) -> list[str]:
    return ["+".join(string.name for string in course.strings) for course in heading.instrument.courses]


def test_the_heading_of_the_encoding() -> None:
    heading = clean(
        "title Toccata\n"
        "source A = Trial book, f. 3v-4r\n"
        "source B = Trial manuscript, f. 12\n"
        "editor EB = E. B.\n"
        "course 7 = G2+G3\n"
        "diapasons 8 = F#2, 11 = C#2\n"
        "pitch 415\n"
        "strings 84 cm, 160 cm\n"
        "signs italian\n"
        "values 1:2\n"
        "stems plain = 2\n"
        "metre C\n"
        "key D minor\n"
        'mark T = "t" trill, after\n'
        "layer v = Canto, clef C1, 1 flat\n"
        "remark copied in haste"
    )
    assert heading.title == "Toccata"
    assert heading.witnesses == (Witness("A", "Trial book, f. 3v-4r"), Witness("B", "Trial manuscript, f. 12"))
    assert heading.editors == (("EB", "E. B."),)
    assert pitches(heading)[6:11] == ["G2+G3", "F#2", "E2", "D2", "C#2"]
    assert heading.scale_declared
    assert (heading.pitch, heading.strings, heading.signs) == (415.0, (84.0, 160.0), Signs.ITALIAN)
    assert (heading.values, heading.plain_stem) == (Fraction(1, 2), 2)
    assert heading.metre == Metre("C", 4, 8)
    assert heading.key == Key("D", "minor", -1)
    assert heading.marks == (DeclaredMark("T", "t", "trill", "after"),)
    assert heading.layers == (Layer("v", "Canto", "C1", -1),)
    assert heading.remarks == ("copied in haste",)
    assert ("mark T", Span("x.intav", 16, 1, 26)) in heading.places


def test_what_is_not_declared_is_not_assumed() -> None:
    heading = clean("")
    assert (heading.pitch, heading.strings, heading.metre, heading.key) == (None, None, None, None)
    assert (heading.values, heading.signs, heading.scale_declared) == (Fraction(1), Signs.ITALIAN, False)


# --- instruments ------------------------------------------------------------------------------------------------


def test_any_instrument_course_by_course() -> None:
    heading, found = declared(
        "instrument lute of somebody\n"
        + "\n".join(f"course {n} = {p}" for n, p in enumerate(["A4", "E4", "B3+B4", "G3"], 1))
    )
    assert not found
    assert pitches(heading) == ["A4", "E4", "B3+B4", "G3"]
    assert (heading.instrument.name, heading.instrument.stopped) == ("lute of somebody", 4)


def test_more_diapasons_in_any_order_of_pitch() -> None:
    # PS-inf: one early source tunes its 13th course to a high F sharp.
    heading = clean("diapasons 13 = F#3\ncourse 15 = F1")
    assert pitches(heading)[12:] == ["F#3", "G1", "F1"]


def test_fewer_courses_than_the_preset() -> None:
    heading, found = declared("instrument theorbo in A, 12 courses")
    assert not found
    assert pitches(heading)[-1] == "B1"


def test_a_seventh_course_over_the_fingerboard() -> None:
    lines = "instrument lute in G, 7 courses\nstopped 7"
    heading, _ = declared(lines)
    assert heading.instrument.stopped == 7
    assert declared("instrument lute in G, 7 courses")[0].instrument.stopped == 6


def test_the_order_of_arpeggios() -> None:
    assert clean("").arpeggio is ArpeggioOrder.FINGERS
    assert clean("arpeggio fingers").arpeggio is ArpeggioOrder.FINGERS
    assert clean("arpeggio rising").arpeggio is ArpeggioOrder.RISING
    assert not clean("arpeggio rising").written_out
    assert clean("arpeggio rising, first written out").written_out


def test_frets() -> None:
    assert (clean("frets 9").instrument.tied_frets, clean("frets 9").instrument.highest_fret) == (9, 12)
    assert clean("frets 8, 14").instrument.highest_fret == 14


def test_retuning() -> None:
    theorbo = clean("").instrument
    low = retune(theorbo, "8 = F#2, 3 = B3+B4", NOWHERE)
    assert not low.diagnostics
    assert [s.name for s in low.value.courses[2].strings] == ["B3", "B4"]
    assert low.value.courses[7].pitch.name == "F#2"
    text = "8 = F#2, 15 = C2"
    outcome = retune(theorbo, text, Span("x", 3, 8, 8 + len(text)))
    assert outcome.value.courses[7].pitch.name == "F#2"
    assert [(each.span.start, each.message) for each in outcome.diagnostics] == [
        (17, "The instrument has 14 courses, no course 15.")
    ]


# --- time and key -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "values", "metre"),
    [
        # Readings of the signs: common practice, no source.
        ("C", "1", Metre("C", 4, 4)),
        ("C|", "1", Metre("C|", 2, 2)),
        ("O", "1", Metre("O", 3, 1)),
        ("2", "1", Metre("2", 2, 2)),
        ("3", "1", Metre("3", 3, 4)),
        ("3/2", "1", Metre("3/2", 3, 2)),
        ("6/4", "1", Metre("6/4", 6, 4)),
        ("C 3/2", "1", Metre("C 3/2", 3, 2)),
        ("C3", "1", Metre("C 3", 3, 4)),
        ("3 = 3/2", "1", Metre("3", 3, 2)),
        ("none", "1", Metre("none", 0, 1)),
        # A printed minim becomes a crotchet: the bar halves.
        ("C", "1/2", Metre("C", 4, 8)),
        ("3/2", "1/2", Metre("3/2", 3, 4)),
        ("3/1", "2", Metre("3/1", 6, 1)),
    ],
)
def test_metres(text: str, values: str, metre: Metre) -> None:
    outcome = read_metre(text, NOWHERE, Fraction(values))
    assert (outcome.value, outcome.diagnostics) == (metre, ())


@pytest.mark.parametrize(
    ("text", "fifths"),
    [
        # Signatures of the circle of fifths and of the modes: common practice, no source.
        ("C major", 0),
        ("D minor", -1),
        ("A minor", 0),
        ("F# minor", 3),
        ("Bb major", -2),
        ("G dorian", -1),
        ("G mixolydian", 0),
        ("E phrygian", 0),
        ("F lydian", 0),
        ("G minor, 1 flat", -1),
        ("D minor, no accidentals", 0),
    ],
)
def test_keys(text: str, fifths: int) -> None:
    outcome = read_key(text, NOWHERE)
    assert outcome.value
    assert (outcome.value.fifths, outcome.diagnostics) == (fifths, ())


# --- findings ---------------------------------------------------------------------------------------------------

COURSES = "or declare every course: course 1 = A3 …"
LUTES = "lute in G, 6 courses · lute in G, 7 courses · lute in G, 7 courses, low D · lute in G, 8 courses"
PITCH_HINT = "Pitches are typed F#2, Bb1, C4 (middle C); strings of one course G2+G3"

#: Lines under "instrument theorbo in A" (line 2): line, start, end, slug, message, hint.
FAULTS = {
    "diapasons 8 = F#2, 11 = C#": (3, 25, 27, "tuning", "Expected a pitch, not “C#”.", PITCH_HINT),
    "course 7 = G2+H3": (3, 15, 17, "tuning", "Expected a pitch, not “H3”.", PITCH_HINT),
    "course 16 = G1": (
        *(3, 13, 15, "tuning", "Expected course 15 before course 16."),
        "Courses are counted without a gap.",
    ),
    "diapasons 3 = B3": (
        *(3, 11, 17, "tuning", "Course 3 is not a diapason: it runs over the fingerboard."),
        "Type course 3 = …",
    ),
    "pitch high": (
        *(3, 7, 11, "heading-value", "Expected the pitch of A4 in hertz, not “high”."),
        "For example: pitch 415",
    ),
    "strings 84, 160": (
        *(3, 9, 16, "heading-value", "Expected string lengths in centimetres, not “84, 160”."),
        "For example: strings 84 cm, 160 cm",
    ),
    "signs german": (
        *(3, 7, 13, "heading-value", "Expected italian or french, not “german”."),
        "Italian signs are assumed.",
    ),
    "values 1:3": (
        *(3, 8, 11, "heading-value", "Expected a ratio of values, not “1:3”."),
        "Type 1:1, or 1:2 where a printed minim becomes a crotchet.",
    ),
    "stems 2": (
        *(3, 7, 8, "heading-value", "Expected the value of a hookless stem, not “2”."),
        "For example: stems plain = 2",
    ),
    "metre waltz": (
        *(3, 7, 12, "metre", "Expected a metre, not “waltz”."),
        "Metres are C, C|, O, 3, 3/2, 6/4 …, none, or a sign with its reading: 3 = 3/2, none = 4/4",
    ),
    "key G minor, 8 flats": (
        *(3, 14, 21, "key", "Expected a key signature, not “8 flats”."),
        "For example: 1 flat, 2 sharps, no accidentals",
    ),
    "key G# major": (3, 5, 13, "key", "The key G# major has more than seven accidentals.", ""),
    "mark T = trill": (
        *(3, 10, 15, "heading-value", "Expected the printed sign, its meaning and its place, not “trill”."),
        'As in: mark T = "t" trill, after (or before, above, below).',
    ),
    "layer v = Canto": (
        *(3, 11, 16, "heading-value", "Expected a title, a clef and a signature, not “Canto”."),
        "For example: layer v = Canto, clef C1, 1 flat",
    ),
    "stopped 15": (
        *(3, 9, 11, "heading-value", "Expected the number of stopped courses (of 14), not “15”."),
        "For example: stopped 7",
    ),
    "frets many": (
        *(3, 7, 11, "heading-value", "Expected the number of tied frets, not “many”."),
        "For example: frets 8, or with body frets: frets 8, 12",
    ),
    "arpeggio upwards": (
        *(3, 10, 17, "heading-value", "Expected fingers or rising, not “upwards”."),
        "fingers: a fixed order of courses; rising: from the lowest pitch up; add: , first written out",
    ),
    "voices nine": (
        *(3, 8, 12, "heading-value", "Expected a number of voices from 1 to 6, not “nine”."),
        "For example: voices 3",
    ),
    "metre C\nmetre 3/2": (
        *(4, 1, 10, "heading-repeated", "Expected one “metre” in the heading: the first holds."),
        "",
    ),
}


def said(found: tuple[Diagnostic, ...]) -> list[tuple[int, int, int, str, str, str]]:
    return [(each.span.line, each.span.start, each.span.end, each.code.slug, each.message, each.hint) for each in found]


@pytest.mark.parametrize("lines", FAULTS)
def test_faults(lines: str) -> None:
    heading, found = declared(f"instrument theorbo in A\n{lines}\ntitle kept")
    assert said(found) == [FAULTS[lines]]
    assert heading.title == "kept"


def test_a_broken_line_falls_back_and_the_rest_of_it_holds() -> None:
    heading, found = declared("instrument theorbo in A\ndiapasons 8 = F#2, 9 = H2, 11 = C#2\nmetre waltz")
    assert len(found) == 2
    assert pitches(heading)[7:11] == ["F#2", "E2", "D2", "C#2"]
    assert heading.metre is None


@pytest.mark.parametrize(
    ("lines", "slug", "message", "hint"),
    [
        (
            *(
                "instrument lute in G",
                "unknown-instrument",
                "No tuning is known for “lute in G”: the signs are read, and no pitch is claimed.",
            ),
            f"Perhaps {LUTES} · lute in G, 9 courses · lute in G, 10 courses; {COURSES}",
        ),
        (
            *("instrument teorbo in A", "unknown-instrument"),
            "No tuning is known for “teorbo in A”: the signs are read, and no pitch is claimed.",
            f"Perhaps theorbo in A · theorbo in G · tiorbino in A; {COURSES}",
        ),
        (
            *("title X", "no-instrument", "Expected an instrument in the heading; a theorbo in A is assumed."),
            "For example: instrument theorbo in A",
        ),
    ],
)
def test_unknown_instruments(lines: str, slug: str, message: str, hint: str) -> None:
    heading, found = declared(lines)
    assert [(each.code.slug, each.message, each.hint) for each in found] == [(slug, message, hint)]
    unknown = slug == "unknown-instrument"
    assert heading.instrument.name == (lines.removeprefix("instrument ") if unknown else "theorbo in A")
    assert bool(heading.instrument.courses) is not unknown


def test_signs_on_an_unknown_instrument_claim_no_pitch_and_no_fault() -> None:
    text = "longneck 1\ninstrument viol of nobody\nmetre C\n\n| 2=7,4:0,3:0 13,1:12\nretune 8 = F2\n| 1=8 |||\n"
    read = sounding_piece(SourceText.of("piece.intav", text))
    assert [each.code.slug for each in read.diagnostics] == ["unknown-instrument"]
    assert [len(event.event.stops) for event in read.value.bars[0].events] == [3, 2]
    assert not any(event.stops for event in read.value.bars[0].events)


def test_an_unknown_instrument_with_a_course_missing() -> None:
    _, found = declared("instrument lute in Q\ncourse 1 = A4\ncourse 3 = B3")
    assert [each.code.slug for each in found] == ["unknown-instrument"]


@pytest.mark.parametrize(
    ("line", "lines", "above"),
    [
        ("lines 5", 5, False),
        ("lines 6, course 1 above", 6, True),
        ("lines course 1 above", 0, True),
        ("signs french", 0, True),
        ("signs italian", 0, False),
    ],
)
def test_lines_of_the_tablature(line: str, lines: int, above: bool) -> None:
    heading, found = declared(f"instrument theorbo in A\n{line}")
    assert not found
    assert (heading.lines, heading.course_1_above) == (lines, above)


@pytest.mark.parametrize("line", ["lines 4", "lines", "lines 5 course 1 above", "lines 5, course 2 above"])
def test_other_lines_are_refused(line: str) -> None:
    heading, found = declared(f"instrument theorbo in A\n{line}")
    assert len(found) == 1 or line == "lines"
    assert (heading.lines, heading.course_1_above) == (0, False)
