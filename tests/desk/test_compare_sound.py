"""Two pieces held against each other by what sounds."""

from __future__ import annotations

import pytest

from pipeline.desk.compare.sound import Apart, Sounded, by_sound
from pipeline.desk.compare.writers.words import sounded_verdict, sounded_words
from pipeline.folder.files import PieceFile
from pipeline.model.text import SourceText
from pipeline.source.read import sounding_piece
from tests.desk.moved import ANTHOLOGY, HEADING, anthology, moved

MUSIC = "| 4=X,4:2,3:3,2:1 3:5 3:6 2:0\n| 2=13,5:2,4:2,3:2 7\n| 1=X,4:2 |||\n"


def sounded(one: str, two: str) -> Sounded:
    left, right = (sounding_piece(SourceText.of("x.intav", text)).value for text in (one, two))
    return by_sound(left, right, ("one", "two"))


def music(bars: str, instrument: str = "theorbo in A") -> str:
    return f"{HEADING.replace('theorbo in A', instrument)}\n{bars}"


def test_the_same_figures_on_an_instrument_a_tone_lower() -> None:
    """Theorbo in A and theorbo in G (common practice): every string a tone apart, but for the basses that are tuned to
    the key; here only D, A and G are struck."""
    found = sounded(music(MUSIC), music(MUSIC, "theorbo in G"))
    assert sounded_verdict(found) == "The same music, a major second down."


def test_other_courses_sound_alike() -> None:
    """D4 on course 3 or 1, A3 on course 4 or 1, E3 on course 2 or 5 (theorbo in A, PS Spencer)."""
    found = sounded(music("| 4=3:3 4:2 2:0 X |||\n"), music("| 4=1:5 1:0 5:2 X |||\n"))
    assert sounded_verdict(found) == "The same music."


def test_octaves_lost_and_added_notes_are_told_one_by_one() -> None:
    found = sounded(music(MUSIC), music(MUSIC.replace("13,5:2,4:2,3:2 7", "6:0,5:2,4:2 7,3:0")))
    assert [(apart.kind, apart.bar, apart.event) for apart in found.apart] == [
        (Apart.OCTAVE, "bar 2", 1),
        (Apart.MISSING, "bar 2", 1),
        (Apart.ADDED, "bar 2", 2),
    ]
    assert [sounded_words(apart) for apart in found.apart] == [
        "event 1  A2 sounds an octave higher",
        "event 1  C#4 is missing",
        "event 2  B3 is added",
    ]
    assert sounded_verdict(found).startswith("2 differences in the notes, 1 more in their octave")


def test_a_bar_that_is_missing_is_one_difference() -> None:
    found = sounded(music(MUSIC * 3), music(MUSIC * 2))
    assert {apart.kind for apart in found.apart} == {Apart.BAR_MISSING}


def test_other_times_are_other_music() -> None:
    found = sounded(music("| 4=X 7 8 9 |||\n"), music("| 4=X 2=7 4=8 |||\n"))
    assert found.apart


@pytest.mark.parametrize("piece", ANTHOLOGY[::3], ids=lambda piece: piece.path.stem)
def test_what_the_moving_tells_is_what_sounds_otherwise(piece: PieceFile) -> None:
    source = anthology(piece)
    made = moved(source, "-M2")
    again = sounding_piece(SourceText.of("moved.intav", made.text)).value
    found = by_sound(source.led.sounding, again, ("one", "two"))
    told = sum(one.code.slug == "octave-changed" for one in made.diagnostics)
    assert found.interval.words == "a major second down"
    assert {apart.kind for apart in found.apart} <= {Apart.OCTAVE}
    # a note that is meant an octave higher than it sounds may be moved to where it is meant: that is no change
    raised = any(note.restored is not None and not note.restored.asked for note in source.led.notes)
    assert found.apart or not told
    assert told or not found.apart or (raised and {apart.by for apart in found.apart} == {1})
