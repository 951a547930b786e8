"""What the reading has to say of each stop, put into words where the piece is read: only these travel back."""

from __future__ import annotations

from collections.abc import Iterator

from pipeline.desk.converse.record import Insight, NoteSaid
from pipeline.desk.proof.prove import marked_places, weak_bars
from pipeline.desk.proof.record import Hand
from pipeline.edition.apparatus import apparatus
from pipeline.edition.spell import spell
from pipeline.model.time import Ticks
from pipeline.model.voiced import Decided, LedPiece, VoicedNote, VoicedPiece

#: A step from one note of a voice to the next that is less likely than this is said to be doubtful.
_DOUBTFUL = 0.6


def insight(led: LedPiece) -> Insight:
    """All that an editor can ask of the reading. Linear time."""
    voiced = spell(led)
    octaves = {
        place.at[0]: place.why
        for place in marked_places(apparatus(voiced))
        if place.hand in (Hand.RESTORED, Hand.ASKED) and place.octaves
    }
    weak = {place.at[0]: place.why for place in weak_bars(voiced)}
    return Insight(tuple(_said(voiced, octaves, weak)))


def _said(voiced: VoicedPiece, octaves: dict[str, str], weak: dict[str, str]) -> Iterator[NoteSaid]:
    lines = _Lines(voiced)
    refused = dict(voiced.led.refused)
    for note in voiced.notes:
        led = note.led
        why = [lines.why(note)]
        if led.id in octaves:
            why.append(octaves[led.id])
        if led.id in refused:
            why.append(f"The pin cannot be followed to its end: {refused[led.id]}.")
        if _bar(led.id) in weak:
            why.append(weak[_bar(led.id)])
        yield NoteSaid(
            led.id, note.spelling.name, note.meant.name, led.voice, voiced.led.voices, led.length, tuple(why)
        )


class _Lines:
    """Which notes stand together in their voice, and what each comes from."""

    def __init__(self, voiced: VoicedPiece) -> None:
        self._labels = {f"b{bar.index + 1}": bar.label for bar in voiced.sounding.bars}
        self._notes = {note.led.id: note for note in voiced.notes}
        self._chords: dict[tuple[int, Ticks], list[VoicedNote]] = {}
        for note in voiced.notes:
            self._chords.setdefault((note.led.voice, note.led.onset), []).append(note)

    def why(self, note: VoicedNote) -> str:
        led = note.led
        if led.decided is Decided.EDITOR:
            return "Pinned by the editor."
        own = self._through(note)
        if own is not note:
            return f"It stands in the chord of {own.spelling}."
        before = self._notes.get(led.follows)
        if before is None:
            return "The first note of its voice."
        bar = self._labels.get(_bar(led.follows), "")
        where = f" of bar {bar}" if bar and _bar(led.follows) != _bar(led.id) else ""
        if len(self._chords[before.led.voice, before.led.onset]) > 1:  # how likely is known of single notes only
            return f"Its voice comes from the chord of {self._through(before).spelling}{where}."
        though = "though only " if led.sure < _DOUBTFUL else ""
        sure = min(99, max(1, round(100 * led.sure)))
        return f"Its voice comes from {before.spelling}{where}, {though}{sure} % likely."

    def _through(self, note: VoicedNote) -> VoicedNote:
        """Of the notes that stand together the one that the line most likely leads through: the first where they are
        alike."""
        return max(self._chords[note.led.voice, note.led.onset], key=lambda one: one.led.sure)


def _bar(stop: str) -> str:
    return stop.partition("e")[0]
