"""The page as typed: every sign, every editorial act, every line, with its place. Nothing is derived here.

The records mirror the grammar in ``schemas/encoding.ebnf``; each says which rule it holds.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import Enum
from typing import Generic, TypeVar

from pipeline.model.time import Value
from pipeline.record import quick
from pipeline.source import Span

T_co = TypeVar("T_co", covariant=True)
T = TypeVar("T")


class Signs(Enum):
    """The system of fret and diapason signs."""

    ITALIAN = "italian"
    FRENCH = "french"


class Act(Enum):
    """What stands between the source and the edition at one sign."""

    PRINTED = "printed"  # S        the source has it, the edition reads it
    ADDED = "added"  # S!       the source has nothing
    EMENDED = "emended"  # S!S      the source has something else
    SUPPLIED_ILLEGIBLE = "supplied, illegible"  # S!?
    SUPPLIED_LOST = "supplied, lost"  # S!*
    REMOVED = "removed"  # !S       the edition leaves it out
    ILLEGIBLE = "illegible"  # ?        no reading
    LOST = "lost"  # *        no reading


@dataclass(frozen=True, slots=True)
class Reading(Generic[T_co]):
    """Rule ``ed(S)``: what the edition reads and what the source has, kept apart.

    ``edition`` is None when the sign is removed, illegible or lost; ``source`` is None when the source
    has nothing readable. When the act is PRINTED both are the same object.
    """

    act: Act
    edition: T_co | None
    source: T_co | None
    doubtful: bool = False  # ``?`` behind the edition's reading
    source_doubtful: bool = False  # ``?`` behind the source's reading


def printed(value: T, *, doubtful: bool = False) -> Reading[T]:
    """A reading in which the edition follows the source."""
    return Reading(Act.PRINTED, value, value, doubtful)


@quick
@dataclass(frozen=True, slots=True)
class Label:
    """``"a``: ties a sign to a note line of the same bar."""

    letter: str
    span: Span


@quick
@dataclass(frozen=True, slots=True)
class MarkGroup:
    """Rule ``marks``: what stands behind one tick; several readings only if all are plain."""

    marks: tuple[Reading[str], ...]
    labels: tuple[Label, ...]
    span: Span


class Slur(Enum):
    """``_`` before a stop: joined to the stop before on the same course by the left hand."""

    PRINTED = "_"
    ADDED = "_!"
    DOUBTFUL = "_?"
    REMOVED = "!_"


class FretState(Enum):
    """What stands where a fret should."""

    READ = "read"
    ILLEGIBLE = "illegible"  # 3:?
    LOST = "lost"  # 3:*
    HOLD = "hold"  # 3:-   the line of a held note reaches here; nothing is struck


@quick
@dataclass(frozen=True, slots=True)
class Sign:
    """Rule ``sign``: one figure or letter on one course.

    ``course`` is 1 … n as counted, or None if the line is unclear (``?:2``) or lost (``*:2``); ``course_sign``
    keeps that ``?`` or ``*``. ``fret`` is None unless ``state`` is READ. ``typed`` is the fret or diapason
    sign to the letter (``X`` or ``10``, ``i`` or ``y``, ``//a``), empty for a hold on a stopped course.
    ``bare`` says a diapason typed without a course.
    """

    course: int | None
    fret: int | None
    state: FretState
    typed: str
    bare: bool = False
    dots: int = 0  # right-hand dots under the sign
    course_sign: str = ""
    #: True where the course was left out by the typing shorthand ``:2`` and taken from the stop before.
    shorthand: bool = False


@quick
@dataclass(frozen=True, slots=True)
class Stop:
    """Rule ``stop``. ``after`` is true where it is set after (``>``) the stop before it, not with it."""

    reading: Reading[Sign]
    span: Span
    slur: Slur | None = None
    after: bool = False
    labels: tuple[Label, ...] = ()
    marks: tuple[MarkGroup, ...] = ()

    @property
    def sign(self) -> Sign | None:
        """What the edition reads."""
        return self.reading.edition


@quick
@dataclass(frozen=True, slots=True)
class Group:
    """Rule ``group``: ``/3`` = three in the time of two, ``/5:4`` = five in the time of four.

    ``typed_time`` is None where the second number was left out; ``time`` is what it means then.
    """

    notes: int
    time: int
    typed_time: int | None
    added: bool = False


@quick
@dataclass(frozen=True, slots=True)
class Head:
    """Rule ``head``: what stands over an event."""

    value: Reading[Value] | None
    span: Span
    beamed: bool = False
    group: Group | None = None
    opening_labels: tuple[Label, ...] = ()
    labels: tuple[Label, ...] = ()
    marks: tuple[MarkGroup, ...] = ()


