"""Measures with some of their staves left out. No note at the foot is lost: a letter whose sign goes stands over the
bar."""

from __future__ import annotations

from pipeline.model.notes import Place
from pipeline.model.record import replace
from pipeline.model.score import Measure, Words, WordsKind
from pipeline.model.song import Song
from pipeline.model.staves import Staves


def sung_with(song: Song, staves: Staves) -> Song:
    """What there is to print of a song; beside the tablature alone the chord letters that stand over it."""
    if staves.sung:
        return song
    return Song(chords=tuple(chord for chord in song.chords if not chord.over))


def chosen(measure: Measure, staves: Staves) -> Measure:
    """The measure with the staves that are to be printed."""
    if not staves.pair:
        measure = _without_pair(measure)
    return measure if staves.tablature else _without_tablature(measure)


def _without_pair(measure: Measure) -> Measure:
    slurs = tuple(slur for slur in measure.slurs if slur.tablature)
    return replace(measure, layers=(), slurs=slurs, arpeggios=(), dashes=(), brackets=(), octave_runs=())


def _without_tablature(measure: Measure) -> Measure:
    folios = [
        Words(f"{measure.id}o{number}", WordsKind.FOLIO, folio, 0, Place.ABOVE, tablature=False)
        for number, folio in enumerate(filter(None, measure.folios), start=1)
    ]
    lost = " ".join(_letters_lost(measure))
    letters = [Words(f"{measure.id}n", WordsKind.FOOTNOTE, lost, 0, Place.ABOVE, tablature=False)] if lost else []
    words = [replace(each, tablature=False, at="") for each in measure.words if each.kind is not WordsKind.RETUNE]
    return replace(
        measure,
        tab=(),
        holds=(),
        slurs=tuple(slur for slur in measure.slurs if not slur.tablature),
        words=(*folios, *letters, *words),
        folios=tuple("" for _ in measure.folios),
        retuned=None,
        footnote="",
    )


def _letters_lost(measure: Measure) -> list[str]:
    """The letters of the bar and of the tablature that no head carries, in their order."""
    kept = {head.footnote for layer in measure.layers for event in layer.events for head in event.heads}
    found: list[str] = []
    for event in measure.tab:
        found.extend(figure.footnote for figure in event.figures)
        found.extend(event.footnote.split())
        found.append(event.sign.footnote if event.sign is not None else "")
    found.extend(measure.footnote.split())
    letters = dict.fromkeys(letter for letter in found if letter and letter not in kept)
    return sorted(letters, key=lambda letter: (len(letter), letter))
