"""The player's part: the tablature alone, large, with cues of the voices, its tunings told at the head."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from pipeline.edition.notate import notate
from pipeline.edition.notate.front import diapason_sign, instrument_lines, instrument_word
from pipeline.edition.notate.words import retunings
from pipeline.model.glyphs import FRET_LETTERS
from pipeline.model.notes import Ink, Place, TabEvent, TabFigure
from pipeline.model.options import Part
from pipeline.model.record import replace
from pipeline.model.score import Credits, LegendEntry, Measure, Score, Words, WordsKind
from pipeline.model.signs import Signs
from pipeline.model.song import Song, SungLine, SungNote, WordPlace
from pipeline.model.sounding import SoundingBar
from pipeline.model.staves import Staves
from pipeline.model.time import WHOLE
from pipeline.model.voiced import VoicedPiece

#: Against staves of the usual height: a figure is then 2.46 mm high, and lines are 3.26 mm apart.
SIZE = 1.5
_NAMED = {Signs.FRENCH: "French letters", Signs.ITALIAN: "Italian figures"}
#: So many words of an entry are printed.
_CUE_WORDS = 3


def part_of(voiced: VoicedPiece, song: Song, asked: Part) -> Score | None:
    """The part for the player, its signs those of the source or the others; None where none is asked for.

    Its bars are those of the edition. Notes at the foot stay there, and so do pages of the source.
    """
    if asked is Part.NONE:
        return None
    score = notate(voiced, song, Staves.TABLATURE)
    heading = voiced.sounding.heading
    wanted = {Part.ITALIAN: Signs.ITALIAN, Part.FRENCH: Signs.FRENCH}.get(asked, heading.signs)
    cues = _cues(song, voiced.sounding.bars)
    measures = tuple(
        _bare(replace(measure, words=(*measure.words, *cues.get(place, ()))))
        for place, measure in enumerate(score.measures)
    )
    if wanted is not heading.signs:
        measures = tuple(in_signs(measure, wanted) for measure in measures)
    left = [f"Part for the player: {instrument_word(heading).lower()}"]
    if wanted is not heading.signs:
        left.append(f"In {_NAMED[wanted]}; the source has {_NAMED[heading.signs]}")
    left.extend(instrument_lines(heading.instrument, wanted))
    left.extend(f"{words} before bar {label}" for words, label in retunings(voiced.sounding.bars))
    if heading.pitch is not None:
        left.append(f"A4 = {heading.pitch:g} Hz")
    return replace(
        score,
        credits=Credits(score.credits.title, "", tuple(left), score.credits.right),
        signs=wanted,
        measures=measures,
        footnotes=(),
        legend=tuple(_legend(score)),
        size=SIZE,
        turned=True,
    )


def _legend(score: Score) -> Iterator[LegendEntry]:
    if score.footnotes:
        yield LegendEntry("Readings of the source:", "see the notes at the foot of the edition.")
    yield from (entry for entry in score.legend if entry.sign not in ("Tablature:", "|"))


def _bare(measure: Measure) -> Measure:
    """Without letters of notes at the foot and pages of the source."""
    words = tuple(each for each in measure.words if each.kind not in (WordsKind.FOOTNOTE, WordsKind.FOLIO))
    tab = tuple(_without_letters(event) for event in measure.tab)
    signs = tuple(replace(sign, footnote="") for sign in measure.chord_signs)
    return replace(
        measure,
        words=words,
        tab=tab,
        chord_signs=signs,
        footnote="",
        folios=tuple("" for _ in measure.folios),
        layout=None,
    )


def _without_letters(event: TabEvent) -> TabEvent:
    sign = replace(event.sign, footnote="") if event.sign is not None else None
    return replace(
        event, footnote="", sign=sign, figures=tuple(replace(figure, footnote="") for figure in event.figures)
    )


# --- signs -----------------------------------------------------------------------------------------------


def in_signs(measure: Measure, signs: Signs) -> Measure:
    """The measure in the other system of signs: every course and fret as it was."""
    tab = tuple(
        replace(event, figures=tuple(replace(figure, text=sign_for(figure, signs)) for figure in event.figures))
        for event in measure.tab
    )
    return replace(measure, tab=tab)


def sign_for(figure: TabFigure, signs: Signs) -> str:
    """The sign of a figure in a system: an open diapason has one of its own, the tenth fret is X or l (7 and l are told
    apart: a 7 stands outside the lines of letters, and is course 14)."""
    if figure.ink is not Ink.FIGURE:
        return figure.text
    if figure.outside and not figure.fret:
        return diapason_sign(figure.course, signs)
    if signs is Signs.FRENCH:
        return FRET_LETTERS[figure.fret]
    return "X" if figure.fret == 10 else str(figure.fret)


# --- cues ------------------------------------------------------------------------------------------------


def _cues(song: Song, bars: Sequence[SoundingBar]) -> dict[int, list[Words]]:
    """Measure → the first words of the voices that enter in it: at the beginning, and after half a bar of silence."""
    found: dict[int, list[Words]] = {}
    for line in song.lines:
        if line.bass:
            continue
        for at in _entries(line, bars):
            note = line.notes[at]
            bar = bars[note.bar]
            name = line.title or "Voice"
            said = f"{name}: {first_words(line.notes[at:])}".rstrip(": ")
            words = Words(f"cue-{note.id}", WordsKind.CUE, said, note.onset - bar.onset, Place.ABOVE, tablature=True)
            found.setdefault(note.bar, []).append(words)
    return found


def _entries(line: SungLine, bars: Sequence[SoundingBar]) -> Iterator[int]:
    until: int | None = None
    for place, note in enumerate(line.notes):
        if note.pitch is None or note.bar >= len(bars):
            continue
        metre = bars[note.bar].metre
        silence = (metre.ticks if metre is not None and metre.beats else WHOLE) // 2
        if until is None or note.onset - until >= silence:
            yield place
        until = note.onset + note.length


def first_words(notes: Sequence[SungNote]) -> str:
    """The first words sung to these notes, in the first stanza, up to a rest: whole words, a few."""
    words: list[str] = []
    word = ""
    for note in notes:
        if note.pitch is None or len(words) == _CUE_WORDS:
            break
        for syllable in note.syllables:
            if syllable.stanza != 1:
                continue
            word += syllable.text
            if syllable.place in (WordPlace.SINGLE, WordPlace.END):
                words.append(word)
                word = ""
    if word:
        words.append(f"{word}-")
    return " ".join(words[:_CUE_WORDS]).replace("‿", " ")
