"""Collation case by case: what is written, at which level, in which signs; what is refused, and how it is said.

The two openings of 1546 (published examples of the MEI tablature interest group; typed from the facsimiles) differ in
sound in two bars: bar 3, event 3 has 2:3 in the one print and fret 2 in the other, bar 5, event 2 has 2:4 and fret 0.
"""

from __future__ import annotations

import pytest

from pipeline.desk.collate.collating import collated
from pipeline.desk.collate.declaring import witness_of
from pipeline.desk.collate.record import Collated, Level
from pipeline.desk.collate.taking import taken
from pipeline.desk.compare.sound import by_sound
from pipeline.model.heading import Witness
from pipeline.model.sounding import SoundingPiece
from pipeline.model.text import SourceText
from pipeline.source.encoding import write_encoding
from pipeline.source.read import sounding_piece
from pipeline.source.resolve import resolve

HEADING = """\
longneck 1
title Trial
source A = Print
editor EB = E. B.
instrument {instrument}
signs {signs}
metre none = 4/4
mark T = "t" trill, after

"""
FIGURES = """\
longneck 1
title Fantasia, print A
instrument lute in G, 6 courses
metre none

| 2=1:5 4=1:7 1:5.
| 2:3 1:2. 1:3,2:5 1:5,2:3
| 1:7 2:0 1:5,2:3 1:2,2:3
| 1:3,2:5 8=1:2 1:0. 4=1:2,2:3 1:3,2:0
| 1:0,2:2 8=1:5,2:4 3:3. 2:0 1:3. 4=2:2,1:0
| 3:3,1:2 8=2:3 1:3. 1:5 2:2. 4=3:3
| 2:0 8=1:3. 2:2 4=2:3,1:2 8=3:3 1:0.
| 4=3:5,2:3 3:3,1:0 4:0,1:2 3:0.
| 4:2,3:1 4:0,3:3
"""
LETTERS = """\
longneck 1
title Fantasia, print B
instrument lute in G, 6 courses
signs french
metre C|

| 2=1f 4=1h 4=1f
| 4=2d 4=1c 4=1d,2f 4=1f,2d
| 4=1h 4=2a 4=1f,2c 4=1c,2d
| 4=1d,2f 8=1c 8=1a 4=1c,2d 4=1d,2a
| 4=1a,2c 8=1f,2a 8=3d 8=2a 8=1d 4=1a,2c
| 4=1c,3d 8=2d 8=1d 8=1f 8=2c 4=3d
| 4=2a 8=1d 8=2c 4=1c,2d 8=3d 8=1a
| 4=2d,3f 4=3d,1a 4=1c,4a 4=3a
"""


def read(text: str, name: str = "one.intav") -> SoundingPiece:
    return sounding_piece(SourceText.of(name, text)).value


def piece(
    music: str, *, signs: str = "italian", instrument: str = "theorbo in A", name: str = "one.intav"
) -> SoundingPiece:
    return read(HEADING.format(signs=signs, instrument=instrument) + music + "\n", name)


def put(one: str | SoundingPiece, two: str | SoundingPiece, level: Level = Level.SOUND) -> Collated:
    left = piece(one) if isinstance(one, str) else one
    right = piece(two, name="two.intav") if isinstance(two, str) else two
    return collated(left, right, Witness("B", "Copy"), level)


def music(done: Collated) -> str:
    assert done.tablature is not None, [found.message for found in done.diagnostics]
    return write_encoding(done.tablature).partition("\n\n")[2].strip()


def refusal(done: Collated) -> str:
    assert done.tablature is None
    return done.diagnostics[0].message


# --- the two prints -----------------------------------------------------------------------------------------


