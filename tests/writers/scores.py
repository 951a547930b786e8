"""Scores made by hand for the tests of the writers: small, and with everything that a score can hold."""

from __future__ import annotations

from fractions import Fraction

from pipeline.model.heading import Heading, Witness
from pipeline.model.instrument import Course, Instrument
from pipeline.model.notes import (
    BeamState,
    Editorial,
    Ink,
    Kind,
    Layer,
    Notehead,
    Octave,
    Ornament,
    Place,
    RhythmSign,
    StaffEvent,
    Stem,
    TabEvent,
    TabFigure,
    Tuplet,
)
from pipeline.model.pitch import SEMITONES, SpelledPitch
from pipeline.model.score import (
    AcrossBracket,
    Arpeggio,
    BarStyle,
    Credits,
    Dashes,
    Ending,
    Footnote,
    HoldLine,
    LegendEntry,
    Measure,
    Score,
    Slur,
    SlurKind,
    Words,
    WordsKind,
)
from pipeline.model.signs import Signs
from pipeline.model.time import WHOLE, Metre, Value


def pitch(name: str) -> SpelledPitch:
    """``F#2`` as a pitch."""
    step, rest = name[0], name[1:]
    octave = rest.lstrip("#b")
    signs = rest[: len(rest) - len(octave)]
    assert step in SEMITONES
    return SpelledPitch(step, signs.count("#") - signs.count("b"), int(octave))


def instrument(names: str, stopped: int = 6) -> Instrument:
    """Courses 1 to n of one string each."""
    courses = (Course(number, (pitch(name),)) for number, name in enumerate(names.split(), start=1))
    return Instrument("trial", tuple(courses), stopped)


#: Source: CP (the list), PS for courses 1 and 2 (Spencer, Early Music 4/4, 1976).
THEORBO = instrument("A3 E3 B3 G3 D3 A2 G2 F2 E2 D2 C2 B1 A1 G1")
#: Standard tuning of the guitar as it sounds; CP.
GUITAR = instrument("E4 B3 G3 D3 A2 E2")


def heading(strung: Instrument, signs: Signs = Signs.ITALIAN) -> Heading:
    """A heading with something in every field that the writers read."""
    return Heading(
        "Trial",
        "Anonymous",
        ("a remark",),
        (Witness("A", "Trial book, f. 3v"),),
        (("EB", "E. B."),),
        strung,
        signs,
        415.0,
        None,
        Fraction(1),
        2,
        None,
        None,
        (),
        (),
        False,
    )


def score(
    measures: tuple[Measure, ...],
    strung: Instrument = THEORBO,
    signs: Signs = Signs.ITALIAN,
    footnotes: tuple[Footnote, ...] = (),
) -> Score:
    """A score of these measures."""
    return Score(
        heading(strung, signs),
        Credits("Trial", "for the tests", ("Theorbo in A", "Courses"), ("Anonymous", "Trial book")),
        strung,
        signs,
        measures,
        footnotes,
        (LegendEntry("(8)", "The line is meant an octave above this sound."),),
    )


# --- a line of single notes ------------------------------------------------------------------------------


def line(stops: list[tuple[int, int, str, Value]], strung: Instrument) -> Score:
    """One bar with one voice: (course, fret, sounding pitch, value) one after another."""
    at = 0
    tab, heads = [], []
    for number, (course, fret, name, value) in enumerate(stops, start=1):
        stop = f"b1e{number}c{course}"
        figure = TabFigure(f"t-{stop}", stop, course, fret, str(fret), False, pitch(name))
        tab.append(TabEvent(f"g-b1e{number}", at, value.ticks, value, None, (figure,)))
        head = Notehead(f"n-{stop}", stop, pitch(name), 1, course, fret)
        heads.append(StaffEvent(f"c-{stop}", Kind.NOTE, at, value.ticks, value, 1, (head,)))
        at += value.ticks
    measure = Measure(
        "m1",
        1,
        "1",
        0,
        at,
        BarStyle.NONE,
        BarStyle.FINAL,
        tuple(tab),
        (Layer(1, 1, tuple(heads)),),
        metre=Metre("4/4", 4, 4),
        fifths=0,
    )
    return score((measure,), strung)


# --- everything at once ----------------------------------------------------------------------------------


def everything() -> Score:
    """Four measures that together hold every kind of record: an upbeat, chords in three voices over two staves,
    ties, a group, an arpeggio, restored octaves, editorial signs, a retuning, repeats and endings."""
    footnotes = (
        Footnote("a", "m2", "Bar 1, event 1: 1 in the source; read 2."),
        Footnote("b", "m2", "Bar 1: a bar line in the source inside this bar."),
    )
    return score((_upbeat(), _full(), _ending(3, "2", 1), _last()), footnotes=footnotes)


def _head(stop: str, name: str, staff: int, course: int, fret: int, **more: object) -> Notehead:
    part = more.pop("part", "")
    return Notehead(f"n-{stop}{part}", stop, pitch(name), staff, course, fret, **more)  # type: ignore[arg-type]


