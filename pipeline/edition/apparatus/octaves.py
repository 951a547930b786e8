"""Octaves that are read into a line: where it is meant off its sound, and where it may be."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from pipeline.edition.apparatus.drafts import Made, Spot
from pipeline.model.apparatus import Entry, Kind, Subject
from pipeline.model.pitch import SpelledPitch
from pipeline.model.voiced import Decided, Restored, VoicedNote, VoicedPiece

_EVENT = re.compile(r"b(\d+)e(\d+)")


def octaves(voiced: VoicedPiece, folios: Sequence[str]) -> Iterator[Made]:
    """One entry for each note whose line is, or may be, meant an octave off its sound. ``folios``: the page of the
    source at the end of each bar."""
    bars = voiced.sounding.bars
    for note in voiced.notes:
        restored = note.led.restored
        found = _EVENT.match(note.led.id) if restored is not None else None
        if restored is None or found is None:
            continue
        number, event = int(found[1]), int(found[2])
        course = note.led.stop.course
        spot = Spot(note.led.id, event, course, Subject.SIGN, 2 * event)
        yield (number, spot.order, 1 << 20), _entry(note, restored, spot, bars[number - 1].label, number, folios)


def _entry(note: VoicedNote, restored: Restored, spot: Spot, label: str, number: int, folios: Sequence[str]) -> Entry:
    sounds = note.spelling
    meant = SpelledPitch(sounds.step, sounds.alter, sounds.octave + restored.octaves)
    way = "above" if restored.octaves > 0 else "below"
    sure = f"{min(99, round(100 * restored.confidence))} % likely"  # nothing read is certain
    if restored.asked:
        kind, here, reason = Kind.ASKED, f"{sounds}; perhaps {meant}", f"an octave {way}, {sure}; not applied"
    elif restored.decided is Decided.EDITOR:
        kind, here, reason = Kind.RESTORED, str(meant), f"an octave {way}, fixed by the editor"
    else:
        kind, here, reason = Kind.RESTORED, str(meant), f"an octave {way}, by the voice leading; {sure}"
    return Entry(
        spot.at,
        number,
        label,
        spot.event,
        spot.course,
        "",
        spot.subject,
        kind,
        f"sounds {sounds}",
        here,
        reason,
        folio=folios[number - 1],
        confidence=restored.confidence,
        sounds=sounds,
        meant=meant,
    )
