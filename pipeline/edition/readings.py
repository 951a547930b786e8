"""How a reading is said in words: the same in a note at the foot of the page as in the critical report."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import TypeVar

from pipeline.model.heading import Heading
from pipeline.model.layers import LayerPitch
from pipeline.model.signs import Act, FretState, Reading, Sign
from pipeline.model.tablature import Barline, BarlineKind, Ditto, NoteLine
from pipeline.model.time import Value

T = TypeVar("T")
#: Says a reading; the other reading of the same place is beside it, so that what tells them apart is said.
Saying = Callable[[T, T | None], str]

LEFT_OUT, NOTHING, NO_READING = "left out", "nothing", "no reading"

_ORDINALS = (
    "", "first", "second", "third", "fourth", "fifth", "sixth", "seventh",
    "eighth", "ninth", "tenth", "eleventh", "twelfth", "thirteenth", "fourteenth",
)  # fmt: skip
_VALUES = {
    0: "breve", 1: "semibreve", 2: "minim", 4: "crotchet", 8: "quaver", 16: "semiquaver", 32: "demisemiquaver",
    64: "hemidemisemiquaver",
}  # fmt: skip
_DOTS = ("", "dotted ", "double-dotted ")
_UNREADABLE = {
    Act.SUPPLIED_ILLEGIBLE: "illegible",
    Act.SUPPLIED_LOST: "lost",
    Act.ILLEGIBLE: "illegible",
    Act.LOST: "lost",
}
#: Marks that the encoding gives a small letter or a figure: over an event, and at a stop.
OVER = {
    "r": "arpeggio", "s": "lines through the chord", "u": "strum up", "d": "strum down", "f": "fermata", "b": "barre",
    "e": "“and so on”", "n": "no value from here",
}  # fmt: skip
AT_STOP = {
    "1": "finger 1", "2": "finger 2", "3": "finger 3", "4": "finger 4", "p": "thumb", "i": "index finger",
    "m": "middle finger", "a": "ring finger", "b": "partial barre", "s": "line to the next stop",
    "h": "star: hold the finger down",
}  # fmt: skip
LINES = {
    BarlineKind.SINGLE: "bar line",
    BarlineKind.DOUBLE: "double bar line",
    BarlineKind.FINAL: "final bar line",
    BarlineKind.DASHED: "broken bar line",
    BarlineKind.REPEAT_END: "bar line with the end of a repeat",
    BarlineKind.REPEAT_START: "bar line with the beginning of a repeat",
    BarlineKind.REPEAT_BOTH: "bar line with repeats on both sides",
}
#: Joins two syllables that are sung as one (U+203F).
ELISION = "‿"
_ACCIDENTALS = {"#": "♯", "b": "♭", "n": "♮", "": ""}


def with_signs(text: str) -> str:
    """Typed pitch names with real accidentals: F#2 becomes F♯2, Bb1 B♭1."""
    return re.sub(r"\b([A-G])([#b])(?=\d)", lambda found: found[1] + ("♯" if found[2] == "#" else "♭"), text)


def difference(reading: Reading[T], said: Saying[T]) -> Iterator[str]:
    """What the source has, where that is not what the edition reads, for a note at the foot."""
    act = reading.act
    doubt = " (doubtful)" if reading.source_doubtful else ""
    if act is Act.EMENDED and reading.source is not None and reading.edition is not None:
        source, here = said(reading.source, reading.edition), said(reading.edition, reading.source)
        yield f"{source} in the source{doubt}; read {here}"
    elif act is Act.REMOVED and reading.source is not None:
        yield f"{said(reading.source, None)} in the source{doubt}, left out"
    elif act in _UNREADABLE:
        yield f"{_UNREADABLE[act]} in the source"


def source_said(reading: Reading[T], said: Saying[T]) -> str:
    """What the source has."""
    if reading.act is Act.ADDED:
        return NOTHING
    if reading.source is None:
        return _UNREADABLE[reading.act]
    doubtful = reading.doubtful if reading.act is Act.PRINTED else reading.source_doubtful
    return f"{said(reading.source, reading.edition)} (doubtful)" if doubtful else said(reading.source, reading.edition)


def here_said(reading: Reading[T], said: Saying[T]) -> str:
    """What the edition reads."""
    if reading.edition is None:
        return LEFT_OUT if reading.act is Act.REMOVED else NO_READING
    said_here = said(reading.edition, reading.source)
    return f"{said_here} (doubtful)" if reading.doubtful and reading.act is not Act.PRINTED else said_here


def sign_said(sign: Sign, other: Sign | None = None) -> str:
    """A figure or letter; its dots and its line only where the other reading has not the same."""
    if sign.state is FretState.HOLD:
        return "a hold line"
    text = sign.typed if sign.state is FretState.READ else str(sign.state.value)
    if other is not None and other.dots != sign.dots:
        dots = ("without dots", "with a dot", "with two dots")[sign.dots]
        text = f"{text} {dots}"
    if sign.course is None:
        return f"{text} on another line" if other is not None else f"{text} on no certain line"
    if other is not None and other.course != sign.course and not sign.bare:
        return f"{text} on the {course_said(sign.course)}"
    return text


def value_said(value: Value, other: Value | None = None) -> str:
    """A rhythm sign by the name of its value: ``dotted crotchet``."""
    del other
    return f"{_DOTS[value.dots]}{_VALUES[value.unit]}"


def pitch_said(pitch: LayerPitch, other: LayerPitch | None = None) -> str:
    """A note of a line, as printed there."""
    del other
    return f"{pitch.step}{_ACCIDENTALS[pitch.accidental]}{'' if pitch.octave is None else pitch.octave}"


def word_said(word: str, other: str | None = None) -> str:
    """A syllable or chord letter, as printed there."""
    del other
    return f"“{word.replace('_', ELISION) if len(word) > 1 else word}”"


def marks_of(heading: Heading, *, at_stop: bool) -> Saying[str]:
    """How this piece's marks are said: declared ones by their printed sign, the others by what they mean."""
    known = AT_STOP if at_stop else OVER

    def said(letter: str, other: str | None = None) -> str:
        del other
        declared = heading.mark(letter)
        return f"mark {declared.printed}" if declared is not None else known.get(letter, f"mark {letter}")

    return said


def barline_said(line: Barline) -> str:
    """A bar line by its looks."""
    return LINES[line.kind]


def course_said(number: int | None) -> str:
    """``fourth course``."""
    if number is None:
        return "course unclear"
    return f"{_ORDINALS[number]} course" if number < len(_ORDINALS) else f"course {number}"


def ditto_said(ditto: Ditto) -> str:
    """What the source says instead of the bars."""
    if ditto.section:
        return f"not written out in the source: as bar {ditto.number} of {ditto.section}"
    return f"not written out in the source: as the {'bar' if ditto.bars == 1 else f'{ditto.bars} bars'} before"


def reason_said(line: NoteLine) -> str:
    """A reason and who gives it."""
    return f"{line.text} ({line.who})" if line.who else line.text
