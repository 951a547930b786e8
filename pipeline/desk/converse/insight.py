"""What the reading has to say of each stop, put into words where the piece is read: only these travel back."""

from __future__ import annotations

from collections.abc import Iterator

from pipeline.desk.converse.record import Insight, NoteSaid
from pipeline.desk.proof.prove import marked_places, weak_bars
from pipeline.desk.proof.record import Hand
from pipeline.edition.apparatus import apparatus
from pipeline.edition.spell import spell
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
    names = {note.led.id: note.spelling.name for note in voiced.notes}
    refused = dict(voiced.led.refused)
    labels = {f"b{bar.index + 1}": bar.label for bar in voiced.sounding.bars}
    for note in voiced.notes:
        led = note.led
        why = [_line(note, names, labels)]
        if led.id in octaves:
            why.append(octaves[led.id])
        if led.id in refused:
            why.append(f"The pin cannot be followed to its end: {refused[led.id]}.")
        bar = led.id.partition("e")[0]
        if bar in weak:
            why.append(weak[bar])
        yield NoteSaid(
            led.id,
            note.spelling.name,
            note.meant.name,
            led.voice,
            voiced.led.voices,
            led.length,
            tuple(sentence for sentence in why if sentence),
        )


def _line(note: VoicedNote, names: dict[str, str], labels: dict[str, str]) -> str:
    led = note.led
    if led.decided is Decided.EDITOR:
        return "Pinned by the editor."
    if not led.follows:
        return "The first note of its voice."
    bar = labels.get(led.follows.partition("e")[0], "")
    where = f" of bar {bar}" if bar and led.follows.partition("e")[0] != led.id.partition("e")[0] else ""
    sure = min(99, max(1, round(100 * led.sure)))
    though = "though only " if led.sure < _DOUBTFUL else ""
    return f"Its voice comes from {names.get(led.follows, 'the note')}{where}, {though}{sure} % likely."
