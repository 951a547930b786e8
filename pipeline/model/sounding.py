"""What sounds, and when it begins: facts that follow from the page and the tuning, no readings yet."""

from __future__ import annotations

from pipeline.model.heading import Heading, Key
from pipeline.model.instrument import Instrument
from pipeline.model.pitch import Semitones, SpelledPitch
from pipeline.model.record import Record
from pipeline.model.signs import Event, Stop
from pipeline.model.tablature import Bar, Barline, Directive, Tablature
from pipeline.model.text import Span
from pipeline.model.time import Metre, Ticks, Value


def stop_id(event_id: str, course: int, before: int = 0) -> str:
    """The name of a stop on a course that the event has sounded so many times before."""
    return f"{event_id}c{course}" + (f"r{before + 1}" if before else "")


class SoundingStop(Record, frozen=True):
    """One stop that sounds (or whose line holds).

    ``id`` is ``b3e2c5``: third bar typed, second event, course 5; ``b3e2c5r2`` where it sounds in the event for the
    second time. ``strings`` are the sounding pitches of
    all strings of the course, the naming one first; ``open_string`` is the pitch of the open course as
    declared, which spells an open string. ``held`` means nothing is struck: a hold line reaches here.
    ``slurred`` means the left hand sounds it from the note before on its course. ``order`` counts the
    stops of an event that are set one after another (0, 0, 0 … when struck together).
    """

    id: str
    course: int
    fret: int
    strings: tuple[Semitones, ...]
    open_string: SpelledPitch
    stop: Stop
    held: bool = False
    slurred: bool = False
    order: int = 0

    @property
    def pitch(self) -> Semitones:
        """The pitch of the naming string."""
        return self.strings[0]


class TupletPlace(Record, frozen=True):
    """Where an event stands in its group: ``notes`` in the time of ``time``; ``starts``/``ends`` it. ``added`` is true
    if the source does not print its number."""

    notes: int
    time: int
    starts: bool
    ends: bool
    added: bool = False


class SoundingEvent(Record, frozen=True):
    """One event with its place in time.

    ``onset`` counts from the start of the piece, in ticks, in the edition's values (ratio applied);
    ``length`` reaches to the next event. ``sign`` is the value in force, in the source's values, None where
    none is (unmeasured): the length is then nominal. ``drawn`` says that a sign stands here in the edition.
    ``rest`` means a sign with nothing under it.
    ``repeated`` means that the chord before sounds again without being printed again (``=`` or ditto).
    An event that the edition leaves out takes no time.
    """

    id: str
    onset: Ticks
    length: Ticks
    sign: Value | None
    drawn: bool
    stops: tuple[SoundingStop, ...]
    event: Event
    rest: bool = False
    repeated: bool = False
    tuplet: TupletPlace | None = None

    @property
    def left_out(self) -> bool:
        """Whether the edition leaves it out: the source has an event too many."""
        return not self.length


class SoundingBar(Record, frozen=True):
    """One typed bar. ``label`` is the number printed for it; an added bar line inside a source bar does
    begin a new typed bar. ``length`` is what its events add up to; ``expected`` what the metre asks
    (0 if nothing is asked). ``joins_next`` is true if the line after it was added by the editor, so that
    the source runs on. ``directives`` stand before it; ``ending`` is 1, 2 … inside an ending, else 0.
    ``repeats`` is the index of the bar that it is typed as the same as, None for one that is written out."""

    index: int
    label: str
    onset: Ticks
    length: Ticks
    expected: Ticks
    metre: Metre | None
    key: Key | None
    instrument: Instrument
    events: tuple[SoundingEvent, ...]
    bar: Bar
    opening: Barline | None = None
    joins_next: bool = False
    directives: tuple[Directive, ...] = ()
    ending: int = 0
    #: Folios (or "" for a plain system break) that begin with this bar.
    folios: tuple[tuple[str, Span], ...] = ()
    repeats: int | None = None

    @property
    def end(self) -> Ticks:
        return self.onset + self.length

    @property
    def unmeasured(self) -> bool:
        """True where no metre holds, or the source gives some event no value."""
        return self.metre is None or not self.metre.beats or any(event.sign is None for event in self.events)


class SoundingPiece(Record, frozen=True):
    """The whole piece as it sounds. ``closing`` holds directives typed after the last bar."""

    tablature: Tablature
    heading: Heading
    bars: tuple[SoundingBar, ...]
    closing: tuple[Directive, ...] = ()