def _figure(stop: str, course: int, fret: int, text: str, name: str | None, **more: object) -> TabFigure:
    sound = pitch(name) if name else None
    return TabFigure(f"t-{stop}", stop, course, fret, text, course > 6, sound, **more)  # type: ignore[arg-type]


def _upbeat() -> Measure:
    quarter = WHOLE // 4
    head = _head(
        "b1e1c3", "C#4", 1, 3, 2, accidental="s", editorial=Editorial.BRACKETED, left_finger="2", right_finger="i"
    )
    event = StaffEvent("c-b1e1", Kind.NOTE, 0, quarter, Value(4), 1, (head,), Stem.UP, fermata=True)
    figure = _figure("b1e1c3", 3, 2, "2", "C#4", editorial=Editorial.BRACKETED, left_finger="2", right_finger="i")
    tab = TabEvent("g-b1e1", 0, quarter, Value(4), RhythmSign(Value(4), 1), (figure,), fermata=True)
    words = (
        Words("w1", WordsKind.SECTION, "Prima \x07parte", 0, Place.ABOVE, True),
        Words("w2", WordsKind.TEMPO, "Adagio", 0, Place.ABOVE, False),
    )
    return Measure(
        "m1",
        1,
        "",
        0,
        quarter,
        BarStyle.NONE,
        BarStyle.SINGLE,
        (tab,),
        (Layer(1, 1, (event,)),),
        metre=Metre("C", 4, 4),
        fifths=-1,
        complete=False,
        words=words,
        folios=("3v",),
        slurs=(
            Slur("st-1", "t-b1e1c3", "t-b2e1c3", SlurKind.PRINTED, True),
            Slur("sn-1", "n-b1e1c3", "n-b2e1c3", SlurKind.ADDED, False),
        ),
    )


