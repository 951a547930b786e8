"""How fast: as asked, else as the tempo words of the piece say in numbers, else an easy pace."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence

from pipeline.model.performance import Passage
from pipeline.model.sounding import SoundingPiece
from pipeline.model.tablature import DirectiveKind
from pipeline.model.tempo import tempo_of
from pipeline.model.time import Ticks

#: Crotchets of the edition a minute, unless asked otherwise. Source: none, an easy pace for practice.
CROTCHETS = 72


class Pace:
    """The crotchets a minute at every written moment, and where they come from."""

    def __init__(self, piece: SoundingPiece, asked: int | None) -> None:
        self._asked = asked
        found = [] if asked is not None else list(_written(piece))
        self.numbered = sum(count > 0 for _, count in found)
        self.words = len(found)
        self._moments = [0, *(onset for onset, _ in found)]
        self._counts = [asked or CROTCHETS, *(count or CROTCHETS for _, count in found)]
        self.assumed = asked is None and (self._first_is_bare(found) or self.numbered < self.words)

    @staticmethod
    def _first_is_bare(found: list[tuple[Ticks, int]]) -> bool:
        return not found or found[0][0] > 0

    def at(self, moment: Ticks) -> int:
        """Crotchets a minute at a written moment."""
        return self._counts[bisect_right(self._moments, moment) - 1]

    def played(self, plan: Sequence[Passage]) -> tuple[tuple[Ticks, int], ...]:
        """The moments, as played, from which each tempo holds; the first at 0."""
        made: list[tuple[Ticks, int]] = []
        for passage in plan:
            starts = [passage.start, *(each for each in self._moments if passage.start < each < passage.end)]
            for start in starts:
                if not made or made[-1][1] != self.at(start):
                    made.append((start + passage.shift if made else 0, self.at(start)))
        return tuple(made) or ((0, self._counts[0]),)

    def said(self) -> str:
        """In words, for whoever opens the file."""
        if self._asked is not None:
            return f"Tempo: {self._asked} crotchets a minute, as asked."
        if not self.assumed:
            return "Tempo: as the numbers behind the tempo words say."
        if self.numbered:
            return f"Tempo: as the numbers behind the tempo words say; without one {CROTCHETS} crotchets a minute."
        why = "the tempo words carry no number" if self.words else "the piece has no tempo words"
        return f"Tempo: {CROTCHETS} crotchets a minute, assumed: {why}."


def _written(piece: SoundingPiece) -> Iterator[tuple[Ticks, int]]:
    """Each ``tempo`` line with its crotchets a minute, 0 where it carries no number, or none to be followed."""
    ratio = piece.heading.values
    for bar in piece.bars:
        for line in bar.directives:
            if line.kind is DirectiveKind.TEMPO:
                tempo = tempo_of(line.text)
                yield bar.onset, tempo.crotchets(ratio) if tempo.possible(ratio) else 0
