"""Signs, stops and lengths in a musician's words."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import TypeVar

from pipeline.desk.compare.content import (
    BarlineContent,
    EventContent,
    ItemContent,
    MarkContent,
    Notes,
    SignContent,
    StopContent,
    UnreadContent,
)
from pipeline.edition.readings import AT_STOP, LINES, NOTHING, OVER
from pipeline.model.glyphs import FRET_LETTERS
from pipeline.model.signs import Act, Body, FretState, Reading, Signs, Slur
from pipeline.model.tablature import BarlineAct, NoteKind
from pipeline.model.time import WHOLE, Ticks, Value, show

T = TypeVar("T")

#: Names of values. Source: common practice.
_VALUES = {
    0: "breve", 1: "semibreve", 2: "minim", 4: "crotchet", 8: "quaver", 16: "semiquaver", 32: "demisemiquaver",
    64: "hemidemisemiquaver",
}  # fmt: skip
_DOTS = ("", "dotted ", "double-dotted ")
_LENGTHS = {
    Value(unit, dots).ticks: f"{_DOTS[dots]}{name}" for dots in (2, 1, 0) for unit, name in _VALUES.items()
}  # fmt: skip
_BARLINE_ACTS = {
    BarlineAct.PRINTED: "",
    BarlineAct.ADDED: ", added by the editor",
    BarlineAct.REMOVED: ", left out by the editor",
    BarlineAct.DOUBTFUL: ", doubtful",
}
_SLURS = {
    Slur.PRINTED: "slur from the note before",
    Slur.ADDED: "slur from the note before, added by the editor",
    Slur.DOUBTFUL: "slur from the note before, doubtful",
    Slur.REMOVED: "slur in the source, left out by the editor",
}
_NOTES = {
    NoteKind.REASON: "note",
    NoteKind.PRINTED_WORD: "printed word",
    NoteKind.WITNESS: "source",
    NoteKind.PIN: "pin",
}


@dataclass(frozen=True, slots=True)
class Hand:
    """What a sign is called depends on the system of signs, and on how many courses run over the fingerboard."""

    signs: Signs
    stopped: int

    def sign(self, sign: SignContent) -> str:
        """What is fretted: ``fret 2``, ``letter c``, ``open``, ``held``. Its course is named elsewhere."""
        return f"{self._fret(sign)}{dots(sign.dots)}"

    def stop(self, stop: StopContent) -> str:
        """The whole stop with what the editor did to it; without its course, as long as there is no doubt of that."""
        edition, source = stop.reading.edition, stop.reading.source
        moved = edition is not None and source is not None and edition.course != source.course
        return reading_words(stop.reading, self._on_course if moved else self.sign)

    def course(self, name: str) -> str:
        """``course 3``, ``diapason 10``."""
        if not name.isdecimal():
            return "a lost course" if name == "*" else "a course that is not clear" if name == "?" else "no course"
        return f"{'course' if int(name) <= self.stopped else 'diapason'} {name}"

    def placed(self, stop: StopContent) -> str:
        """The whole stop with its course: ``course 3 fret 2``, ``diapason 10``."""
        sign, course = stop.reading.edition or stop.reading.source, self.course(stop.course)
        plain = sign is not None and stop.course.isdecimal() and int(stop.course) > self.stopped
        if plain and sign == SignContent(stop.course, 0, FretState.READ, 0) and stop.reading.act is Act.PRINTED:
            return f"{course}{'?' if stop.reading.doubtful else ''}"
        return f"{course} {self.stop(stop)}"

    def event(self, event: EventContent) -> str:
        """Everything in an event: ``crotchet: course 3 fret 2, diapason 10``."""
        head = [value_words(event.value)] if event.value is not None else []
        head += [mark_words(mark, over=True) for mark in event.marks]
        if event.body is Body.NOTHING:
            under = "rest" if event.value is not None else "blank place"
        elif event.body is Body.AS_BEFORE:
            under = "the chord as before"
        else:
            under = ", ".join(map(self.placed, event.stops)) or NOTHING
        return f"{', '.join(head)}: {under}" if head else under

    def item(self, item: ItemContent) -> str:
        """An event, a bar line or a word that cannot be read."""
        match item:
            case EventContent():
                return self.event(item)
            case BarlineContent():
                return barline_words(item)
            case UnreadContent():
                return f"unread “{item.text}”"

    def _on_course(self, sign: SignContent) -> str:
        course = self.course(sign.course)
        return course if course.startswith("diapason") and not sign.fret else f"{course} {self.sign(sign)}"

    def _fret(self, sign: SignContent) -> str:
        match sign.state:
            case FretState.ILLEGIBLE:
                return "a sign that cannot be read"
            case FretState.LOST:
                return "a lost sign"
            case FretState.HOLD:
                return "held on"
            case FretState.READ:
                pass
        if not sign.fret:
            return "open"
        if self.signs is Signs.FRENCH and sign.fret < len(FRET_LETTERS):
            return f"letter {FRET_LETTERS[sign.fret]}"
        return f"fret {sign.fret}"


def dots(number: int) -> str:
    """Dots of the right hand."""
    return ("", ", one dot", ", two dots")[max(0, min(number, 2))]


def reading_words(reading: Reading[T], say: Callable[[T], str]) -> str:
    """What the edition reads, and what the editor did to it."""
    edition = say(reading.edition) if reading.edition is not None else ""
    source = say(reading.source) if reading.source is not None else NOTHING
    source += ", doubtful" if reading.source_doubtful else ""
    doubt = ", doubtful" if reading.doubtful else ""
    match reading.act:
        case Act.PRINTED:
            return f"{edition}{doubt}"
        case Act.ADDED:
            return f"{edition}{doubt}, added by the editor"
        case Act.EMENDED:
            return f"{edition}{doubt} (the source has {source})"
        case Act.SUPPLIED_ILLEGIBLE:
            return f"{edition}{doubt}, supplied for what cannot be read"
        case Act.SUPPLIED_LOST:
            return f"{edition}{doubt}, supplied for what is lost"
        case Act.REMOVED:
            return f"{source} in the source, left out by the editor"
        case Act.ILLEGIBLE:
            return "a sign that cannot be read"
        case Act.LOST:
            return "a lost sign"


def value_words(value: Reading[str]) -> str:
    """A rhythm sign with what the editor did to it."""
    return reading_words(value, value_name)


def value_name(name: str) -> str:
    """``4.`` as ``dotted crotchet``; empty for no value in force."""
    if not name:
        return "no value"
    unit = name.rstrip(".")
    return f"{_DOTS[len(name) - len(unit)]}{_VALUES[int(unit)]}"


def length_words(ticks: Ticks) -> str:
    """A length by its value, or as a part of a semibreve: ``5/8 of a semibreve``."""
    if ticks in _LENGTHS:
        return _LENGTHS[ticks]
    return f"{show(ticks)} semibreves" if ticks > WHOLE else f"{show(ticks)} of a semibreve"


def mark_words(mark: MarkContent, *, over: bool = False) -> str:
    """A mark: fixed ones by their meaning (``over`` an event or at a stop), declared ones by their printed sign."""
    meanings = OVER if over else AT_STOP
    return reading_words(mark.reading, lambda name: meanings.get(name, name))


def barline_words(line: BarlineContent) -> str:
    """A bar line with what the editor did to it."""
    return f"{LINES[line.kind]}{_BARLINE_ACTS[line.act]}"


def slur_words(slur: Slur | None) -> str:
    """A slur into a stop; empty for none."""
    return _SLURS[slur] if slur is not None else ""


def group_words(group: tuple[int, int, bool] | None) -> str:
    """A group over an event: ``3 in the time of 2``."""
    if group is None:
        return ""
    notes, time, added = group
    return f"{notes} in the time of {time}{', added by the editor' if added else ''}"


def notes_words(notes: Notes) -> str:
    """Note lines, as typed but for their labels."""
    return "; ".join(f"{_NOTES[note.kind]}{f' {note.who}' if note.who else ''}: {note.text}" for note in notes)


def joined(texts: Iterable[str]) -> str:
    """Texts one after another, empty ones left out."""
    return ", ".join(text for text in texts if text)


_NAMES = ("C", "C#", "D", "Eb", "E", "F", "F#", "G", "G#", "A", "Bb", "B")


def heard(stop: StopContent | None) -> str:
    """The pitch that a stop sounds, as spelled, else by its usual name; empty if it sounds nothing new."""
    if stop is None or not stop.strings or stop.sounds == "held":
        return ""
    if stop.read is not None:
        return stop.read.spelling.replace(" ", "+")
    return "+".join(f"{_NAMES[pitch % 12]}{pitch // 12 - 1}" for pitch in stop.strings)
