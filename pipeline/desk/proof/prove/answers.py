"""What an editor types to answer a question of octaves: the line with a label at the stop, and the pin under it."""

from __future__ import annotations

from collections.abc import Iterator

from pipeline.desk.misprints.accepting import free_letter
from pipeline.desk.proof.record import Answer
from pipeline.model.sounding import SoundingBar, SoundingPiece, SoundingStop
from pipeline.model.tablature import NoteKind
from pipeline.model.text import SourceText

_WAYS = {1: "up", -1: "down"}


class Answers:
    """The answers to the questions of one piece. Built once, asked often."""

    def __init__(self, piece: SoundingPiece, text: SourceText) -> None:
        self._text = text
        self._stops = {stop.id: (bar, stop) for bar in piece.bars for event in bar.events for stop in event.stops}

    def to(self, at: str, octaves: int, meant: str, sounding: str) -> tuple[Answer, ...]:
        """Both ways to answer whether the line of a stop is meant ``octaves`` from its sound; none where the stop has
        no place of its own, because its bar or event is typed as the same as another."""
        found = self._stops.get(at)
        if found is None or found[0].bar.ditto is not None or octaves not in _WAYS:
            return ()
        bar, stop = found
        span = stop.stop.span
        if span.file != self._text.name or "\n" in self._text.at(span) or not self._text.at(span):
            return ()
        ways = (
            (f"It means {meant}", f"octave {_WAYS[octaves]}"),
            (f"It means {sounding}, as it sounds", "octave kept"),
        )
        return tuple(answer for words, pin in ways for answer in self._answer(words, pin, bar, stop))

    def _answer(self, words: str, pin: str, bar: SoundingBar, stop: SoundingStop) -> Iterator[Answer]:
        """With a label that the stop has, and the pin that stands under it, if there is one; else with a new one."""
        first = stop.stop.span.line
        if stop.stop.labels:
            letter = stop.stop.labels[0].letter
            pinned = [n for n in bar.bar.notes if n.label == letter and n.kind is NoteKind.PIN]
            if pinned:
                line = pinned[0].span.line
                yield Answer(words, line, line, (f'"{letter} > {pinned[0].text}, {pin}',))
                return
        else:
            letter = free_letter(bar.bar)
        if not letter:
            return
        last = self._continued(first)
        lines = [self._text.line(number) for number in range(first, last + 1)]
        if not stop.stop.labels:
            lines[0] = self._labelled(stop, letter)
        yield Answer(words, first, last, (*lines, f'"{letter} > {pin}'))

    def _labelled(self, stop: SoundingStop, letter: str) -> str:
        """The line with a label behind what is read at the stop, before its marks."""
        span = stop.stop.span
        line, typed = self._text.line(span.line), self._text.at(span)
        place = span.start - 1 + (typed.index("'") if "'" in typed else len(typed))
        return f'{line[:place]}"{letter}{line[place:]}'

    def _continued(self, line: int) -> int:
        """The last line that goes on from a line of a bar: those begin with a plus sign."""
        while self._text.line(line + 1).lstrip().startswith("+"):
            line += 1
        return line