def test_the_first_level_shows_the_two_bars_that_differ_in_sound() -> None:
    one, two = read(FIGURES, "a.intav"), read(LETTERS, "b.intav")
    done = collated(one, two, witness_of(two.tablature, two.heading, one.heading), Level.SOUND)
    assert [(bar.bar, bar.lines) for bar in done.written] == [("3", ('"a !B 2:2',)), ("5", ('"a !B 2:0',))]
    assert done.bars == 8
    assert [found.code.slug for found in done.diagnostics] == ["source-breaks-off"]
    assert done.tablature is not None
    again = resolve(taken(done.tablature, one.heading, "B"), one.heading).value
    apart = by_sound(again, two, ("again", "b")).apart
    assert [(found.bar, found.event) for found in apart] == [("bar 9", 0)]


def test_the_second_level_has_the_dots_and_the_third_every_sign() -> None:
    one, two = read(FIGURES, "a.intav"), read(LETTERS, "b.intav")
    witness = witness_of(two.tablature, two.heading, one.heading)
    assert witness == Witness("B", "Fantasia, print B")
    lines = {
        level: [line for bar in collated(one, two, witness, level).written for line in bar.lines]
        for level in (Level.PRINT, Level.EVERYTHING)
    }
    assert lines[Level.PRINT][:4] == ['"a !B 1:5', '"a !B 1:2', '"a !B 2:2', '"a !B 1:0']
    assert lines[Level.EVERYTHING][:2] == ['"a !B 4=1:5', "!B 4=2:3 4=1:2 4=2:5,1:3 4=2:3,1:5"]
    assert len(lines[Level.EVERYTHING]) == 8


def test_letters_are_read_into_figures_and_figures_into_letters() -> None:
    figures, letters = piece("| 2=X,3:3 7"), piece("| 2=///a,3d //a", signs="french", name="two.intav")
    assert put(figures, letters).written[0].lines == ('"a !B 9',)
    assert put(letters, figures).written[0].lines == ('"a !B a',)


# --- the forms ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("one", "two", "lines"),
    [
        ("| 4=3:0 3:2 3:3 3:5 |||", "| 4=3:0 3:2 2:3 3:5 |||", ['"a !B 2:3']),
        ("| 4=3:0 3:2 3:3 3:5 |||", "| 4=3:0 3:2 3:3,2:3 3:5 |||", ['"a !B 3:3,2:3']),
        ("| 4=3:0 3:2 3:3 3:5 |||", "| 4=3:0 3:2 2=3:3 |||", ["!B 4=3:0 3:2 2=3:3"]),
        ("| 1=3:0\n| 4=3:0 3:2 3:3 3:5 |||", "| 1=3:0\n| 4=2:0 2:2 2:3 2:5 |||", ["!B 4=2:0 2:2 2:3 2:5"]),
        ("| 4=3:0 3:2 3:3 3:5 |||", "| 4=3:0 8=3:2 8=3:2 4=3:3 4=3:5 |||", ["!B 4=3:0 8=3:2 8=3:2 4=3:3 4=3:5"]),
        ("| 1=3:0\n| 1=3:2\n| 1=3:3 |||", "| 1=3:0\n| 1=3:3 |||", ["!B omits"]),
        ("| 1=3:0\n| 1=3:3 |||", "| 1=3:0\n| 1=3:2\n| 1=3:3 |||", ["!B 1=3:0 | 1=3:2"]),
        ("| 4=3:0 3:2 3:3 3:5 |||", "| 4=3:0 3:2 3:? 3:5 |||", ['"a !B 3:?']),
        ("| 4=3:0 3:2 3:3 3:5 |||", "| 4=3:0 3:2 ? 3:5 |||", ['"a !B ?']),
        ("| 4=3:0 3:2 3:3 3:5 |||", "| 4=3:0 3:2 - 3:5 |||", ['"a !B -']),
    ],
)  # fmt: skip
def test_little_is_said_at_its_place_and_much_by_the_bar(one: str, two: str, lines: list[str]) -> None:
    assert [line for bar in put(one, two).written for line in bar.lines] == lines