class Body(Enum):
    """What an event holds under its head."""

    STOPS = "stops"
    NOTHING = "-"  # under a sign: a rest; alone: a place left blank
    AS_BEFORE = "="  # the chord before, not printed again


@quick
@dataclass(frozen=True, slots=True)
class Event:
    """Rule ``event``: one word, one event."""

    span: Span
    head: Head | None
    body: Body
    stops: tuple[Stop, ...] = ()


class BarlineKind(Enum):
    """A bar line as printed; the value is how it is typed."""

    SINGLE = "|"
    DOUBLE = "||"
    FINAL = "|||"
    DASHED = "|-|"  # printed with gaps or dots
    REPEAT_END = ".||"
    REPEAT_START = "||."
    REPEAT_BOTH = ".||."


class BarlineAct(Enum):
    PRINTED = ""
    ADDED = "added"  # |!
    REMOVED = "removed"  # !|
    DOUBTFUL = "doubtful"  # |?


@quick
@dataclass(frozen=True, slots=True)
class Barline:
    """Rule ``barline``. ``typed`` is false for the plain line that closes a bar without being typed."""

    kind: BarlineKind
    span: Span
    act: BarlineAct = BarlineAct.PRINTED
    labels: tuple[Label, ...] = ()
    typed: bool = True


@quick
@dataclass(frozen=True, slots=True)
class SourceBreak:
    """``&``: a new system; ``&4r``: a new page, ``folio`` = ``4r``."""

    folio: str
    span: Span


@quick
@dataclass(frozen=True, slots=True)
class Unread:
    """A token that could not be read: kept to the letter, so that nothing typed is lost.

    ``head`` is what stands over it where that much could be read, so that time can go on.
    """

    text: str
    span: Span
    head: Head | None = None


BarItem = Event | Barline | SourceBreak | Unread


@quick
@dataclass(frozen=True, slots=True)
class Ditto:
    """``ditto`` · ``ditto 2`` · ``ditto Prima 3``: the source says to repeat what stood elsewhere.

    ``bars`` is how many bars before are meant; with ``section`` it is bar ``number`` of that section.
    """

    bars: int
    section: str
    number: int
    typed: str
    span: Span


class BarKind(Enum):
    """How the length of a bar is meant; the value is how the line begins."""

    MEASURED = "|"
    SHORT = "|<"  # shorter than the metre on purpose
    FREE = "|>"  # longer, or free


# --- other layers of a bar ---------------------------------------------------------------------------


@quick
@dataclass(frozen=True, slots=True)
class LayerPitch:
    """Rule ``pitch`` of a voice or bass line: letter, accidental as printed (``#``, ``b``, ``n`` or empty),
    octave as typed or None where the one before holds."""

    step: str
    accidental: str
    octave: int | None


@quick
@dataclass(frozen=True, slots=True)
class LayerNote:
    """Rule ``note``: one word of a ``v`` or ``b`` line. ``pitch`` is None for a rest.

    ``figures`` are figured-bass columns in order of time, each stacked from the top; ``group`` stands over the note.
    """

    span: Span
    value: Reading[Value] | None
    value_marks: tuple[MarkGroup, ...]
    pitch: Reading[LayerPitch] | None
    joined: bool = False
    figures: tuple[tuple[str, ...], ...] = ()
    figures_typed: str = ""
    labels: tuple[Label, ...] = ()
    group: Group | None = None


class LayerKind(Enum):
    VOICE = "v"
    BASS = "b"
    CHORDS = "c"
    TEXT = "1"


@quick
@dataclass(frozen=True, slots=True)
class LayerLine:
    """One line of another layer of the bar above.

    ``name`` is the first token (``v``, ``v2``, ``b``, ``c``, ``1``); ``over`` is the name of the note line
    that a chord or text line belongs to (empty: the tablature). Notes for voices and basses, ``words``
    (with spans) for chords and text; words may also be ``-`` (none) and ``_`` (melisma). ``word_labels`` runs
    beside ``words``: the labels typed behind each, which are no part of it.
    """

    kind: LayerKind
    name: str
    over: str
    span: Span
    notes: tuple[LayerNote | Unread, ...] = ()
    words: tuple[tuple[str, Span], ...] = ()
    word_labels: tuple[tuple[Label, ...], ...] = ()
    comment: str = ""


@quick
@dataclass(frozen=True, slots=True)
class SourceBar:
    """``!`` or ``!B`` line: the whole bar above as that source has it (``witness`` empty = copy-text)."""

    witness: str
    items: tuple[BarItem, ...]
    span: Span
    comment: str = ""
    #: The tokens as typed, one space between them.
    typed: str = ""


