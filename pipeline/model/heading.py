"""What a heading declares, interpreted: instrument, scale, pitch standard, signs, layers."""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction

from pipeline.model.book import Book, Canvas, Issue, Licence
from pipeline.model.instrument import Instrument
from pipeline.model.signs import Signs
from pipeline.model.text import Span
from pipeline.model.time import Metre

#: Where a part of a source's description begins.
_PART = re.compile(r",\s+(shelfmark|date|state)\s+(?=\S)")


@dataclass(frozen=True, slots=True)
class Key:
    """A declared key: ``D minor``. ``fifths`` is its signature (-1 = one flat)."""

    tonic: str
    mode: str
    fifths: int


@dataclass(frozen=True, slots=True)
class Described:
    """A source in parts: what it is, then pairs of a word (Shelfmark, Date, State) and what stands behind it."""

    text: str
    parts: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Witness:
    """One source: siglum, description. The first is the copy-text.

    Parts of the description that begin with shelfmark, date or state are told apart:
    ``Trial book, shelfmark Mus. 12, date 1604, state lower corner of f. 3 torn``."""

    siglum: str
    text: str

    @property
    def described(self) -> Described:
        """The description in parts; a comma belongs to the part before it unless one of the words follows."""
        first, *rest = _PART.split(self.text)
        parts = zip(rest[::2], rest[1::2], strict=True)
        return Described(first.strip(), tuple((word.capitalize(), text.strip()) for word, text in parts))


@dataclass(frozen=True, slots=True)
class DeclaredMark:
    """``mark T = "t" trill, after``: a capital letter, the sign as printed, its meaning, its place
    (before, after, above, below)."""

    letter: str
    printed: str
    meaning: str
    place: str


@dataclass(frozen=True, slots=True)
class Layer:
    """``layer v = Canto, clef C1, 1 flat``. ``fifths`` is the signature printed, ``clef`` as typed.

    ``file`` is the notation file that holds the line (``from canto.musicxml``), relative to the piece; empty if it
    is typed. ``part`` counts its parts from the top, 0 where none is named."""

    name: str
    title: str
    clef: str
    fifths: int
    file: str = ""
    part: int = 0


@dataclass(frozen=True, slots=True)
class Facsimile:
    """``facsimile 4r = images/4r.jpg``: the image of a folio. ``file`` is its path from the piece's folder, as typed;
    ``span`` the line; ``inherited`` says that it comes from a folder's heading."""

    folio: str
    file: str
    span: Span
    inherited: bool = False


@dataclass(frozen=True, slots=True)
class Zone:
    """A part of an image, in percent of its height from the top and of its width from the left."""

    top: float
    bottom: float
    left: float = 0.0
    right: float = 100.0


@dataclass(frozen=True, slots=True)
class Systems:
    """``systems 4r = 8-20, 24-36, across 6-94``: where the systems of this piece lie on the image of a folio, from the
    top; ``span`` the line; ``inherited`` says that it comes from a folder's heading."""

    folio: str
    zones: tuple[Zone, ...]
    span: Span
    inherited: bool = False


@dataclass(frozen=True, slots=True)
class DeclaredSeverity:
    """``severity bar-too-short = warning``: how grave a kind of finding is, in the file of the line and in all that
    inherit it. ``finding`` is the slug of its code, ``severity`` error, warning or note."""

    finding: str
    severity: str
    span: Span


class ArpeggioOrder(Enum):
    """``arpeggio fingers``: by a fixed order of the courses; ``arpeggio rising``: from the lowest pitch up."""

    FINGERS = "fingers"
    RISING = "rising"


@dataclass(frozen=True, slots=True)
class Heading:
    """All that the heading declares. ``values`` is edition length ÷ printed length (1:2 gives 1/2)."""

    title: str
    composer: str
    remarks: tuple[str, ...]
    witnesses: tuple[Witness, ...]
    editors: tuple[tuple[str, str], ...]
    instrument: Instrument
    signs: Signs
    #: A4 in hertz, None where none is declared.
    pitch: float | None
    #: Sounding lengths in centimetres of stopped strings and diapasons, where declared.
    strings: tuple[float, float] | None
    values: Fraction
    #: The value that a hookless stem stands for.
    plain_stem: int
    metre: Metre | None
    key: Key | None
    marks: tuple[DeclaredMark, ...]
    layers: tuple[Layer, ...]
    #: True if the diapasons were declared, by a course or a diapasons line, not only taken from a preset.
    scale_declared: bool
    #: Where each key was declared, for findings: key word → span of its line.
    places: tuple[tuple[str, Span], ...] = ()
    #: How many voices the editor hears, where declared.
    voices: int | None = None
    #: In which order spread chords are played.
    arpeggio: ArpeggioOrder = ArpeggioOrder.FINGERS
    #: Whether the first chord of a passage of spread chords is printed in small notes.
    written_out: bool = False
    #: Images of the source, in the order of the heading.
    facsimiles: tuple[Facsimile, ...] = ()
    #: Where the systems lie on them.
    systems: tuple[Systems, ...] = ()
    #: Numbers of the courses that the heading tunes itself.
    tuned: tuple[int, ...] = ()
    #: Outermost folder first, the piece's own last: where several speak of one kind of finding, the last wins.
    severities: tuple[DeclaredSeverity, ...] = ()
    #: How many lines the tablature is printed on, 0 where none are declared: one for each stopped course, six at most.
    lines: int = 0
    #: Whether course 1 is the upper line: always so with French letters, with figures where it is declared.
    course_1_above: bool = False
    #: What is published: version and day of the text, its licence; the book that the piece stands in.
    issue: Issue | None = None
    licence: Licence | None = None
    book: Book | None = None
    #: IIIF canvases of folios, in the order of the heading.
    canvases: tuple[Canvas, ...] = ()

    def mark(self, letter: str) -> DeclaredMark | None:
        return next((mark for mark in self.marks if mark.letter == letter), None)
