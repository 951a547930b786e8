"""What stands beside the notes of one part at a moment of the measure: words, chord letters and names."""

from __future__ import annotations

import re
from collections import deque
from collections.abc import Iterable

from lxml.etree import SubElement, _Element

from pipeline.model.score import ChordSign, Words, WordsKind
from pipeline.model.time import Ticks
from pipeline.writers.musicxml import directions, notes
from pipeline.writers.musicxml.pen import Cursor, Pen
from pipeline.writers.musicxml.rows import row

#: A chord name: root, kind, bass.
_NAME = re.compile(r"([A-G])(##?|bb?|--?)?([^/]*)(?:/([A-G])(##?|bb?|--?)?)?")
#: Kind as it is written behind the root → ``kind`` of the standard.
_KINDS = {
    "": "major", "m": "minor", "dim": "diminished", "o": "diminished", "aug": "augmented", "+": "augmented",
    "7": "dominant", "maj7": "major-seventh", "m7": "minor-seventh", "dim7": "diminished-seventh",
    "o7": "diminished-seventh", "m7b5": "half-diminished", "ø7": "half-diminished", "6": "major-sixth",
    "m6": "minor-sixth", "sus": "suspended-fourth", "sus4": "suspended-fourth", "sus2": "suspended-second",
    "5": "power", "pedal": "pedal",
}  # fmt: skip


class Moments:
    """Words and chord signs of one measure in order of time, each with the staff it belongs to (0: the only one)."""

    def __init__(
        self, pen: Pen, measure: str, words: Iterable[tuple[Words, int]], chords: Iterable[tuple[ChordSign, int]]
    ) -> None:
        self._pen = pen
        self._measure = measure
        both: list[tuple[Words | ChordSign, int]] = [*words, *chords]
        both.sort(key=lambda each: each[0].offset)
        self._waiting = deque(both)

    def until(self, end: Ticks | None, element: _Element, cursor: Cursor) -> None:
        """Write what begins before ``end`` (ticks in the measure; None: all that is left)."""
        waiting = self._waiting
        while waiting and (end is None or waiting[0][0].offset < end):
            sign, staff = waiting.popleft()
            offset = (sign.offset - cursor.at) // self._pen.unit
            match sign:
                case Words():
                    noted = sign.kind is WordsKind.FOOTNOTE
                    footnote = self._pen.footnote(sign.text, self._measure) if noted else ""
                    directions.words(element, sign, offset=offset, footnote=footnote, staff=staff)
                case ChordSign():
                    said = self._pen.footnote(sign.footnote, self._measure) if sign.footnote else ""
                    chord_sign(element, sign, offset=offset, staff=staff, footnote=said)


def chord_sign(measure: _Element, sign: ChordSign, *, offset: int, staff: int, footnote: str = "") -> None:
    """``harmony`` for the name of a chord: root, kind, bass, offset, staff. Words for a printed letter, which may
    stand for a shape of the hand (C is no C major there), and for a name that the standard has no word for."""
    found = _NAME.fullmatch(sign.text) if sign.named else None
    if found is None or found[3] not in _KINDS:
        level = notes.level_words(sign.editorial)
        directions.direction(measure, sign.text, offset=offset, footnote=footnote, level=level, staff=staff)
        if sign.footnote:
            directions.letter(measure, sign.footnote, footnote, staff=staff)
        return
    harmony = row(measure, "harmony", {"placement": "above"})
    _named_step(SubElement(harmony, "root"), "root", found[1], found[2])
    SubElement(harmony, "kind", text=found[3]).text = _KINDS[found[3]]
    if found[4]:
        _named_step(SubElement(harmony, "bass"), "bass", found[4], found[5])
    if offset:
        SubElement(harmony, "offset").text = str(offset)
    if staff:
        SubElement(harmony, "staff").text = str(staff)


def _named_step(holder: _Element, name: str, step: str, accidental: str | None) -> None:
    """``root-step``, ``root-alter``, or the same of the bass."""
    SubElement(holder, f"{name}-step").text = step
    if accidental:
        SubElement(holder, f"{name}-alter").text = str(accidental.count("#") or -len(accidental))
