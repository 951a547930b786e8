"""What the editor pins holds where it stands, comes back with its bar, and moves nothing far away; what is asked is
asked once. The rules are those of the README; no source outside it."""

from __future__ import annotations

import random

import pytest

from pipeline.edition.lead import lead, questions
from pipeline.model.voiced import Decided, LedPiece
from tests.made import resolved, sounding

HEADING = "longneck 1\ntitle Trial\ninstrument theorbo in A\nmetre C\n"
PINS = ("voice 2", "voice 3", "octave up", "lasts 2", "voice 1, octave kept")


def bars(seed: int) -> list[str]:
    """Sixteen bars of chords and runs by lot."""
    chance = random.Random(seed)
    made = []
    for _ in range(16):
        chord = f"{chance.choice((7, 8, 9, 10))},4:{chance.randrange(4)},3:{chance.randrange(4)}"
        run = " ".join(f"{chance.choice((1, 2, 3))}:{chance.randrange(4)}" for _ in range(3))
        made.append(f"4={chord} {run}")
    return made


def read(piece: LedPiece) -> dict[str, tuple[object, ...]]:
    return {note.id: (note.part, note.length, note.restored) for note in piece.notes}


def bar_of(stop: str) -> int:
    return int(stop[1:].partition("e")[0])


@pytest.mark.parametrize("pin", PINS)
@pytest.mark.parametrize("seed", range(4))
def test_a_pin_changes_nothing_beyond_two_bars(pin: str, seed: int) -> None:
    made = bars(seed)
    plain = "| " + "\n| ".join(made) + " |||"
    chord, *run = made[7].split(" ")
    made[7] = " ".join([chord, run[0] + '"a', *run[1:]]) + f'\n"a > {pin}'
    before, after = (read(lead(sounding(music, HEADING))) for music in (plain, "| " + "\n| ".join(made) + " |||"))
    assert before.keys() == after.keys()
    moved = {bar_of(stop) for stop in before if before[stop] != after[stop]}
    assert moved <= {6, 7, 8, 9, 10}
    assert 8 in moved or pin == "lasts 2"  # which may be read so already, or end where its course is struck again


def test_a_ditto_has_the_pins_of_its_bar() -> None:
    piece = lead(sounding('| 2=8,3:1 3:3"a\n"a > octave up, voice 1\n| ditto\n| ditto |||', HEADING))
    pinned = [note for note in piece.notes if note.decided is Decided.EDITOR]
    assert [note.id for note in pinned] == ["b1e2c3", "b2e2c3", "b3e2c3"]
    assert all(note.restored is not None and note.restored.octaves == 1 for note in pinned)


def test_what_repeats_is_refused_once() -> None:
    piece = lead(sounding('| 2=8,3:1"a 3:3\n"a > lasts 1\n| ditto |||', HEADING))
    assert [stop for stop, _ in piece.refused] == ["b1e1c3", "b2e1c3"]
    assert [found.code.slug for found in questions(piece)] == ["pin-impossible"]


def test_doubtful_notes_of_one_run_are_one_question() -> None:
    music = "\n".join(
        (
            "| 4=8,4:0,1:0 1:2 3:0 2:1\n| 4=X,4:2,2:1 3:3 3:1 3:5\n| 4=8,4:2,3:1 1:2 2:3 1:2",
            "| 4=7,4:2,2:0 2:0 3:2 1:0\n| 4=11,4:2,2:1 3:0 3:0 2:3\n| 1=X,5:4,4:2,3:3 |||",
        )
    )
    piece = lead(sounding(music, HEADING + "key G major\n"))
    asked = {note.stop.stop.span for note in piece.notes if note.restored is not None and note.restored.asked}
    found = [one for one in questions(piece) if one.code.slug == "octave-doubtful"]
    told = [one.span for one in found] + [other.span for one in found for other in one.related]
    assert asked and sorted(map(str, told)) == sorted(map(str, asked))  # each once
    assert len(found) < len(asked)


@pytest.mark.parametrize(
    ("music", "why"),
    [
        ('| 2=8,3:1 3:3 |"a\n"a > voice 2\n| 1=X |||', "no struck stop"),
        ('| &"a 2=8,3:1 3:3\n"a > voice 2\n| 1=X |||', "no struck stop"),
        ('| 2=8,3:1 3:*"a\n"a > voice 2\n| 1=X |||', "no struck stop"),
        ('| 2=8,3:1 2"a=3:3\n"a > lasts 2\n| 1=X |||', "no struck stop"),
        ('| 2=8,3:1"b 3:3"a\n"a > lasts to b\n| 1=X |||', "no stop after it has the label “b”"),
        ('| 2=8,3:1"a 3:3\n"a > voice 2\n"a > lasts 4\n| 1=X |||', "a later line pins the same label"),
        ('| 2=8,3:1"a"b 3:3\n"a > voice 2\n"b > lasts 4\n| 1=X |||', "has another pin before it"),
    ],
)
def test_no_pin_is_dropped_in_silence(music: str, why: str) -> None:
    found = [one for one in questions(lead(sounding(music, HEADING))) if one.code.slug == "pin-impossible"]
    assert [why in one.message for one in found] == [True]
    assert found[0].hint and found[0].span.line > 5  # at the line of the pin, below the heading


@pytest.mark.parametrize("pin", ["voice 2", "octave kept", "lasts to b", "lasts 4"])
def test_a_pin_that_reaches_its_stop_is_not_called_lost(pin: str) -> None:
    music = f'| 4=8,3:1"a 3:3 2=2:0"b\n"a > {pin}\n"b > voice 1\n| ditto |||'
    assert not [one for one in questions(lead(sounding(music, HEADING))) if "This pin" in one.message]


def test_a_label_that_is_not_there_is_told_by_the_parser_alone() -> None:
    music = '| 2=8,3:1"a 3:3\n"a > lasts to z\n"c > voice 2\n| 1=X |||'
    piece, told = resolved(music, HEADING)
    assert [one.code.slug for one in told] == ["note-without-label", "note-without-label"]
    assert not [one for one in questions(lead(piece)) if "This pin" in one.message]
