"""A madrigal's top part sung, the others arranged for the theorbo and typed: every sung note and word comes back.

Source: ``lusitano/allor_che_ignuda.mxl`` and others of music21's corpus, read by music21. The arranger
(tests/benchmarks/voices/arrange.py) knows nothing of the pipeline.
"""

from __future__ import annotations

from collections import Counter

import pytest

from pipeline.model.record import replace
from pipeline.model.song import SungLine
from pipeline.model.text import SourceText
from pipeline.model.voicefile import VoiceFile
from pipeline.source.read import song_of, sounding_piece
from tests.benchmarks.voices import corpus
from tests.benchmarks.voices.arrange import Arranged, Habit, arrange
from tests.benchmarks.voices.corpus import PartScore
from tests.outside.song_typist import ELISION, Sung, sung, typed_song

NAME = "lusitano/allor_che_ignuda.mxl"
Note = tuple[int, int, int | None, bool, str, str]


def _without_top(score: PartScore) -> PartScore:
    lower = score.part > 0
    columns = {name: getattr(score, name)[lower] for name in ("onset", "length", "pitch", "fifths")}
    return replace(score, part=score.part[lower] - 1, **columns)


def _ends(score: PartScore, line: tuple[tuple[Sung, str], ...]) -> list[int]:
    return [*(int(bar) for bar in score.bars[1:]), max(row.onset + row.length for row, _ in line)]


def _transposition(score: PartScore, piece: Arranged) -> int:
    """By how much the arranger moved the score: what the difference of simultaneous notes most often is."""
    at: dict[int, list[int]] = {}
    for onset, pitch in zip(score.onset.tolist(), score.pitch.tolist(), strict=True):
        at.setdefault(onset, []).append(pitch)
    moves = Counter(
        pitch - was
        for onset, pitch in zip(piece.onset.tolist(), piece.pitch.tolist(), strict=True)
        for was in at[onset]
    )
    return moves.most_common(1)[0][0]


def _truth(line: tuple[tuple[Sung, str], ...]) -> list[Note]:
    return [
        (row.onset, row.length, row.pitch, row.tied, row.text.replace(ELISION, "‿"), row.syllabic) for row, _ in line
    ]


def _made(line: SungLine) -> list[Note]:
    return [
        (
            note.onset,
            note.length,
            note.pitch.semitones if note.pitch else None,
            note.tied,
            "".join(word.text for word in note.syllables),
            "".join(word.place.value for word in note.syllables),
        )
        for note in line.notes
    ]


@pytest.mark.parametrize("habit", list(Habit))
def test_every_sung_note_and_syllable_comes_back(habit: Habit) -> None:
    score, line = corpus.load(NAME), sung(NAME)
    text = typed_song(arrange(_without_top(score), habit, seed=1), line, _ends(score, line))
    sounding = sounding_piece(SourceText.of("song.intav", text))
    song = song_of(sounding.value)
    assert song.diagnostics == ()
    (made,) = song.value.lines
    assert _made(made) == _truth(line)
    assert len(line) > 150 and made.stanzas == 1


@pytest.mark.parametrize("habit", list(Habit))
@pytest.mark.parametrize("name", [NAME, "bach/bwv66.6.mxl", "palestrina/Agnus_00.krn"])
def test_a_voice_at_the_scores_pitch_is_moved_to_the_arrangement(name: str, habit: Habit) -> None:
    """All parts arranged and transposed by the arranger, the voice typed as the score has it."""
    score, line = corpus.load(name), sung(name)
    piece = arrange(score, habit, seed=1)
    by = (_transposition(score, piece) + 6) % 12 - 6
    song = song_of(sounding_piece(SourceText.of("song.intav", typed_song(piece, line, _ends(score, line)))).value)
    assert [finding.code.slug for finding in song.diagnostics] == ["voice-pitch-differs"] * bool(by)
    assert song.value.lines[0].moved == by
    assert [note.pitch.semitones for note in song.value.lines[0].notes if note.pitch] == [
        row.pitch + by for row, _ in line if row.pitch is not None
    ]


@pytest.mark.parametrize("habit", list(Habit))
@pytest.mark.parametrize("name", ["bach/bwv10.7.mxl", "bach/bwv104.6.mxl", "palestrina/Kyrie_00.krn"])
def test_no_move_is_claimed_that_is_not_one(name: str, habit: Habit) -> None:
    """The top part is not in the arrangement, and its chords alone may not tell: then nothing is moved."""
    score, line = corpus.load(name), sung(name)
    rest = _without_top(score)
    piece = arrange(rest, habit, seed=1)
    text = typed_song(piece, line, _ends(score, line))
    made = song_of(sounding_piece(SourceText.of("song.intav", text)).value).value.lines[0]
    assert made.moved in (0, (_transposition(rest, piece) + 6) % 12 - 6)


def test_the_part_taken_from_the_file_is_the_same() -> None:
    """The score's own file named in the heading, against the same part typed; its words too."""
    score, line = corpus.load(NAME), sung(NAME)
    typed = typed_song(arrange(_without_top(score), Habit.MIXED, seed=1), line, _ends(score, line))
    kept = [row for row in typed.split("\n") if not row.startswith(("v ", "1 "))]
    text = "\n".join(kept).replace("clef C1", "clef C1, from allor.mxl")
    data = (corpus.corpus_root() / NAME).read_bytes()
    sounding = sounding_piece(SourceText.of("song.intav", text))
    song = song_of(sounding.value, {"allor.mxl": VoiceFile("allor.mxl", data)})
    assert song.diagnostics == ()
    (made,) = song.value.lines
    assert made.from_file == "allor.mxl"
    from_typing = song_of(sounding_piece(SourceText.of("song.intav", typed)).value).value.lines[0]
    assert _made(made) == _truth(line) == _made(from_typing)
    drawn = [[word.extends for word in note.syllables] for note in made.notes]
    assert drawn == [[word.extends for word in note.syllables] for note in from_typing.notes]
    assert [note.slurred for note in made.notes] == [note.slurred for note in from_typing.notes]
