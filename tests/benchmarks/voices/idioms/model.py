"""What the making of true answers passes from hand to hand: sources, textures, places, all in ticks and semitones."""

from __future__ import annotations

from dataclasses import dataclass

from pipeline.model.record import replace

INFINITE = 1e9


@dataclass(frozen=True, slots=True)
class Tone:
    """A note of the source: voice from 0 = highest, onset and length in ticks, pitch in semitones (C4 = 60)."""

    voice: int
    onset: int
    length: int
    pitch: int

    @property
    def end(self) -> int:
        return self.onset + self.length


@dataclass(frozen=True, slots=True)
class Source:
    """Polyphony to be arranged. ``tones`` are sorted by onset and then voice; ``bars`` are (onset, length),
    ``metre`` (onset, beats, unit), ``fifths`` the signature, ``voices`` their number."""

    name: str
    work: str
    tones: tuple[Tone, ...]
    bars: tuple[tuple[int, int], ...]
    metre: tuple[tuple[int, int, int], ...]
    fifths: int
    voices: int

    def line(self, voice: int) -> tuple[Tone, ...]:
        return tuple(tone for tone in self.tones if tone.voice == voice)

    def moved(self, semitones: int) -> Source:
        """Transposed, with the signature of the fewest sharps or flats."""
        tones = tuple(replace(tone, pitch=tone.pitch + semitones) for tone in self.tones)
        return replace(self, tones=tones, fifths=signature(self.fifths, semitones))


def signature(fifths: int, semitones: int) -> int:
    """The signature after transposition, from five flats to six sharps."""
    return (fifths + 7 * semitones + 5) % 12 - 5


def role(voice: int, voices: int) -> str:
    """``tune`` for the first voice, ``bass`` for the last of several, ``inner`` between."""
    if voice == 0:
        return "tune"
    return "bass" if voice == voices - 1 else "inner"


@dataclass(frozen=True, slots=True)
class Sound:
    """One sound that a texture asks for. ``lengths`` stand beside ``voices``; a filler has no voice and one length.

    ``weight`` says how loath the player is to leave it out, ``ring`` (ticks) how long the string should be left
    alone, where that is longer than what is written.
    """

    onset: int
    pitch: int
    voices: tuple[int, ...]
    lengths: tuple[int, ...]
    role: str
    weight: float = 2.0
    ring: int = 0
    filler: bool = False

    @property
    def held(self) -> int:
        """Ticks for which the string should be left alone."""
        return max(self.ring, *self.lengths)


@dataclass(frozen=True, slots=True)
class Texture:
    """What is to be played: sounds sorted by onset, strum signs by onset, and a typed bass as evidence if any."""

    sounds: tuple[Sound, ...]
    voices: int
    marks: tuple[tuple[int, str], ...] = ()
    typed_bass: tuple[Tone, ...] = ()


@dataclass(frozen=True, slots=True)
class Place:
    """Where a sound is played: course, fret, and what is heard (the pitch wanted, or an octave below)."""

    course: int
    fret: int
    sounding: int


@dataclass(frozen=True, slots=True)
class Strung:
    """An instrument as tuned for a piece: ``courses`` are open pitches from course 1, ``stopped`` of them on the
    fingerboard, ``tuned_down`` those that sound an octave below where a lute would have them."""

    name: str
    courses: tuple[int, ...]
    stopped: int
    tuned_down: tuple[int, ...]


def sounds_by_onset(texture: Texture) -> list[tuple[int, list[int]]]:
    """Indices of the sounds struck together, in order of time."""
    events: dict[int, list[int]] = {}
    for index, sound in enumerate(texture.sounds):
        events.setdefault(sound.onset, []).append(index)
    return sorted(events.items())
