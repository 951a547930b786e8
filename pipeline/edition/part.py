"""The player's part: the tablature alone, large, with cues of the voices, its tunings told at the head."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from types import MappingProxyType

from pipeline.edition.diapasons import asked_tunings
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


def part_of(voiced: VoicedPiece, song: Song, asked: Part, moved: str = "", mover: str = "") -> Score | None:
    """The part for the player, its signs those of the source or the others; None where none is asked for.

    Its bars are those of the edition. Notes at the foot stay there, and so do pages of the source. Of a piece that was
    ``moved``, in words, the notes of the moving, whose initials are ``mover``, stand in the part.
    """
    if asked is Part.NONE:
        return None
    score = notate(voiced, song, Staves.TABLATURE)
    heading = voiced.sounding.heading
    wanted = {Part.ITALIAN: Signs.ITALIAN, Part.FRENCH: Signs.FRENCH}.get(asked, heading.signs)
    cues = _cues(song, voiced.sounding.bars)
    notes = tuple(note for note in score.footnotes if mover and f"({mover})" in note.text)
    letters = {note.letter: str(number) for number, note in enumerate(notes, start=1)}
    measures = tuple(
        bare(replace(measure, words=(*measure.words, *cues.get(place, ()))), letters)
        for place, measure in enumerate(score.measures)
    )
    if wanted is not heading.signs:
        measures = tuple(in_signs(measure, wanted) for measure in measures)
    left = [f"Part for the player: {instrument_word(heading).lower()}"]
    if wanted is not heading.signs:
        left.append(f"In {_NAMED[wanted]}; the source has {_NAMED[heading.signs]}")
    left.extend([moved] if moved else [])
    left.extend(instrument_lines(heading.instrument, wanted, asked_tunings(voiced.sounding)))
    left.extend(f"{words} before bar {label}" for words, label in retunings(voiced.sounding.bars))
    if heading.pitch is not None:
        left.append(f"A4 = {heading.pitch:g} Hz")
    return replace(
        score,
        credits=Credits(score.credits.title, "", tuple(left), score.credits.right),
        signs=wanted,
        measures=measures,
        footnotes=tuple(
            replace(note, letter=letters[note.letter], text=note.text.replace(f" ({mover})", "")) for note in notes
        ),
        legend=tuple(_legend(score, elsewhere=len(notes) < len(score.footnotes))),
        size=SIZE,
        turned=True,
    )


def _legend(score: Score, *, elsewhere: bool) -> Iterator[LegendEntry]:
    """``elsewhere``: there are notes that the part does not have."""
    if elsewhere:
        yield LegendEntry("Readings of the source:", "see the notes at the foot of the edition.")
    yield from (entry for entry in score.legend if entry.sign not in ("Tablature:", "|", "Initials:"))


def bare(measure: Measure, letters: Mapping[str, str] = MappingProxyType({})) -> Measure:
    """Without pages of the source, and with those letters of notes at the foot alone that have new ones."""
    words = tuple(_word(each, letters) for each in measure.words if each.kind is not WordsKind.FOLIO)
    return replace(
        measure,
        words=tuple(each for each in words if each.text),
        tab=tuple(_relettered(event, letters) for event in measure.tab),
        chord_signs=tuple(replace(sign, footnote=_new(sign.footnote, letters)) for sign in measure.chord_signs),
        footnote=_new(measure.footnote, letters),
        folios=tuple("" for _ in measure.folios),
        layout=None,
    )


def _word(words: Words, letters: Mapping[str, str]) -> Words:
    return replace(words, text=_new(words.text, letters)) if words.kind is WordsKind.FOOTNOTE else words


def _relettered(event: TabEvent, letters: Mapping[str, str]) -> TabEvent:
    sign = replace(event.sign, footnote=_new(event.sign.footnote, letters)) if event.sign is not None else None
    figures = tuple(replace(figure, footnote=_new(figure.footnote, letters)) for figure in event.figures)
    return replace(event, footnote=_new(event.footnote, letters), sign=sign, figures=figures)


def _new(footnote: str, letters: Mapping[str, str]) -> str:
    return " ".join(letters[letter] for letter in footnote.split() if letter in letters)


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


def first_words(notes: Sequence[SungNote], most: int = _CUE_WORDS) -> str:
    """The first words sung to these notes, in the first stanza, up to a rest: whole words, ``most`` of them."""
    words: list[str] = []
    word = ""
    for note in notes:
        if note.pitch is None or len(words) >= most:
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
    return " ".join(words[:most]).replace("‿", " ")
