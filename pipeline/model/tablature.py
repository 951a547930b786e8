"""The page as typed: every sign, every editorial act, every line, with its place. Nothing is derived here.

The records mirror the grammar in ``schemas/encoding.ebnf``; each says which rule it holds.
"""

from __future__ import annotations

from enum import Enum

from pipeline.model.layers import LayerLine
from pipeline.model.record import Record
from pipeline.model.signs import Event, Label, Signs, Unread
from pipeline.model.text import Span
from pipeline.model.time import Value


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


class Barline(Record, frozen=True):
    """Rule ``barline``. ``typed`` is false for the plain line that closes a bar without being typed."""

    kind: BarlineKind
    span: Span
    act: BarlineAct = BarlineAct.PRINTED
    labels: tuple[Label, ...] = ()
    typed: bool = True


class SourceBreak(Record, frozen=True):
    """``&``: a new system; ``&4r``: a new page, ``folio`` = ``4r``. ``labels`` lead to what is printed there: a clef, a
    letter, a custos."""

    folio: str
    span: Span
    labels: tuple[Label, ...] = ()


BarItem = Event | Barline | SourceBreak | Unread


class Ditto(Record, frozen=True):
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


#: What is typed where a source has nothing at a place.
OMITS = "omits"


class SourceBar(Record, frozen=True):
    """``!`` or ``!B`` line: the whole bar above as that source has it (``witness`` empty = copy-text).

    ``!B omits`` says that the source lacks the bar; it then has no items."""

    witness: str
    items: tuple[BarItem, ...]
    span: Span
    comment: str = ""
    #: The tokens as typed, one space between them.
    typed: str = ""

    @property
    def omits(self) -> bool:
        return self.typed == OMITS


class Pin(Record, frozen=True):
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


class NoteLine(Record, frozen=True):
    """A line that begins with ``"a`` (or ``"`` for the whole bar, ``label`` empty)."""

    kind: NoteKind
    label: str
    span: Span
    who: str = ""  # initials of the editor, or the siglum of the witness
    text: str = ""
    pin: Pin | None = None
    comment: str = ""


class Bar(Record, frozen=True):
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
    LAYOUT = "layout"


class Directive(Record, frozen=True):
    """A line that begins with a directive word. ``text`` is the rest of the line, one space between words;
    ``value_span`` its place. ``notes`` are the note lines under it."""

    kind: DirectiveKind
    text: str
    span: Span
    value_span: Span
    notes: tuple[NoteLine, ...] = ()
    comment: str = ""


class PageBreak(Record, frozen=True):
    """A line of its own that begins with ``&``: a new system or page before the next bar."""

    folio: str
    span: Span
    comment: str = ""


class CommentLine(Record, frozen=True):
    """A line that begins with ``;``: kept, never printed."""

    text: str
    span: Span


class UnreadLine(Record, frozen=True):
    """A line that could not be read, or all those of a file with too many: kept to the letter, but for blank lines."""

    text: str
    span: Span


BodyItem = Bar | Directive | PageBreak | CommentLine | UnreadLine


#: Keys of heading lines in their canonical order.
HEADING_KEYS = (
    "title", "composer", "book", "subtitle", "part", "introduction", "method", "imprint", "edition", "licence",
    "source", "facsimile", "canvas", "systems", "editor", "instrument", "stopped", "frets", "course", "diapasons",
    "pitch", "strings", "signs", "lines", "values", "stems", "metre", "key", "voices", "arpeggio", "mark", "layer",
    "severity", "remark",
)  # fmt: skip


class HeadingLine(Record, frozen=True):
    """``key value`` before the music.

    ``key`` is the first word, one of ``HEADING_KEYS``; part, source, facsimile, canvas, systems, editor, course,
    mark, layer and severity have a second word in ``name`` and ``=`` (``mark T = …``), ``value`` the rest.
    ``inherited`` says it came from the folder's headings.
    """

    key: str
    name: str
    value: str
    span: Span
    value_span: Span
    inherited: bool = False
    comment: str = ""


class Tablature(Record, frozen=True):
    """A whole piece as typed. ``heading`` holds the piece's own lines in order (with comment lines among
    them), ``inherited`` the folder's; ``body`` all lines from the first music line on."""

    version: int
    heading: tuple[HeadingLine | CommentLine | UnreadLine, ...]
    inherited: tuple[HeadingLine, ...]
    body: tuple[BodyItem, ...]
    signs: Signs
    #: The comment behind the version line.
    comment: str = ""
    name: str = ""

    @property
    def bars(self) -> tuple[Bar, ...]:
        return tuple(item for item in self.body if isinstance(item, Bar))
