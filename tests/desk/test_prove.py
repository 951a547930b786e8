"""What a proof page knows: where signs are typed, which one stands at a place, what is marked, what is heard."""

from __future__ import annotations

from pipeline.desk.proof.prove import PlaceFinder, heard_bars, marked_places, typed_bars, weak_bars
from pipeline.desk.proof.record import Hand
from pipeline.edition.apparatus import apparatus
from pipeline.edition.lead import lead
from pipeline.edition.notate import notate
from pipeline.edition.perform import perform
from pipeline.edition.spell import spell
from pipeline.model.record import replace
from pipeline.model.song import Song
from pipeline.model.text import SourceText
from pipeline.model.voiced import Decided, VoicedPiece
from tests.made import HEADING, resolved, sounding, text, voiced

METRE = HEADING + "metre C\neditor EB = E. B.\n"


def cut(source: SourceText, line: int, start: int, end: int) -> str:
    return source.line(line)[start - 1 : end - 1]


def test_every_sign_is_found_where_it_is_typed() -> None:
    music = "| 4=X,4:2,3:3 !3:5,2:1 4?=- 3:?\n| 2=7 2== |||"
    heading = METRE.replace("metre C\n", "metre 4/4\n")
    source = text(music, heading)
    bars = typed_bars(voiced_of(music, heading), Song())
    typed = {sign.id: cut(source, sign.line, sign.start, sign.end) for bar in bars for sign in bar.signs}
    assert typed == {
        "b1e1": "4=X,4:2,3:3", "b1e1c10": "X", "b1e1c4": "4:2", "b1e1c3": "3:3",
        "b1e2": "!3:5,2:1", "b1e2x1": "!3:5", "b1e2c2": "2:1",
        "b1e3": "4?=-",
        "b1e4": "3:?", "b1e4u1": "3:?",
        "b2e1": "2=7", "b2e1c7": "7",
        "b2e2": "2==", "b2e2c7": "2==",
    }  # fmt: skip


def voiced_of(music: str, heading: str) -> VoicedPiece:
    """The voiced piece of music that may have faults."""
    return spell(lead(resolved(music, heading)[0]))


def test_names_are_those_of_the_edition() -> None:
    piece = voiced("| 4=X,4:2,3:3 3:5 3:? 2:0\n| ditto |||", METRE)
    named = {sign.id for bar in typed_bars(piece, Song()) for sign in bar.signs}
    score = notate(piece)
    figures = {figure.stop for measure in score.measures for event in measure.tab for figure in event.figures}
    heads = {
        head.stop
        for measure in score.measures
        for layer in measure.layers
        for event in layer.events
        for head in event.heads
    }
    assert "b1e3u1" in figures and "b2e1c10" in heads
    assert figures | heads <= named


def test_the_sign_at_a_place() -> None:
    music = '| 4=X,4:2,3:3 2.=3:5\n" EB: a remark\n| 1=7 |||'
    finder = PlaceFinder(typed_bars(voiced(music, METRE), Song()))
    line = METRE.count("\n") + 2
    assert text(music, METRE).line(line).startswith("| 4=X")
    assert finder.at(line, 7, 10) == "b1e1c4"  # 4:2
    assert finder.at(line, 3, 14) == "b1e1"  # the whole event
    assert finder.at(line, 3, 3) == "b1e1"  # a place between two signs
    assert finder.at(line, 1, 2) == "b1"  # the bar line
    assert finder.at(line + 1, 1, 4) == "b1"  # a note under the bar
    assert finder.at(1, 1, 9) == ""  # the heading


def test_reasons_of_the_editor() -> None:
    music = '| 4=3:2!3:5"a 3:5 3:3!? 3:2"b\n"a EB: digits confused\n"b EB: a remark\n| 8!4=7 7 4=7 !| 2=3:2? |||'
    piece = voiced(music, METRE)
    marks = [mark for mark in marked_places(apparatus(piece)) if not mark.octaves]
    assert [(mark.hand, mark.at, mark.what, mark.why) for mark in marks] == [
        (Hand.EMENDED, ("b1e1c3",), "emended", "Course 3: 5 in the source, here 2; digits confused (EB)."),
        (Hand.EMENDED, ("b1e3c3",), "supplied where illegible", "Course 3: illegible in the source, here 3."),
        (Hand.NOTED, ("b1e4c3",), "remark", "Course 3: a remark (EB)."),
        (Hand.EMENDED, ("b2e1",), "emended", "Rhythm sign: crotchet in the source, here quaver."),
        (Hand.EMENDED, ("b2",), "left out", "Bar line: bar line after event 3 in the source, here left out."),
        (Hand.DOUBTFUL, ("b2e4c3",), "doubtful", "Course 3: 2 (doubtful) in the source, here 2."),
    ]


def test_a_pinned_octave_is_told_with_both_pitches() -> None:
    piece = voiced('| 2=X,4:2,1:0"a 3:0 |||\n"a > octave up', METRE)
    (mark,) = [mark for mark in marked_places(apparatus(piece)) if mark.octaves]
    assert (mark.hand, mark.at, mark.octaves) == (Hand.RESTORED, ("b1e1c1",), 1)
    assert mark.why == "Sounds A3; the line means A4: an octave above, fixed by the editor."


def test_each_bar_is_heard_once_though_it_is_repeated() -> None:
    music = "opens ||.\n| 2=7 8\n| 2=9 X .||\n| 1=11 |||"
    piece = voiced(music, METRE)
    heard = heard_bars(piece.sounding, perform(piece))
    # Theorbo in A, diapasons (CP): 7 G2 8 F2 9 E2 10 D2 11 C2 = MIDI 43 41 40 38 36.
    assert [[(tone.onset, tone.pitch) for tone in bar.tones] for bar in heard] == [
        [(0, 43), (2000, 41)], [(0, 40), (2000, 38)], [(0, 36)],
    ]  # fmt: skip
    assert [(bar.length, bar.events) for bar in heard] == [(4000, (0, 2000)), (4000, (0, 2000)), (4000, (0,))]


def test_both_endings_are_heard() -> None:
    music = "| 1=7\nending 1\n| 1=8 .||\nending 2\n| 1=9 |||"
    piece = voiced(music, METRE)
    heard = heard_bars(sounding(music, METRE), perform(piece))
    assert [[tone.pitch for tone in bar.tones] for bar in heard] == [[43], [41], [40]]


def test_bars_whose_lines_are_in_doubt_are_marked() -> None:
    """Of four crotchets whose links are given .5 each the bar is marked; of three, or where the editor pins, not."""
    piece = voiced("| 4=3:0 3:2 3:3 3:0\n| 4=3:0 3:2 3:3 3:0 |||", METRE)

    def with_links(sure: float, decided: Decided) -> VoicedPiece:
        notes = tuple(
            replace(note, led=replace(note.led, sure=sure, decided=decided) if note.led.follows else note.led)
            for note in piece.notes
        )
        return replace(piece, led=replace(piece.led, notes=tuple(note.led for note in notes)), notes=notes)

    (mark,) = weak_bars(with_links(0.5, Decided.RULE))  # the first bar has but three notes that follow another
    assert (mark.hand, mark.at, mark.bar) == (Hand.WEAK, ("b2",), "2")
    assert mark.why == "The voices may run otherwise here: on average each step is 50 % likely."
    assert weak_bars(with_links(0.7, Decided.RULE)) == ()
    assert weak_bars(with_links(0.5, Decided.EDITOR)) == ()
