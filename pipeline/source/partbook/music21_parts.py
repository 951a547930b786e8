"""What music21 makes of a notation file, turned into our own records."""

from __future__ import annotations

import contextlib
import io
import re
import warnings
from collections.abc import Iterator
from fractions import Fraction
from typing import Any

from music21 import converter, note, stream

from pipeline.model.heading import Layer
from pipeline.model.limits import LONGEST_VOICE, LONGEST_VOICE_NOTE
from pipeline.model.pitch import SpelledPitch
from pipeline.model.record import replace
from pipeline.model.song import PartBook, PartNote, PartSyllable, WordPlace
from pipeline.model.sounding import TupletPlace
from pipeline.model.time import WHOLE, Ticks, Value
from pipeline.source.partbook.safety import BrokenError, TooMuchError

_UNITS = {"breve": 0, "whole": 1, "half": 2, "quarter": 4, "eighth": 8, "16th": 16, "32nd": 32, "64th": 64}
_VALUES = tuple(Value(unit, dots) for unit in (0, 1, 2, 4, 8, 16, 32, 64) for dots in (1, 0))
#: Where words stand in formats whose words music21 does not read, or not always.
_WORDS = {"abc": re.compile(r"^w:", re.MULTILINE), "humdrum": re.compile(r"\*\*(text|silbe|lyrics)")}
_NONE = re.compile(r"(?!)")
#: music21's class of an ornament, the more special first → its name.
_ORNAMENTS = {
    "Trill": "trill",
    "InvertedTurn": "inverted turn",
    "Turn": "turn",
    "InvertedMordent": "inverted mordent",
    "Mordent": "mordent",
}
ELISION = "‿"
#: How files join vowels sung on one note: a blank, an underscore, a tie below.
_JOINED = re.compile("[ \u00a0_\u035c]+")


def part_of(content: bytes | str, kind: str, layer: Layer) -> tuple[PartBook, tuple[str, ...]]:
    """One part, and remarks on what was chosen or left out. Raises BrokenError."""
    said = io.StringIO()  # music21 tells the terminal what it passes over; here it becomes a remark
    with warnings.catch_warnings(), contextlib.redirect_stderr(said):
        warnings.simplefilter("ignore")
        try:
            score = converter.parseData(content, format=kind)
            if isinstance(score, stream.Opus):
                score = score.scores[0]
            part, remarks = _chosen(score, layer)
            remarks += [_shortened(f"skipped: {line}") for line in said.getvalue().splitlines() if line.strip()][:1]
            book, remarks = _read(part, remarks, barred=kind != "midi")
        except BrokenError:
            raise
        # music21 raises whatever comes up in it on a damaged file; all of it means that the file cannot be read.
        except Exception as error:
            raise BrokenError(_shortened(f"the reader says: {error or type(error).__name__}")) from error
    if _WORDS.get(kind, _NONE).search(str(content)) and not any(note.syllables for bar in book.bars for note in bar):
        remarks.append("its words are not read; type them under its bars, or use MusicXML")
    return book, tuple(dict.fromkeys(remarks))


def _shortened(text: str) -> str:
    words = " ".join(text.split())
    return words if len(words) <= 140 else f"{words[:139]}…"


def _chosen(score: Any, layer: Layer) -> tuple[Any, list[str]]:
    """The part asked for by number, else the one named as the layer, else the top one."""
    parts = list(score.parts) or [score]
    if not any(part.recurse().notesAndRests for part in parts):
        raise BrokenError("it contains no notes")
    if layer.part:
        if layer.part > len(parts):
            many = f"{len(parts)} part{'' if len(parts) == 1 else 's'}"
            raise BrokenError(f"it has {many}, no part {layer.part}")
        return parts[layer.part - 1], []
    if len(parts) == 1:
        return parts[0], []
    for part in parts:
        if (part.partName or "").strip().casefold() == layer.title.casefold():
            return part, []
    return parts[0], [f"none of its {len(parts)} parts is called {layer.title}; the top one is taken"]


def _read(part: Any, remarks: list[str], *, barred: bool) -> tuple[PartBook, list[str]]:
    if part.duration.quarterLength > LONGEST_VOICE:
        raise TooMuchError(f"it lasts longer than {LONGEST_VOICE:,} crotchets")
    if barred and not part.getElementsByClass(stream.Measure):
        part = part.makeMeasures()
    keys = list(part.recurse().getElementsByClass("KeySignature"))
    measures = list(part.getElementsByClass(stream.Measure)) if barred else [part.stripTies().flatten()]
    reader = _Reader(remarks)
    bars = _drawn_out([list(reader.measure(measure)) for measure in measures])
    fifths = keys[0].sharps if keys else 0
    return PartBook(max(-7, min(7, fifths)), bars, barred), reader.remarks


def _drawn_out(bars: list[list[PartNote]]) -> tuple[tuple[PartNote, ...], ...]:
    """Syllables sung over several notes: each note that follows without words, up to a rest, is on the one before.
    Notation programs seldom write this down."""
    last: dict[int, tuple[int, int]] = {}
    for bar, notes in enumerate(bars):
        for place, each in enumerate(notes):
            here = {syllable.stanza for syllable in each.syllables}
            if each.pitch is None:
                last.clear()
            for stanza, (before, at) in last.items():
                if stanza not in here:
                    bars[before][at] = _extending(bars[before][at], stanza)
            if last and not here and not each.tied:
                notes[place] = replace(each, slurred=True)
            last.update(dict.fromkeys(here, (bar, place)))
    return tuple(tuple(notes) for notes in bars)


def _extending(sung: PartNote, stanza: int) -> PartNote:
    syllables = tuple(replace(each, extends=each.extends or each.stanza == stanza) for each in sung.syllables)
    return replace(sung, syllables=syllables)


