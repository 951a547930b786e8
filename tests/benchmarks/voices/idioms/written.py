"""An arranged piece as one JSON record, the tablature with its true answers."""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache

from pipeline.model.time import WHOLE
from tests.benchmarks.voices.idioms.model import Place, Sound, Source, Strung, Texture, sounds_by_onset

Record = dict[str, object]


@lru_cache(maxsize=200_000)
def whole_notes(ticks: int) -> str:
    """Ticks as a fraction of a whole note, ``a/b`` in lowest terms."""
    return str(Fraction(ticks, WHOLE))


def record(source: Source, strung: Strung, texture: Texture, places: dict[int, Place]) -> Record:
    """All but what the caller knows of habit, idiom and arranger. A sound rings until its course is struck again at
    most; ``dropped`` lists voice, onset and pitch of what could not be played."""
    events = [(onset, [index for index in found if index in places]) for onset, found in sounds_by_onset(texture)]
    events = [(onset, found) for onset, found in events if found]
    room = _room(events, texture, places)
    marks = dict(texture.marks)
    after = [onset for onset, _ in events[1:]]
    after.append(max((s.onset + max(s.lengths) for s in texture.sounds), default=0))
    written: Record = {
        "name": source.name,
        "work": source.work,
        "instrument": strung.name,
        "tuning": list(strung.courses),
        "fretted": strung.stopped,
        "tuned_down": list(strung.tuned_down),
        "fifths": source.fifths,
        "voices": texture.voices,
        "metre": [[whole_notes(onset), beats, unit] for onset, beats, unit in source.metre],
        "bars": [[whole_notes(onset), whole_notes(length)] for onset, length in source.bars],
        "events": [
            {
                "onset": whole_notes(onset),
                "length": whole_notes(following - onset),
                "marks": [marks[onset]] if onset in marks else [],
                "stops": [
                    _stop(texture.sounds[index], places[index], room[index])
                    for index in sorted(found, key=lambda index: places[index].course)
                ],
            }
            for (onset, found), following in zip(events, after, strict=True)
        ],
        "dropped": [
            [voice, whole_notes(sound.onset), sound.pitch]
            for index, sound in enumerate(texture.sounds)
            if index not in places
            for voice in sound.voices
        ],
    }
    if texture.typed_bass:
        written["typed_bass"] = [
            [whole_notes(tone.onset), whole_notes(tone.length), tone.pitch] for tone in texture.typed_bass
        ]
    return written


def _room(events: list[tuple[int, list[int]]], texture: Texture, places: dict[int, Place]) -> dict[int, int]:
    """Ticks until the course of each sound is struck again (or more than the sound lasts)."""
    room: dict[int, int] = {}
    struck: dict[int, int] = {}
    for onset, found in reversed(events):
        for index in found:
            course = places[index].course
            longest = max(texture.sounds[index].lengths)
            room[index] = struck[course] - onset if course in struck else longest
        struck.update({places[index].course: onset for index in found})
    return room


def _stop(sound: Sound, place: Place, room: int) -> Record:
    return {
        "course": place.course,
        "fret": place.fret,
        "sounding": place.sounding,
        "intended": sound.pitch,
        "voices": list(sound.voices),
        "lengths": [whole_notes(min(length, room)) for length in sound.lengths],
        "filler": sound.filler,
        "role": sound.role,
    }