@pytest.mark.parametrize(
    ("one", "two", "lines"),
    [
        ("| 1=3:0", "| 1=3:0'T", {Level.PRINT: ['"a !B 3:0\'T'], Level.EVERYTHING: ['"a !B 1=3:0\'T']}),
        ("| 2=3:0 3:2", "| 2=3:0 _3:2", {Level.PRINT: ['"a !B _3:2']}),
        ("| 2=3:0 3:5", "| 2=3:0 2:0,3:5", {Level.SOUND: ['"a !B 3:5,2:0']}),
        ("| 1=5:0", "| 1=6:5", {Level.PRINT: ['"a !B 6:5']}),  # D3 on either course
        ("| 2=3:0 3:2", "| 2=3:0 2=3:2", {Level.EVERYTHING: ['"a !B 2=3:2']}),
        ("| 1=3:0 ||\n| 1=3:0 |||", "| 1=3:0\n| 1=3:0 |||", {Level.PRINT: ['"a !B |']}),
        ("| 1=3:0 .||\n| 1=3:0 |||", "| 1=3:0 ||\n| 1=3:0 |||", {Level.SOUND: ['"a !B ||']}),
        (
            "| 2=3:0\n| 2=3:0 |||",
            "| 2=3:0 3:0 |||",
            {Level.PRINT: ['"a !B omits'], Level.EVERYTHING: ['"a !B omits', '"a !B omits']},
        ),
        ("| 2=3:0 3:0 |||", "| 2=3:0\n| 2=3:0 |||", {Level.PRINT: ["!B 2=3:0 | 2=3:0"]}),
    ],
)  # fmt: skip
def test_a_difference_shows_from_its_level_on(one: str, two: str, lines: dict[Level, list[str]]) -> None:
    wanted: list[str] = []
    for level in Level:
        wanted = lines.get(level, wanted)
        got = [line for bar in put(one, two, level).written for line in bar.lines]
        assert got == wanted, level


def test_where_the_editor_changed_the_text_the_other_source_is_heard() -> None:
    """At an emendation a reader asks what the other source has, though it may agree with the edition."""
    one = '| 4=3:0 3:2!3:5"a 3:3! 3:5 |||\n"a EB: digits confused'
    assert music(put(one, "| 4=3:0 3:2 3:3 3:5 |||")) == (
        '| 4=3:0 3:2!3:5"a 3:3! 3:5 |||\n!B 4=3:0 3:2 3:3 3:5\n"a EB: digits confused'
    )
    one = one.replace("3:3!", "3:3")
    assert music(put(one, "| 4=3:0 3:2 3:3 3:5 |||")).splitlines()[1:] == ['"a EB: digits confused', '"a !B 3:2']


def test_what_the_other_editor_did_is_no_reading() -> None:
    assert not put("| 4=3:0 3:2 3:3 3:5 |||", "| 4=3:0 3:2 3:2!3:3 3:5 |||").written
    done = put("| 4=3:0 3:2 3:3 3:5 |||", "| 4=3:0 3:2 3:3!3:2 3:5 |||")
    assert done.written[0].lines == ('"a !B 3:2',)


def test_a_value_in_force_in_the_other_source_alone_is_supplied() -> None:
    """B prints no sign over its second bar, where quavers still hold."""
    one = "| 2=3:0 3:2\n| 2=3:3 3:5 |||"
    two = "| 2=3:0 8=3:2 3:2 3:2 3:2\n| 3:3 3:3 3:3 3:3 2=3:5 |||"
    done = put(one, two)
    assert [line for bar in done.written for line in bar.lines] == [
        "!B 2=3:0 8=3:2 3:2 3:2 3:2",
        "!B 8!=3:3 3:3 3:3 3:3 2=3:5",
    ]
    assert done.tablature is not None
    again = resolve(taken(done.tablature, piece(one).heading, "B"), piece(one).heading).value
    assert not by_sound(again, piece(two), ("again", "two")).apart


# --- what is there already --------------------------------------------------------------------------------------