class _Reader:
    """Reads the measures of one part in order, and gathers remarks."""

    def __init__(self, remarks: list[str]) -> None:
        self.remarks = remarks

    def measure(self, measure: Any) -> Iterator[PartNote]:
        voices = list(measure.voices)
        if len(voices) > 1:
            self.remarks.append("it has several voices in one part; the first is taken")
        at: Fraction = Fraction(0)
        for element in (voices[0] if voices else measure).notesAndRests:
            if element.duration.isGrace:
                self.remarks.append("grace notes are left out")
                continue
            if "Harmony" in element.classes:  # chord symbols count as notes there
                continue
            onset = Fraction(element.offset)
            if onset > at:
                yield from _rest(onset - at)
            elif onset < at:
                self.remarks.append("several notes sound at a time; those that begin first are taken")
                continue
            yield from self._notes(element)
            at = onset + Fraction(element.quarterLength)

    def _notes(self, element: Any) -> Iterator[PartNote]:
        length = _ticks(element.quarterLength)
        if not length:
            return
        head = element
        if element.isChord:
            self.remarks.append("it has chords; their highest notes are taken")
            head = max(element.notes, key=lambda each: each.pitch.ps)
        pitch = None if element.isRest or not hasattr(head, "pitch") else _pitch(head)
        tied = pitch is not None and head.tie is not None and head.tie.type in ("stop", "continue")
        slurred = pitch is not None and not element.lyrics and _inside_slur(element)
        plain = PartNote(
            length,
            Value(4),
            pitch,
            tied,
            slurred and not tied,
            any("Fermata" in each.classes for each in element.expressions),
            syllables=tuple(_syllables(element)),
            ornaments=() if pitch is None else tuple(self._ornaments(element)),
        )
        yield from _valued(plain, element)

    def _ornaments(self, element: Any) -> Iterator[str]:
        """The ornaments at a note that have a name here; others are remarked upon."""
        for sign in element.expressions:
            if "Fermata" in sign.classes or "Ornament" not in sign.classes:
                continue
            name = next((name for kind, name in _ORNAMENTS.items() if kind in sign.classes), "")
            if name:
                yield name
            else:
                self.remarks.append("it has ornaments of other kinds than trill, turn and mordent; they are left out")


def _inside_slur(element: Any) -> bool:
    """Whether a slur leads here from a note before."""
    slurs = [spanner for spanner in element.getSpannerSites() if "Slur" in spanner.classes]
    return any(spanner.getFirst() is not element for spanner in slurs)


def _valued(plain: PartNote, element: Any) -> Iterator[PartNote]:
    """A note with its written value; one that no value can hold becomes several, tied."""
    if plain.length > LONGEST_VOICE_NOTE * WHOLE // 4:
        raise TooMuchError(f"a note or rest in it lasts longer than {LONGEST_VOICE_NOTE:,} crotchets")
    duration = element.duration
    unit = _UNITS.get(duration.type)
    if unit is not None and duration.dots <= 2 and len(duration.tuplets) <= 1:
        value = Value(unit, duration.dots)
        tuplet = None
        if duration.tuplets:
            group = duration.tuplets[0]
            tuplet = TupletPlace(
                group.numberNotesActual,
                group.numberNotesNormal,
                group.type in ("start", "startStop"),
                group.type in ("stop", "startStop"),
            )
        if tuplet is not None or value.ticks == plain.length:
            yield _with(plain, plain.length, value, tuplet=tuplet)
            return
    left, first = plain.length, True
    while left:
        value = next((value for value in _VALUES if value.ticks <= left), _VALUES[-1])
        taken = min(value.ticks, left)
        yield _with(plain, taken, value, first=first)
        left, first = left - taken, False


def _with(
    plain: PartNote, length: Ticks, value: Value, *, tuplet: TupletPlace | None = None, first: bool = True
) -> PartNote:
    return PartNote(
        length,
        value,
        plain.pitch,
        plain.tied or (not first and plain.pitch is not None),
        plain.slurred and first,
        plain.fermata,
        tuplet,
        plain.syllables if first else (),
        plain.ornaments if first else (),
    )


def _rest(quarters: Fraction) -> Iterator[PartNote]:
    rest = note.Rest(quarterLength=quarters)
    yield from _valued(PartNote(_ticks(quarters), Value(4), None), rest)


def _ticks(quarters: Any) -> Ticks:
    return round(Fraction(quarters) * WHOLE / 4)


def _pitch(head: Any) -> SpelledPitch:
    pitch = head.pitch
    alter = round(pitch.accidental.alter) if pitch.accidental is not None else 0
    octave = pitch.octave if pitch.octave is not None else pitch.implicitOctave
    return SpelledPitch(pitch.step, alter, octave)


def _syllables(element: Any) -> Iterator[PartSyllable]:
    for lyric in element.lyrics:
        text = (lyric.text or "").strip()
        if not text:
            continue
        stanza = lyric.number if isinstance(lyric.number, int) and 0 < lyric.number < 10 else 1
        place = _place(lyric)
        yield PartSyllable(stanza, _JOINED.sub(ELISION, text), place, False)


def _place(lyric: Any) -> WordPlace:
    """Of an elision: it begins as its first part does and goes on as its last one."""
    parts = lyric.components if lyric.isComposite else [lyric]
    begun = parts[0].syllabic in ("middle", "end")
    goes_on = parts[-1].syllabic in ("begin", "middle")
    if begun:
        return WordPlace.MIDDLE if goes_on else WordPlace.END
    return WordPlace.BEGIN if goes_on else WordPlace.SINGLE
