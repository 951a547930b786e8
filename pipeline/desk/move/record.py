"""What a moving is asked for, what it has to place, and what became of it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from pipeline.model.chordletters import Letters
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.instrument import Instrument
from pipeline.model.interval import Interval
from pipeline.model.pitch import Semitones, SpelledPitch
from pipeline.model.presets import Preset
from pipeline.model.record import Record
from pipeline.model.signs import Signs, Stop
from pipeline.model.sounding import SoundingPiece
from pipeline.model.text import SourceText
from pipeline.model.time import Ticks
from pipeline.model.voicefile import VoiceFile

#: A course and a fret on it.
Place = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Asked:
    """By what interval a piece is moved, to which instrument (None: its own) and in which signs (None: its own).

    ``keep`` is an earlier moving of the same piece, as the player has changed it: its places are taken wherever they
    sound as they should. ``letters`` says what the chord letters name; where nothing does, they are left out.
    """

    interval: Interval
    preset: Preset | None = None
    signs: Signs | None = None
    keep: SoundingPiece | None = None
    letters: Letters | None = None

    def changes(self, instrument: Instrument) -> bool:
        """Whether another instrument is asked for than this one."""
        return self.preset is not None and self.preset.instrument.name != instrument.name


def same_path(path: str) -> str | None:
    """The path as it is: for a text that lies where its source does."""
    return path


@dataclass(frozen=True, slots=True)
class There:
    """The place where a moved text is to lie. ``headings`` are those that it inherits there, outermost first;
    ``shared`` the names of those that its source inherits too. ``path`` makes of the path of a file that the source
    names the one that leads to it from there, None where none does; ``files`` are notation files by that path."""

    headings: tuple[SourceText, ...] = ()
    shared: frozenset[str] = frozenset()
    path: Callable[[str], str | None] = same_path
    files: Mapping[str, VoiceFile] = field(default_factory=dict)


#: A text that inherits nothing.
NOWHERE = There()


class Tone(Record, frozen=True):
    """One struck stop to be placed.

    ``sounds`` is its pitch moved, in the octave that the source sounds; ``meant`` where its line is meant, and
    ``doubtful`` says that the reading asks. ``course`` and ``fret`` are the source's. ``bass``: it stands on the lowest
    course of its chord; ``open_bass``: it is an open diapason, called so in the new key; ``beyond``: beyond the tied
    frets; ``bell``: in a scale that runs across courses. ``slurred``: the left hand sounds it from the note before on
    its course. ``until`` is how long it is to ring. ``order`` counts the stops that are set one after another. ``kept``
    is where the player wants it.
    """

    stop: Stop
    sounds: Semitones
    meant: Semitones
    course: int
    fret: int
    order: int
    bass: bool
    open_bass: SpelledPitch | None
    slurred: bool
    until: Ticks
    beyond: bool = False
    bell: bool = False
    doubtful: bool = False
    kept: Place | None = None


class Chord(Record, frozen=True):
    """What is struck in one event, from the lowest course to the first. ``event`` is its name (``b3e2``).

    ``held`` are the courses of the source whose hold lines reach here. ``strum``: a block; ``spread_up``: it is spread
    with its highest note last; ``barre``: the source says so. ``tuning`` is the number of the stretch between two
    retunings; ``again`` are the stops that the event before really had, where bars between were not written out.
    """

    bar: int
    event: str
    onset: Ticks
    tones: tuple[Tone, ...]
    held: tuple[int, ...] = ()
    strum: bool = False
    spread_up: bool = False
    barre: bool = False
    tuning: int = 0
    again: tuple[Stop, ...] | None = None


@dataclass(frozen=True, slots=True)
class Tunings:
    """The instrument in each stretch between two retunings, in the source and as moved to."""

    before: tuple[Instrument, ...]
    after: tuple[Instrument, ...]


@dataclass(frozen=True, slots=True)
class Placed:
    """Where every stop went, by the ``id()`` of its record; None where it has no place. ``others`` are the places of
    a chord that are as good."""

    places: Mapping[int, Place | None]
    others: Mapping[int, tuple[tuple[Place | None, ...], ...]]


@dataclass(frozen=True, slots=True)
class Moved:
    """A piece moved. ``text`` is the new encoding; ``diagnostics`` say, at the source's signs, what it cannot keep."""

    text: str
    diagnostics: tuple[Diagnostic, ...]
    tunings: Tunings
    interval: Interval
