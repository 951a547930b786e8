"""Drafts as records of a typed piece: events, stops, bar lines, with their labels and note lines."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from pipeline.model.glyphs import FRENCH_DIAPASONS, FRET_LETTERS
from pipeline.model.limits import MOST_COURSES
from pipeline.model.signs import (
    Act,
    Body,
    Event,
    FretState,
    Head,
    Label,
    MarkGroup,
    Reading,
    Sign,
    Signs,
    Stop,
)
from pipeline.model.tablature import BarItem, Barline, NoteKind, NoteLine, SourceBreak
from pipeline.model.text import Span
from pipeline.source import encoded
from pipeline.source.exchange.drafts import (
    BreakDraft,
    EventDraft,
    Figure,
    ItemDraft,
    LineDraft,
    Remark,
    StopDraft,
)

#: The records carry no place: they are only written, and read again.
NOWHERE = Span("", 1, 1, 1)
#: Marks over events in the order in which they are typed; all others come first.
_ORDER = "rsudbfen"
_HIGHEST = len(FRET_LETTERS) - 1
_MOST_FRETS = 99
_LETTERS = "abcdefghijklmnopqrstuvwxyz"
#: The first course beside the lines.
_BASS = 7
#: The last course that a figure alone stands for.
_LAST_BARE = 19
_FRENCH_FIGURES = {course: figure for figure, course in FRENCH_DIAPASONS.items()}


class Labels:
    """The labels of one bar, given out as they are needed, and the note lines that they lead to."""

    def __init__(self) -> None:
        self.notes: list[NoteLine] = []
        self._given = 0

    def of(self, remarks: Sequence[Remark]) -> tuple[Label, ...]:
        """One label for all that is said of a sign. Where a bar has no letter left, it is said of the bar."""
        if not remarks:
            return ()
        letter = _LETTERS[self._given] if self._given < len(_LETTERS) else ""
        self._given += 1
        for remark in remarks:
            if letter or remark.kind is not NoteKind.WITNESS:
                self.notes.append(note_line(remark, letter))
        return (Label(letter, NOWHERE),) if letter else ()


def note_line(remark: Remark, letter: str) -> NoteLine:
    return NoteLine(remark.kind, letter, NOWHERE, remark.who, plain_words(remark.text))


def plain_words(text: str) -> str:
    """Words as they can be typed in one line: a word that begins with a semicolon would be a comment."""
    return " ".join(text.split()).replace(" ;", ";").lstrip(";").strip()


def typed_items(items: Iterable[ItemDraft], signs: Signs = Signs.ITALIAN) -> str:
    """Items as they are typed in a row."""
    found = []
    for item in records(list(items), Labels(), signs):
        match item:
            case Event():
                found.append(encoded.event(item, signs))
            case Barline():
                found.append(encoded.barline(item))
            case _:
                pass
    return " ".join(found)


def records(items: Sequence[ItemDraft], labels: Labels, signs: Signs) -> tuple[BarItem, ...]:
    """The items of a bar."""
    made: list[BarItem] = []
    for item in items:
        match item:
            case EventDraft():
                made.append(event_record(item, labels, signs))
            case LineDraft():
                made.append(Barline(item.kind, NOWHERE, item.act, labels.of(item.remarks)))
            case BreakDraft():
                made.append(SourceBreak(item.folio, NOWHERE))
    return tuple(made)


def event_record(draft: EventDraft, labels: Labels, signs: Signs) -> Event:
    stops = tuple(_stop(stop, labels, signs) for stop in draft.stops)
    body = draft.body if stops or draft.body is not Body.STOPS else Body.NOTHING
    return Event(NOWHERE, _head(draft, labels), body, stops if body is Body.STOPS else ())


def _head(draft: EventDraft, labels: Labels) -> Head | None:
    shown = draft.sign is not None or draft.beamed or draft.group is not None
    if not (shown or draft.marks or draft.remarks):
        return None
    own = labels.of(draft.remarks)
    second = draft.second if draft.sign is not None else None
    opening, behind = ((), own) if shown and (draft.sign or draft.group) else (own, ())
    return Head(draft.sign, NOWHERE, draft.beamed, draft.group, opening, behind, marks_record(draft.marks), second)


def marks_record(marks: Sequence[Reading[str]]) -> tuple[MarkGroup, ...]:
    """Plain marks under one tick, each other one under its own."""
    ordered = sorted(marks, key=lambda mark: _ORDER.find(mark.edition or mark.source or ""))
    plain = tuple(mark for mark in ordered if mark.act is Act.PRINTED and not mark.doubtful)
    others = [mark for mark in marks if mark not in plain]
    groups = [MarkGroup(plain, (), NOWHERE)] if plain else []
    return (*groups, *(MarkGroup((mark,), (), NOWHERE) for mark in others))


def _stop(draft: StopDraft, labels: Labels, signs: Signs) -> Stop:
    edition = sign_record(draft.edition, signs) if draft.edition is not None else None
    source = sign_record(draft.source, signs) if draft.source is not None else None
    if draft.act in (Act.ILLEGIBLE, Act.LOST):
        edition = source = None
    reading = Reading(draft.act, edition, source, draft.doubtful and edition is not None)
    marks = marks_record(draft.marks)
    return Stop(reading, NOWHERE, draft.slur, draft.after, labels.of(draft.remarks), marks)


def sign_record(figure: Figure, signs: Signs) -> Sign:
    """A figure as it is typed in these signs."""
    lost = "" if figure.course is not None else "*" if figure.line_lost else "?"
    if figure.state is not FretState.READ or figure.fret is None:
        if figure.course is not None and figure.course >= _BASS and figure.state is FretState.HOLD:
            return Sign(figure.course, None, figure.state, _bass(figure.course, 0, "", signs), True)
        return Sign(figure.course, None, figure.state, "", course_sign=lost)
    course, fret = figure.course, figure.fret
    if course is not None and course >= _BASS:
        typed = _bass(course, fret, figure.printed, signs)
        if typed:
            return Sign(course, fret, FretState.READ, typed, True, figure.dots)
    typed = _fret(fret, figure.printed, signs)
    return Sign(course, fret, FretState.READ, typed, False, figure.dots, lost)


def typable(figure: Figure, signs: Signs) -> bool:
    """Whether the encoding has a sign for a figure."""
    if figure.course is not None and not 0 < figure.course <= MOST_COURSES:
        return False
    return figure.fret is None or figure.fret <= _HIGHEST or (signs is Signs.ITALIAN and figure.fret <= _MOST_FRETS)


def _fret(fret: int, shown: str, signs: Signs) -> str:
    if signs is Signs.ITALIAN:
        return "X" if fret == 10 and shown == "X" else str(fret)
    if (shown, fret) in (("r", 2), ("y", 8)):
        return shown
    return FRET_LETTERS[fret] if fret < len(FRET_LETTERS) else ""


def _bass(course: int, fret: int, shown: str, signs: Signs) -> str:
    """The sign of a course beside the lines; empty if it is typed with its course."""
    if signs is Signs.ITALIAN:
        bare = fret == 0 and course <= _LAST_BARE
        return ("X" if course == 10 and shown == "X" else str(course)) if bare else ""
    if course in _FRENCH_FIGURES:
        return _FRENCH_FIGURES[course] if fret == 0 else ""
    letter = _fret(fret, shown, signs)
    return "/" * (course - _BASS) + letter if letter and course < 11 else ""
