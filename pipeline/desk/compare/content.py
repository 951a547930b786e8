"""What a piece says, apart from how and where it is typed: the facts by which two encodings can be compared.

Two contents are equal if the music is: places in the text, labels, the order in which the stops of a chord are typed
and the like are no part of it. Fields that follow from others (what sounds, which value is in force, bar numbers) and
all that is only read into the notes are kept beside, and take no part in the equality of the records.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from pipeline.model.signs import Act, Body, FretState, Reading, Signs, Slur
from pipeline.model.tablature import BarKind, BarlineAct, BarlineKind, DirectiveKind, NoteKind
from pipeline.model.text import Span
from pipeline.model.time import Ticks


@dataclass(frozen=True, slots=True)
class NoteContent:
    """A note line: reason, printed word, other source's reading (``who`` its siglum), or pin in words."""

    kind: NoteKind
    who: str
    text: str


Notes = tuple[NoteContent, ...]


@dataclass(frozen=True, slots=True)
class MarkContent:
    """One mark over an event or at a stop, named by its printed sign if that is declared, else by its letter."""

    reading: Reading[str]
    notes: Notes = ()


Marks = tuple[MarkContent, ...]


@dataclass(frozen=True, slots=True)
class SignContent:
    """A figure or letter. ``course`` is its number, ``?`` or ``*``; ``fret`` is None unless ``state`` is READ."""

    course: str
    fret: int | None
    state: FretState
    dots: int


@dataclass(frozen=True, slots=True)
class NoteReading:
    """What is read into one struck note. ``length`` in ticks; ``spelling`` names what its strings sound; ``octaves`` is
    where the line is meant, 0 as it sounds; ``across`` says that a scale across courses begins or ends here."""

    voice: int
    part: str
    length: Ticks
    spelling: str
    decided: str
    octaves: int = 0
    asked: bool = False
    octaves_decided: str = ""
    across: str = ""


@dataclass(frozen=True, slots=True)
class StopContent:
    """One stop. ``order`` counts those of its event that are set one after another. ``sounds`` is ``struck``,
    ``slurred``, ``held`` or ``no``; ``strings`` are the pitches of all strings of its course."""

    reading: Reading[SignContent]
    slur: Slur | None
    order: int
    marks: Marks
    notes: Notes
    sounds: str = field(compare=False)
    strings: tuple[int, ...] = field(compare=False)
    read: NoteReading | None = field(compare=False)
    span: Span = field(compare=False)

    @property
    def course(self) -> str:
        """The course that the edition reads, or else the source; empty if there is none."""
        sign = self.reading.edition or self.reading.source
        return sign.course if sign is not None else ""


@dataclass(frozen=True, slots=True)
class EventContent:
    """One event. ``group`` is (notes, in the time of, added by the editor). Beside: ``again``, the stops that sound
    again without being printed; ``sign``, the value in force; ``onset`` in the piece and ``length``, in ticks."""

    value: Reading[str] | None
    beamed: bool
    group: tuple[int, int, bool] | None
    marks: Marks
    body: Body
    stops: tuple[StopContent, ...]
    notes: Notes
    again: tuple[StopContent, ...] = field(compare=False)
    sign: str = field(compare=False)
    onset: Ticks = field(compare=False)
    length: Ticks = field(compare=False)
    span: Span = field(compare=False)


@dataclass(frozen=True, slots=True)
class BarlineContent:
    """A bar line, as printed and as edited."""

    kind: BarlineKind
    act: BarlineAct
    notes: Notes
    span: Span = field(compare=False)


@dataclass(frozen=True, slots=True)
class UnreadContent:
    """A word that cannot be read, to the letter."""

    text: str
    span: Span = field(compare=False)


ItemContent = EventContent | BarlineContent | UnreadContent


@dataclass(frozen=True, slots=True)
class DirectiveContent:
    """A line between bars."""

    kind: DirectiveKind
    text: str
    notes: Notes
    span: Span = field(compare=False)


@dataclass(frozen=True, slots=True)
class VariantContent:
    """The whole bar as another source has it; without a siglum, the copy-text."""

    witness: str
    items: tuple[ItemContent, ...]
    span: Span = field(compare=False)


