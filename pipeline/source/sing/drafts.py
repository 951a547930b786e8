"""Notes of a line while it is being read, and the stretches of time that they are read into."""

from __future__ import annotations

from dataclasses import dataclass, field

from pipeline.model.layers import LayerNote
from pipeline.model.pitch import SpelledPitch
from pipeline.model.record import Record
from pipeline.model.signs import Act, Label, Reading, Unread
from pipeline.model.song import Figure, SungNote, Syllable, WordPlace
from pipeline.model.sounding import SoundingBar, TupletPlace
from pipeline.model.tablature import BarItem
from pipeline.model.text import Span
from pipeline.model.time import Ticks, Value


@dataclass(slots=True)
class Word:
    """A syllable that may still be drawn out by what follows."""

    stanza: int
    text: str
    place: WordPlace
    span: Span
    labels: tuple[Label, ...] = ()
    extends: bool = False
    reading: Reading[str] | None = None

    def done(self) -> Syllable:
        return Syllable(self.stanza, self.text, self.place, self.extends, self.span, self.labels, self.reading)


@dataclass(slots=True)
class Draft:
    """A note to be; fields as in :class:`SungNote`. ``melisma`` are the stanzas whose words are drawn out over it;
    ``silent`` says that nothing is sung here: a rest, not a note that cannot be read; ``unsung`` as of the note."""

    id: str
    bar: int
    onset: Ticks
    length: Ticks
    value: Value
    pitch: SpelledPitch | None
    span: Span
    tuplet: TupletPlace | None = None
    typed: LayerNote | None = None
    tied: bool = False
    slurred: bool = False
    fermata: bool = False
    figures: tuple[Figure, ...] = ()
    words: list[Word] = field(default_factory=list)
    melisma: set[int] = field(default_factory=set)
    silent: bool = False
    unsung: list[Syllable] = field(default_factory=list)
    ornaments: tuple[str, ...] = ()

    @property
    def end(self) -> Ticks:
        return self.onset + self.length

    def done(self) -> SungNote:
        """The finished note."""
        reading = self.typed.pitch if self.typed is not None else None
        added = reading is not None and reading.act in _SUPPLIED
        doubtful = reading is not None and (reading.doubtful or reading.act in _NOT_READ)
        sung_on = self.slurred or (bool(self.melisma) and not self.words and not self.tied)
        return SungNote(
            self.id,
            self.onset,
            self.length,
            self.value,
            self.pitch,
            self.span,
            self.tied,
            sung_on,
            tuple(word.done() for word in self.words),
            self.figures,
            added,
            doubtful,
            self.fermata,
            self.tuplet,
            self.bar,
            self.typed,
            tuple(self.unsung),
            self.ornaments,
        )


_SUPPLIED = (Act.ADDED, Act.SUPPLIED_ILLEGIBLE, Act.SUPPLIED_LOST)
_NOT_READ = (Act.ILLEGIBLE, Act.LOST)


class SungStretch(Record, frozen=True):
    """The sounding bars that one typed bar stands for: several only where the source says ditto."""

    bars: tuple[SoundingBar, ...]

    @property
    def onset(self) -> Ticks:
        return self.bars[0].onset

    @property
    def length(self) -> Ticks:
        """What the tablature holds."""
        return self.bars[-1].end - self.bars[0].onset

    @property
    def asked(self) -> tuple[Ticks, ...]:
        """The lengths that another layer may have: the tablature's, or the metre's if the tablature misses it."""
        expected = sum(bar.expected for bar in self.bars)
        return (self.length, expected) if expected else (self.length,)

    @property
    def certain(self) -> bool:
        """Whether the tablature tells how long the stretch is: all its words read, each with a value in force."""
        return not any(isinstance(item, Unread) for item in self._items) and not any(
            event.sign is None for bar in self.bars for event in bar.events if bar.metre is None or not bar.expected
        )

    @property
    def _items(self) -> tuple[BarItem, ...]:
        return self.bars[0].bar.items

    @property
    def name(self) -> str:
        """For a message: ``bar 3``, ``bars 3 to 4``, ``the upbeat``."""
        first, last = self.bars[0].label, self.bars[-1].label
        if not first:
            return "the upbeat"
        return f"bar {first}" if len(self.bars) == 1 else f"bars {first} to {last}"


def stretches(bars: tuple[SoundingBar, ...]) -> list[SungStretch]:
    """The piece typed bar by typed bar."""
    found: list[list[SoundingBar]] = []
    for bar in bars:
        if found and found[-1][-1].bar is bar.bar:
            found[-1].append(bar)
        else:
            found.append([bar])
    return [SungStretch(tuple(group)) for group in found]