@quick
@dataclass(frozen=True, slots=True)
class Pin:
    """``"a > voice 2, octave up, lasts 2.``: the editor's reading, which the tool must follow.

    Unset fields are None. ``octave`` is +1, 0 (as it sounds) or -1. ``lasts_to`` is a label of the bar.
    """

    voice: int | None = None
    octave: int | None = None
    lasts: Value | None = None
    lasts_to: str = ""


class NoteKind(Enum):
    REASON = "reason"  # "a EB: digits confused
    PRINTED_WORD = "printed word"  # "a : adagio
    WITNESS = "witness"  # "a !B 3:3
    PIN = "pin"  # "a > voice 2


@quick
@dataclass(frozen=True, slots=True)
class NoteLine:
    """A line that begins with ``"a`` (or ``"`` for the whole bar, ``label`` empty)."""

    kind: NoteKind
    label: str
    span: Span
    who: str = ""  # initials of the editor, or the siglum of the witness
    text: str = ""
    pin: Pin | None = None
    comment: str = ""


@quick
@dataclass(frozen=True, slots=True)
class Bar:
    """One bar line of tablature and all that was typed under it. ``closing`` is the line at its end.

    ``breaks`` inside ``items`` say where the source begins a system or page; ``continued`` lists nothing:
    continuation lines are joined, the formatter breaks them anew.
    """

    kind: BarKind
    span: Span
    items: tuple[BarItem, ...]
    closing: Barline
    ditto: Ditto | None = None
    layers: tuple[LayerLine, ...] = ()
    variants: tuple[SourceBar, ...] = ()
    notes: tuple[NoteLine, ...] = ()
    comment: str = ""

    @property
    def events(self) -> tuple[Event, ...]:
        return tuple(item for item in self.items if isinstance(item, Event))


# --- lines between bars ------------------------------------------------------------------------------


class DirectiveKind(Enum):
    SECTION = "section"
    TEMPO = "tempo"
    METRE = "metre"
    KEY = "key"
    RETUNE = "retune"
    ENDING = "ending"
    OPENS = "opens"
    AGAIN = "again"
    GAP = "gap"
    STANZA = "stanza"


@quick
@dataclass(frozen=True, slots=True)
class Directive:
    """A line that begins with a directive word. ``text`` is the rest of the line, one space between words;
    ``value_span`` its place. ``notes`` are the note lines under it."""

    kind: DirectiveKind
    text: str
    span: Span
    value_span: Span
    notes: tuple[NoteLine, ...] = ()
    comment: str = ""


@quick
@dataclass(frozen=True, slots=True)
class PageBreak:
    """A line of its own that begins with ``&``: a new system or page before the next bar."""

    folio: str
    span: Span
    comment: str = ""


@quick
@dataclass(frozen=True, slots=True)
class CommentLine:
    """A line that begins with ``;``: kept, never printed."""

    text: str
    span: Span


@quick
@dataclass(frozen=True, slots=True)
class UnreadLine:
    """A line that could not be read: kept to the letter."""

    text: str
    span: Span


BodyItem = Bar | Directive | PageBreak | CommentLine | UnreadLine


#: Keys of heading lines in their canonical order.
HEADING_KEYS = (
    "title", "composer", "source", "facsimile", "editor", "instrument", "stopped", "frets", "course", "diapasons",
    "pitch", "strings", "signs", "values", "stems", "metre", "key", "voices", "arpeggio", "mark", "layer", "severity",
    "remark",
)  # fmt: skip


@quick
@dataclass(frozen=True, slots=True)
class HeadingLine:
    """``key value`` before the music.

    ``key`` is the first word, one of ``HEADING_KEYS``; source, facsimile, editor, course, mark, layer and severity have
    a second word in ``name`` and ``=`` (``mark T = …``), ``value`` the rest. ``inherited`` says it came from the
    folder's headings.
    """

    key: str
    name: str
    value: str
    span: Span
    value_span: Span
    inherited: bool = False
    comment: str = ""


@quick
@dataclass(frozen=True, slots=True)
class Tablature:
    """A whole piece as typed. ``heading`` holds the piece's own lines in order (with comment lines among
    them), ``inherited`` the folder's; ``body`` all lines from the first music line on."""

    version: int
    heading: tuple[HeadingLine | CommentLine | UnreadLine, ...]
    inherited: tuple[HeadingLine, ...]
    body: tuple[BodyItem, ...]
    signs: Signs
    #: The comment behind the version line.
    comment: str = ""
    name: str = field(default="")

    @property
    def bars(self) -> tuple[Bar, ...]:
        return tuple(item for item in self.body if isinstance(item, Bar))