@dataclass(frozen=True, slots=True)
class SyllableContent:
    """A syllable: ``place`` is that in its word, ``extends`` says that it is drawn out. ``text`` is empty where the
    edition leaves one out; ``source`` as typed."""

    stanza: int
    text: str
    place: str
    extends: bool
    notes: Notes = ()
    act: Act = Act.PRINTED
    source: str = ""


@dataclass(frozen=True, slots=True)
class SungContent:
    """A note of a sung line or bass. ``pitch`` is empty for a rest; ``source`` is what the source has where the edition
    reads something else; ``value`` its rhythm sign, only where that is edited; ``length`` in ticks of the source's
    values; ``figures`` are (offset in ticks, signs from the top), ``unread`` says that its word cannot be read."""

    pitch: str
    act: Act
    source: str
    doubtful: bool
    source_doubtful: bool
    value: Reading[str] | None
    length: Ticks
    tied: bool
    fermata: bool
    marks: Marks
    syllables: tuple[SyllableContent, ...]
    figures: tuple[tuple[Ticks, str], ...]
    unread: bool
    notes: Notes
    span: Span = field(compare=False)


@dataclass(frozen=True, slots=True)
class ChordContent:
    """A chord letter: over which line (empty: the tablature) and over which of its events or notes, from 1."""

    over: str
    at: int
    text: str
    span: Span = field(compare=False)
    act: Act = Act.PRINTED
    source: str = ""


@dataclass(frozen=True, slots=True)
class BarContent:
    """One bar. ``sung`` holds the notes of each line, by the line's name. Beside: its place and number; ``tuning``, the
    strings of each course in force (``G2+G3``); ``breaks``, folios that begin in it, empty for a system; ``again``, the
    events of a bar that the source does not write out."""

    kind: BarKind
    directives: tuple[DirectiveContent, ...]
    items: tuple[ItemContent, ...]
    closing: BarlineContent
    ditto: str
    variants: tuple[VariantContent, ...]
    notes: Notes
    sung: tuple[tuple[str, tuple[SungContent, ...]], ...]
    chords: tuple[ChordContent, ...]
    again: tuple[EventContent, ...] = field(compare=False)
    index: int = field(compare=False)
    label: str = field(compare=False)
    tuning: tuple[str, ...] = field(compare=False)
    breaks: tuple[str, ...] = field(compare=False)
    span: Span = field(compare=False)

    @property
    def name(self) -> str:
        """``bar 12``, or ``upbeat`` with its place among the bars typed."""
        return f"bar {self.label}" if self.label else f"upbeat (bar {self.index + 1} as typed)"


@dataclass(frozen=True, slots=True)
class LineContent:
    """What is declared of a line beside the tablature."""

    name: str
    title: str
    clef: str
    fifths: int
    moved: int


@dataclass(frozen=True, slots=True)
class HeadingContent:
    """What is declared. ``described`` and ``declared`` are pairs of a name and what stands there: of the piece and its
    sources, and of the music; ``tuning`` are the strings of each course."""

    described: tuple[tuple[str, str], ...]
    declared: tuple[tuple[str, str], ...]
    tuning: tuple[str, ...]
    lines: tuple[LineContent, ...]


@dataclass(frozen=True, slots=True)
class PieceContent:
    """A whole piece. ``read`` are pairs as above, of what is read of the piece as a whole; ``unread`` the lines that
    cannot be read; ``signs`` the system that frets are named in."""

    heading: HeadingContent
    bars: tuple[BarContent, ...]
    closing: tuple[DirectiveContent, ...]
    read: tuple[tuple[str, str], ...] = field(compare=False)
    signs: Signs = field(compare=False)
    stopped: int = field(compare=False)
    unread: tuple[UnreadContent, ...] = field(default=(), compare=False)


@dataclass(frozen=True, slots=True)
class FindingContent:
    """A finding as a build keeps it; ``line`` is 0 where it does not speak of the piece's own file."""

    code: str
    severity: str
    message: str
    line: int
