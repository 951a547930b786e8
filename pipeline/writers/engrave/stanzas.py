"""Numbers of the stanzas under a voice, again at each line: the document has them before the first syllable only."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from pipeline.model.score import Measure, Score, SungEvent, SungSyllable
from pipeline.writers.engrave import strokes
from pipeline.writers.engrave.places import Box, Places

#: Between a number and its words; what a hyphen takes before a word that goes on from the line before; as shares of
#: the size of the type.
_GAP, _HYPHEN = 0.2, 0.6
_GOES_ON = ("middle", "end")


class StanzaNumbers:
    """The numbers of one score, system by system, in order."""

    def __init__(self, score: Score) -> None:
        self._several = [staff.name for staff in score.vocal if staff.stanzas > 1]
        self._begun: set[tuple[str, int]] = set()

    def at_head(self, measures: Sequence[Measure], places: Places) -> Iterator[str]:
        """The numbers at the head of a system: one under another, to the left of all words that begin there."""
        for name in self._several:
            found = dict(self._first_words(name, measures, places))
            left = min((_left(box, syllable) for syllable, box in found.values()), default=0.0)
            for stanza, (_, box) in found.items():
                if (name, stanza) in self._begun:
                    size = box.bottom - box.top
                    yield strokes.text(f"{stanza}.", left - _GAP * size, box.bottom, size, anchor="end")
            self._begun.update((name, stanza) for stanza in found)

    def _first_words(
        self, name: str, measures: Sequence[Measure], places: Places
    ) -> Iterator[tuple[int, tuple[SungSyllable, Box]]]:
        """Each stanza with its first syllable in the system, and the box of that in the full height of its type."""
        seen: set[int] = set()
        for event in _sung(name, measures):
            for place, syllable in enumerate(event.syllables):
                if syllable.stanza in seen:
                    continue
                box = places.verse(event.id, place)
                if box is not None:
                    seen.add(syllable.stanza)
                    yield syllable.stanza, (syllable, box)


def _sung(name: str, measures: Sequence[Measure]) -> Iterator[SungEvent]:
    return (event for measure in measures for staff in measure.sung if staff.staff == name for event in staff.events)


def _left(box: Box, syllable: SungSyllable) -> float:
    return box.left - (_HYPHEN * (box.bottom - box.top) if syllable.position in _GOES_ON else 0.0)