def test_readings_that_hold_stay_and_those_that_do_not_are_renewed() -> None:
    heading = "source B = Copy\n"
    one = HEADING.format(signs="italian", instrument="theorbo in A").replace("editor", f"{heading}editor")
    typed = '| 4=3:0 3:2"a 3:3 3:5"b |||\n"a !B 3:3\n"b !B a blot\n'
    kept = put(read(one + typed), "| 4=3:0 3:3 3:3 3:5 |||")
    assert music(kept) == typed.strip()
    renewed = put(read(one + typed), "| 4=3:0 3:1 3:3 3:5 |||")
    assert music(renewed) == '| 4=3:0 3:2"c 3:3 3:5"b |||\n"b !B a blot\n"c !B 3:1'
    gone = put(read(one + typed), "| 4=3:0 3:2 3:3 3:5 |||")
    assert music(gone) == '| 4=3:0 3:2 3:3 3:5"b |||\n"b !B a blot'


def test_a_third_source_stands_beside_the_second() -> None:
    one = "| 4=3:0 3:2 3:3 3:5 |||"
    done = put(one, "| 4=3:0 3:2 2:3 3:5 |||")
    assert done.tablature is not None
    text = read(write_encoding(done.tablature))
    other = piece("| 4=3:0 3:1 2:5 3:5 |||", name="three.intav")
    both = collated(text, other, witness_of(other.tablature, other.heading, text.heading), Level.SOUND)
    assert music(both) == '| 4=3:0 3:2"b 3:3"a 3:5 |||\n"a !B 2:3\n"a !C 2:5\n"b !C 3:1'


# --- refusals -----------------------------------------------------------------------------------------------------


_OPEN = "longneck 1\ninstrument theorbo in A\n"


@pytest.mark.parametrize(
    ("one", "two", "message"),
    [
        ("| 1=3:0", piece("| 1=3:0", instrument="archlute in G"), "Course 3 is A3 here; in the other text it is B3."),
        ("| 1=3:0,7", "retune 7 = G#2\n| 1=3:0,7", "Course 7 is G#2 here; in the other text it is G2."),
        ("| 1=3:0", "| 1=5:1\n| 1=6:4\n| 1=1:1", "It has hardly anything in common with one.intav."),
        ("| 1=3:0", "section Prima", "There is no bar in it."),
        (
            "| 1=3:0\n| 1=3:2\n| ditto 2 |||",
            "| 1=3:0\n| 1=3:2\n| 1=3:0\n| 1=3:5 |||",
            "Bars 3–4 are not written out, and B differs in them.",
        ),
        (
            "| 1=3:0",
            read(f"{_OPEN}values 1:2\n| 1=3:0\n"),
            "Its note values are read 1:2, those of the other text 1:1.",
        ),
        ("| 1=3:0", read("longneck 1\ninstrument harp\n| 1=3:0\n"), "The tuning of harp is not known."),
    ],
)
def test_what_cannot_be_collated_is_refused(one: str, two: str | SoundingPiece, message: str) -> None:
    assert refusal(put(one, two)) == message


def test_a_mark_that_the_text_does_not_declare_is_refused() -> None:
    two = read(
        HEADING.format(signs="italian", instrument="theorbo in A").replace('"t" trill', '"x" beat') + "| 1=3:0'T\n"
    )
    assert refusal(put("| 1=3:0", two, Level.PRINT)) == "The mark “x” is not declared in one.intav."
    assert not put("| 1=3:0", two).written


def test_the_same_tablature_on_a_larger_instrument_is_the_same() -> None:
    """Theorbos in A and in G have the same intervals (common practice): their tablature is one."""
    assert not put(piece("| 1=X,3:0"), piece("| 1=X,3:0", instrument="theorbo in G")).written


def test_a_text_that_ends_with_its_bar_line_lacks_what_follows() -> None:
    assert music(put("| 1=3:0\n| 1=3:2 |||", "| 1=3:0 |||", Level.SOUND)).splitlines()[1:] == [
        "| 1=3:2 |||",
        "!B omits",
    ]
    assert music(put("| 1=3:0\n| 1=3:2 |||", "| 1=3:0")) == "| 1=3:0\n| 1=3:2 |||"