def _full() -> Measure:
    start, quarter, half = WHOLE // 4, WHOLE // 4, WHOLE // 2
    trill, mordent = (
        Ornament("t", "trill", Place.ABOVE),
        Ornament("x", "martellement", Place.AFTER, Editorial.BRACKETED),
    )
    low = Octave(1, False, 0.97)
    chord = (
        _head("b2e1c2", "G3", 1, 2, 3, footnote="a", octave=low),
        _head("b2e1c3", "D4", 1, 3, 3, tie_from=True, ornaments=(trill, mordent)),
    )
    upper = (
        StaffEvent("c-1", Kind.NOTE, start, quarter, Value(4), 1, chord, Stem.UP, strum="up"),
        StaffEvent(
            "c-2",
            Kind.NOTE,
            start + quarter,
            WHOLE // 8,
            Value(8),
            1,
            (_head("b2e1c3", "D4", 1, 3, 3, part="-2", tie_to=True),),
            Stem.UP,
            (BeamState.BEGIN,),
        ),
        StaffEvent(
            "c-3",
            Kind.NOTE,
            start + 3 * WHOLE // 8,
            WHOLE // 8,
            Value(8),
            1,
            (_head("b2e3c4", "G3", 2, 4, 0, editorial=Editorial.DOUBTFUL),),
            Stem.UP,
            (BeamState.END,),
        ),
        *(
            StaffEvent(
                f"c-4{index}",
                Kind.NOTE,
                start + half + index * WHOLE // 6,
                WHOLE // 6,
                Value(4),
                1,
                (_head(f"b2e{4 + index}c1", name, 1, 1, fret, octave=sign),),
                Stem.UP,
                tuplet=Tuplet(3, 2, index == 0, index == 2),
            )
            for index, (name, fret, sign) in enumerate(
                (("A3", 0, Octave(1, True, 0.5)), ("Bb3", 1, None), ("C4", 3, None))
            )
        ),
    )
    middle = (
        StaffEvent("c-5", Kind.SPACE, start, quarter, Value(4), 2),
        StaffEvent("c-6", Kind.REST, start + quarter, quarter, Value(4), 2),
        StaffEvent(
            "c-7",
            Kind.NOTE,
            start + half,
            half,
            Value(2),
            2,
            (_head("b2e4c5", "F#3", 2, 5, 4, accidental="s", courtesy=True),),
            Stem.UP,
        ),
    )
    bass = (
        StaffEvent(
            "c-8", Kind.NOTE, start, WHOLE, Value(1), 2, (_head("b2e1c10", "D2", 2, 10, 0, tie_from=True),), Stem.DOWN
        ),
    )
    return Measure(
        "m2",
        2,
        "1",
        start,
        WHOLE,
        BarStyle.REPEAT_START,
        BarStyle.DASHED,
        _full_tablature(start),
        (Layer(1, 1, upper), Layer(2, 2, middle), Layer(3, 2, bass)),
        holds=(HoldLine("h-1", "t-b2e1c10", "g-b2e3"),),
        arpeggios=(Arpeggio("a-1", ("n-b2e1c10", "n-b2e1c2", "n-b2e1c3"), ("n-b2e1c10", "n-b2e1c3", "n-b2e1c2")),),
        dashes=(Dashes("d-1", "n-b2e1c2", "n-b2e3c4"),),
        brackets=(AcrossBracket("k-1", "n-b2e4c1", "n-b2e6c1"),),
        words=(
            Words("w3", WordsKind.DIRECTION, "ut supra", half, Place.BELOW, False, "n-b2e4c5"),
            Words("w4", WordsKind.DIRECTION, "piano", half + WHOLE // 16, Place.ABOVE, True),
        ),
        footnote="b",
    )


def _full_tablature(start: int) -> tuple[TabEvent, ...]:
    first = (
        _figure("b2e1c10", 10, 0, "X", "D2"),
        _figure("b2e1c3", 3, 3, "3", "D4", dots=2, ornaments=(Ornament("t", "trill", Place.ABOVE),)),
        _figure("b2e1c2", 2, 3, "3", "G3", editorial=Editorial.DOUBTFUL, footnote="a"),
    )
    unread = (_figure("b2e2u1", 2, 0, "?", None, ink=Ink.ILLEGIBLE),)
    eighth, triplet = WHOLE // 8, WHOLE // 6
    return (
        TabEvent(
            "g-b2e1",
            start,
            WHOLE // 4,
            Value(4),
            RhythmSign(Value(4), 1, Editorial.BRACKETED, "a"),
            first,
            arpeggio=True,
            strum="up",
            barre=True,
            footnote="a",
        ),
        TabEvent("g-b2e2", start + 2 * eighth, eighth, Value(8), RhythmSign(Value(8), 2), unread, beam=BeamState.BEGIN),
        TabEvent(
            "g-b2e3",
            start + 3 * eighth,
            eighth,
            Value(8),
            RhythmSign(Value(8), 2),
            (_figure("b2e3c4", 4, 0, "0", "G3"),),
            beam=BeamState.END,
            spread=True,
        ),
        TabEvent(
            "g-b2e4",
            start + 4 * eighth,
            triplet,
            Value(4),
            RhythmSign(Value(4), 1),
            (_figure("b2e4c5", 5, 4, "4", "F#3"), _figure("b2e4c1", 1, 0, "0", "A3")),
            tuplet=Tuplet(3, 2, True, False),
        ),
        TabEvent(
            "g-b2e5",
            start + 4 * eighth + triplet,
            triplet,
            Value(4),
            None,
            (_figure("b2e5c1", 1, 1, "1", "Bb3"),),
            tuplet=Tuplet(3, 2, False, False),
            and_so_on=True,
        ),
        TabEvent(
            "g-b2e6",
            start + 4 * eighth + 2 * triplet,
            triplet,
            Value(4),
            None,
            (_figure("b2e6c1", 1, 3, "3", "C4"),),
            tuplet=Tuplet(3, 2, False, True),
        ),
    )


def _ending(number: int, label: str, which: int) -> Measure:
    start = WHOLE // 4 + WHOLE
    upper = (StaffEvent("c-9", Kind.REST, start, WHOLE, Value(1), 1, whole_bar=True),)
    head = _head("b2e1c10", "D2", 2, 10, 0, part="-2", tie_to=True)
    bass = (StaffEvent("c-10", Kind.NOTE, start, WHOLE, Value(1), 2, (head,)),)
    tab = (
        TabEvent("g-b3e1", start, WHOLE // 2, Value(2), RhythmSign(Value(2), 0), (), rest=True),
        TabEvent("g-b3e2", start + WHOLE // 2, WHOLE // 2, Value(2), RhythmSign(Value(2), 0), ()),
    )
    return Measure(
        f"m{number}",
        number,
        label,
        start,
        WHOLE,
        BarStyle.NONE,
        BarStyle.REPEAT_END,
        tab,
        (Layer(1, 1, upper), Layer(3, 2, bass)),
        ending=Ending(which, True, True),
    )


def _last() -> Measure:
    start = WHOLE // 4 + 2 * WHOLE
    retuned = Instrument("trial", (*THEORBO.courses[:7], Course(8, (pitch("F#2"),)), *THEORBO.courses[8:]), 6)
    head = _head("b4e1c8", "F#2", 2, 8, 0, accidental="s")
    bass = (StaffEvent("c-11", Kind.NOTE, start, 3 * WHOLE // 4, Value(2, 1), 2, (head,), stemless=True),)
    tab = (TabEvent("g-b4e1", start, 3 * WHOLE // 4, Value(2, 1), None, (_figure("b4e1c8", 8, 0, "8", "F#2"),)),)
    return Measure(
        "m4",
        4,
        "2",
        start,
        3 * WHOLE // 4,
        BarStyle.NONE,
        BarStyle.FINAL,
        tab,
        (Layer(3, 2, bass),),
        metre=Metre("3", 3, 4),
        fifths=0,
        retuned=retuned,
        ending=Ending(2, True, True),
        words=(Words("w5", WordsKind.RETUNE, "Retune 8 to F sharp", 0, Place.ABOVE, True),),
    )
