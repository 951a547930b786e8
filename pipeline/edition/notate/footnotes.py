"""The notes at the foot: what the source has where the edition differs, and why."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from pipeline.edition.events_said import EventWords, line_said
from pipeline.edition.readings import (
    Saying,
    course_said,
    difference,
    ditto_said,
    marks_of,
    reason_said,
    sign_said,
    value_said,
)
from pipeline.model.heading import Heading
from pipeline.model.score import Footnote
from pipeline.model.signs import Act, Event, Label, MarkGroup, Slur, Stop
from pipeline.model.sounding import SoundingBar, SoundingEvent
from pipeline.model.tablature import OMITS, Barline, BarlineAct, NoteKind, NoteLine, SourceBar
from pipeline.source.parse.quoted import quoted_barline, quoted_value


class Footnotes:
    """Hands out numbers in order of reading and collects the texts of a piece."""

    def __init__(self) -> None:
        self.notes: list[Footnote] = []

    def add(self, measure: str, text: str) -> str:
        """A new note; returns its number, which is printed in a ring: neither music nor tablature has that sign."""
        number = str(len(self.notes) + 1)
        self.notes.append(Footnote(number, measure, text))
        return number


class BarNotes:
    """The notes of one bar: which sign has which letter."""

    def __init__(self, bar: SoundingBar, measure: str, footnotes: Footnotes, heading: Heading) -> None:
        self._bar = bar
        self._heading = heading
        self._words = EventWords(heading)
        self._measure = measure
        self._footnotes = footnotes
        self._lines: dict[str, list[NoteLine]] = {}
        for line in bar.bar.notes:
            self._lines.setdefault(line.label, []).append(line)
        self.touched = bool(bar.bar.notes)

    def whole_bar(self) -> str:
        """The letter of the notes on the bar as a whole and on its bar lines, or empty."""
        texts = list(self._reasons(""))
        for line in self._bar.directives:
            texts.extend(reason_said(note) for note in line.notes if note.kind is NoteKind.REASON)
        if self._bar.bar.ditto is not None:
            texts.insert(0, ditto_said(self._bar.bar.ditto))
        texts.extend(map(self._variant, self._bar.bar.variants))
        for item in (*self._bar.bar.items, self._bar.bar.closing):
            if isinstance(item, Barline):
                texts.extend(self._barline(item))
        return self.note("", texts)

    def _variant(self, line: SourceBar) -> str:
        """What another source, or the copy-text, has for the whole bar."""
        who = line.witness or "the source"
        if line.omits:
            return f"{who} omits it"
        bar = self._bar
        said = self._words.bar(line.items, [event.event for event in bar.events], bar.bar.closing.kind)
        return f"{who} has {said.source}"

    def stop(self, event: SoundingEvent, stop: Stop) -> str:
        """The letter of a stop, or empty."""
        reading = stop.reading
        if reading.act is Act.PRINTED and not stop.labels and not stop.marks and stop.slur is not Slur.REMOVED:
            return ""
        texts = list(difference(reading, sign_said))
        if stop.slur is Slur.REMOVED:
            texts.append("slurred to this note in the source")
        texts.extend(self.labelled(stop.labels, stop))
        texts.extend(self.marks(stop.marks, marks_of(self._heading, at_stop=True)))
        sign = reading.edition or reading.source
        place = course_said(sign.course) if sign is not None else ""
        return self.note(_where(event, place), texts)

    def head(self, event: SoundingEvent) -> str:
        """The letter of what stands over an event, or empty."""
        head = event.event.head
        if head is None:
            return ""
        sign = list(difference(head.value, value_said)) if head.value is not None else []
        noted = [*self.labelled(head.labels), *self.marks(head.marks, marks_of(self._heading, at_stop=False))]
        place = "rhythm sign" if head.value is not None and (sign or noted) else ""
        return self.note(_where(event, place), [*sign, *self.labelled(head.opening_labels), *noted])

    def printed_words(self, event: Event) -> Iterator[str]:
        """Words that the source prints at this event."""
        return self.printed_at(event_labels(event))

    def printed_at(self, labels: Iterable[Label]) -> Iterator[str]:
        """Words, or signs said in words, that the source prints at a label."""
        for label in labels:
            for line in self._lines.get(label.letter, ()):
                if line.kind is NoteKind.PRINTED_WORD:
                    yield line.text

    def printed_words_of_bar(self) -> Iterator[str]:
        """Words that the source prints at this bar."""
        return (line.text for line in self._lines.get("", ()) if line.kind is NoteKind.PRINTED_WORD)

    def note(self, where: str, texts: list[str]) -> str:
        """A new note on this bar if there is anything to say; returns its letter, or empty."""
        if not texts:
            return ""
        bar = f"Bar {self._bar.label}" if self._bar.label else "Upbeat"
        place = f"{bar}, {where}" if where else bar
        return self._footnotes.add(self._measure, f"{place}: {'; '.join(texts)}.")

    def _barline(self, line: Barline) -> Iterator[str]:
        if line.act is BarlineAct.REMOVED:
            yield "a bar line in the source inside this bar"
        elif line.act is BarlineAct.DOUBTFUL:
            yield "the bar line is doubtful in the source"
        where = "" if line is self._bar.bar.closing else " inside this bar"
        for label in line.labels:
            for note in self._lines.get(label.letter, ()):
                kind = quoted_barline(note.text) if note.kind is NoteKind.WITNESS else None
                if note.kind is NoteKind.WITNESS and note.text == OMITS:
                    yield f"no bar line{where or ' at the end'} in {note.who}"
                elif kind is not None:
                    yield f"a {line_said(kind)}{where or ' at the end'} in {note.who}"
                else:
                    yield from self._said(note, label.letter)

    def marks(self, marks: Iterable[MarkGroup], said: Saying[str]) -> Iterator[str]:
        """What the source has for marks, and what is noted on them."""
        for group in marks:
            for reading in group.marks:
                if reading.edition is None and reading.source is None:
                    yield f"a mark {reading.act.value} in the source"
                else:
                    yield from difference(reading, said)
            yield from self.labelled(group.labels)

    def labelled(self, labels: Iterable[Label], stop: Stop | None = None) -> Iterator[str]:
        """What is noted on a sign with these labels; ``stop``: one that the edition has there."""
        for label in labels:
            yield from self._reasons(label.letter, stop)

    def _witness(self, line: NoteLine, letter: str, stop: Stop | None) -> str:
        """What another source has; a number alone over an event is a rhythm sign."""
        value = quoted_value(line.text)
        if value is not None and any(_labelled_value(event.event, letter) for event in self._bar.events):
            return f"{line.who} has {value_said(value)}"
        return self._words.witness(line.who, line.text, stop)

    def _reasons(self, letter: str, stop: Stop | None = None) -> Iterator[str]:
        for line in self._lines.get(letter, ()):
            yield from self._said(line, letter, stop)

    def _said(self, line: NoteLine, letter: str, stop: Stop | None = None) -> Iterator[str]:
        if line.kind is NoteKind.REASON:
            yield reason_said(line)
        elif line.kind is NoteKind.WITNESS:
            yield f"{line.who} omits it" if line.text == OMITS else self._witness(line, letter, stop)


def _labelled_value(event: Event, letter: str) -> bool:
    """True if the label stands at the rhythm sign."""
    return event.head is not None and any(label.letter == letter for label in event.head.labels)


def event_labels(event: Event) -> Iterator[Label]:
    """Every label at an event, its head first."""
    if event.head is not None:
        yield from event.head.opening_labels
        yield from event.head.labels
        for group in event.head.marks:
            yield from group.labels
    for stop in event.stops:
        yield from stop.labels
        for group in stop.marks:
            yield from group.labels


def _where(event: SoundingEvent, place: str) -> str:
    number = event.id.rpartition("e")[2]
    return f"event {number}{', ' if place else ''}{place}"
