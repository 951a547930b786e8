"""The instrument that a piece is moved to, with a bass scale that its harmony asks for."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from pipeline.desk.move.record import Asked, Chord, Tunings
from pipeline.edition.transpose import transposed_key
from pipeline.model.heading import Key
from pipeline.model.instrument import Course, Instrument
from pipeline.model.pitch import SEMITONES, STEPS, Semitones, SpelledPitch, in_signature
from pipeline.model.presets import find_preset
from pipeline.model.record import replace

#: What speaks for a scale, each weightier than all after it: bass notes that have a string of just their pitch, strings
#: that stay as they are, bass notes that have one in another octave, notes of a string's class that ring with it.
Merit = tuple[int, int, int, int]


def tuned(before: tuple[Instrument, ...], keys: Sequence[Key | None], chords: Sequence[Chord], asked: Asked) -> Tunings:
    """For each stretch between two retunings the instrument asked for, its diapasons tuned anew.

    A piece that stays in its key on its instrument keeps its tuning; one that the player has moved before, the one of
    that moving. ``keys`` are the stretches' own, before the move. A string is moved by a semitone at most (common
    practice), and only for a note that the piece has.
    """
    if asked.keep is not None and asked.keep.bars:
        return Tunings(before, tuple(_kept(number, chords, asked) for number in range(len(before))))
    if asked.interval.semitones == 0 and not any(map(asked.changes, before)):
        return Tunings(before, before)
    found: list[Instrument] = []
    for number, instrument in enumerate(before):
        base = asked.preset.instrument if asked.preset and asked.changes(instrument) else _usual(instrument)
        mine = [chord for chord in chords if chord.tuning == number]
        names = _in_key(transposed_key(keys[number], asked.interval))
        names |= {tone.sounds: tone.open_bass for chord in mine for tone in chord.tones if tone.open_bass is not None}
        found.append(_scaled(base, mine, found, names))
    return Tunings(before, tuple(found))


def _kept(number: int, chords: Sequence[Chord], asked: Asked) -> Instrument:
    bars = asked.keep.bars if asked.keep is not None else ()
    first = next((chord.bar for chord in chords if chord.tuning == number), 0)
    return bars[min(first, len(bars) - 1)].instrument


def _usual(instrument: Instrument) -> Instrument:
    """The instrument with its diapasons as they are usually tuned, the fretted courses as declared."""
    preset = find_preset(instrument.name)
    if preset is None:
        return instrument
    usual = preset.instrument.courses
    courses = tuple(
        usual[course.number - 1]
        if instrument.is_diapason(course.number)
        and course.number <= len(usual)
        and len(course.strings) == len(usual[course.number - 1].strings)
        else course
        for course in instrument.courses
    )
    return replace(instrument, courses=courses)


def _in_key(key: Key | None) -> dict[Semitones, SpelledPitch]:
    """What the notes of a key are called, in all octaves of basses."""
    if key is None:
        return {}
    scale = [SpelledPitch(step, in_signature(step, key.fifths), octave) for octave in range(5) for step in STEPS]
    return {pitch.semitones: pitch for pitch in scale}


def _scaled(
    base: Instrument,
    chords: Sequence[Chord],
    before: Sequence[Instrument],
    names: Mapping[Semitones, SpelledPitch],
) -> Instrument:
    """The diapasons as they serve the basses best: the best of all scales in which each string is its own neighbour by
    no more than a semitone. Of two strings of one pitch only the first serves it."""
    lowest = min(course.pitch.semitones for course in base.courses[: base.stopped])
    tones = [tone for chord in chords for tone in chord.tones]
    basses = Counter(tone.sounds for tone in tones if tone.open_bass or tone.sounds < lowest)
    wanted = _Wanted(basses, Counter(tone.sounds % 12 for tone in tones))
    now = before[-1].courses if before else base.courses
    best: dict[Semitones, tuple[Merit, tuple[Course, ...]]] = {-1: ((0, 0, 0, 0), ())}
    for course in base.courses[base.stopped :]:
        stays = now[course.number - 1]
        nearer: dict[Semitones, tuple[Merit, tuple[Course, ...]]] = {}
        for tried in _tunings(course, names):
            pitch = tried.pitch.semitones
            for last, (merit, chosen) in best.items():
                whole = _sum(merit, wanted.merit(pitch, again=pitch == last, stays=tried == stays))
                if pitch not in nearer or whole > nearer[pitch][0]:
                    nearer[pitch] = whole, (*chosen, tried)
        best = nearer
    scale = max(best.values(), key=lambda found: found[0])[1]
    return replace(base, courses=(*base.courses[: base.stopped], *scale))


@dataclass(frozen=True, slots=True)
class _Wanted:
    """The bass notes of a stretch by pitch, and all its notes by class."""

    basses: Counter[Semitones]
    classes: Counter[int]

    def merit(self, pitch: Semitones, *, again: bool, stays: bool) -> Merit:
        if again:
            return 0, -1, 0, 0
        octaves = sum(self.basses[pitch + octave] for octave in (-24, -12, 12, 24))
        return self.basses[pitch], int(stays), octaves, self.classes[pitch % 12]


def _sum(one: Merit, two: Merit) -> Merit:
    return one[0] + two[0], one[1] + two[1], one[2] + two[2], one[3] + two[3]


def _tunings(course: Course, names: Mapping[Semitones, SpelledPitch]) -> list[Course]:
    """A diapason as usual, a semitone lower and higher; called as its note is in the new key, else by its own letter or
    as the natural that it is."""
    found = [course]
    for move in (-1, 1):
        pitch = course.pitch.semitones + move
        own = SpelledPitch(course.pitch.step, course.pitch.alter + move, course.pitch.octave)
        name = names.get(pitch) or (own if abs(own.alter) < 2 and _plain(own) else None) or _natural(pitch) or own
        if abs(name.alter) < 2:
            found.append(replace(course, strings=tuple(_beside(name, string, course) for string in course.strings)))
    return found


def _plain(pitch: SpelledPitch) -> bool:
    """Whether a pitch is no natural under another name (F flat, E sharp)."""
    return not pitch.alter or _natural(pitch.semitones) is None


def _natural(pitch: Semitones) -> SpelledPitch | None:
    octave, place = divmod(pitch, 12)
    return next((SpelledPitch(step, 0, octave - 1) for step in STEPS if SEMITONES[step] == place), None)


def _beside(name: SpelledPitch, string: SpelledPitch, course: Course) -> SpelledPitch:
    """A string of the course as many octaves away as it was."""
    return SpelledPitch(name.step, name.alter, name.octave + (string.semitones - course.pitch.semitones) // 12)
