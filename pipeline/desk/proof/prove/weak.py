"""Bars whose lines the reading is not sure of."""

from __future__ import annotations

from collections.abc import Iterator

from pipeline.desk.proof.record import Hand, MarkedPlace
from pipeline.model.voiced import Decided, LedNote, VoicedPiece

#: On average a voice of a weak bar goes from one note to the next with less than this chance.
_UNSURE = 0.6
#: Of fewer steps nothing is said.
_FEWEST = 4


def weak_bars(voiced: VoicedPiece) -> tuple[MarkedPlace, ...]:
    """The bars whose voices may well run otherwise, in order. Of a chord of one voice the surest note counts, of what
    the editor pinned nothing. Linear time."""
    steps: dict[tuple[str, int, int], float] = {}
    for note in voiced.led.notes:
        if _read(note):
            step = (note.id.partition("e")[0], note.onset, note.voice)
            steps[step] = max(note.sure, steps.get(step, 0.0))
    sure: dict[str, list[float]] = {}
    for (bar, _, _), chance in steps.items():
        sure.setdefault(bar, []).append(chance)
    labels = {f"b{bar.index + 1}": bar.label for bar in voiced.sounding.bars}
    return tuple(_weak(sure, labels))


def _read(note: LedNote) -> bool:
    return bool(note.follows) and note.decided is Decided.RULE


def _weak(sure: dict[str, list[float]], labels: dict[str, str]) -> Iterator[MarkedPlace]:
    for bar, label in labels.items():
        chances = sure.get(bar, ())
        if len(chances) >= _FEWEST and (mean := sum(chances) / len(chances)) < _UNSURE:
            why = f"The voices may run otherwise here: on average each step is {round(100 * mean)} % likely."
            yield MarkedPlace(Hand.WEAK, (bar,), label, "lines in doubt", why)
