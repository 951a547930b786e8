"""What a proof page shows: the pages of a piece beside its text, every sign in both, and all there is to decide.

Places in the text are lines and columns of the piece's own file, from 1; ``end`` is the column behind the last
character. Signs are named by stop ids (``b3e2c5``), events by theirs (``b3e2``), bars by theirs (``b3``); notes of sung
lines by ``v-b3n2``, the words under them by ``v-b3n2w1``. A name leads to the drawings whose ids end in it or go on
from it.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from pipeline.desk.proof.reading import Marks
from pipeline.model.facsimile import FolioImage
from pipeline.model.performance import Sounder
from pipeline.model.record import Record
from pipeline.model.text import SourceText


@dataclass(frozen=True, slots=True)
class View:
    """One score in pages: its files' common name, what it is called, its pages as SVG documents without their faces,
    and these faces, each with the characters that it shows."""

    name: str
    title: str
    pages: tuple[str, ...]
    faces: tuple[tuple[str, str], ...] = ()


class TypedSign(Record, frozen=True):
    """One sign and where it is typed. ``says`` tells in words what is read into it: pitch, voice, length."""

    id: str
    line: int
    start: int
    end: int
    says: str = ""


@dataclass(frozen=True, slots=True)
class TypedBar:
    """One bar: its number as printed (empty for an upbeat), where its line begins, its signs (events, stops, sung
    notes) in typed order."""

    id: str
    label: str
    line: int
    start: int
    end: int
    signs: tuple[TypedSign, ...]
    #: A name of what its line and those under it hold; empty where it has no line of its own.
    content: str = ""


class Hand(Enum):
    """Why a place is marked."""

    RESTORED = "restored"  # the line is meant an octave off its sound
    ASKED = "asked"  # … or may be
    EMENDED = "emended"  # the edition is not simply the source here
    DOUBTFUL = "doubtful"  # read with doubt, or not at all
    NOTED = "noted"  # only a remark
    WEAK = "weak"  # a bar whose lines the reading is not sure of


@dataclass(frozen=True, slots=True)
class Answer:
    """What the editor types to decide a question: what it says, and ``typed``, the lines that come in the place of
    lines ``first`` to ``last`` of the text."""

    words: str
    first: int
    last: int
    typed: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class MarkedPlace:
    """A place that the editor or the reading had a hand in: the names of its signs, the first the one meant; what was
    done, in a word; why. ``octaves`` is where the line is meant (+1 above its sound, -1 below), 0 for what is no
    question of octaves; ``sounding`` and ``meant`` name the two pitches."""

    hand: Hand
    at: tuple[str, ...]
    bar: str
    what: str
    why: str
    octaves: int = 0
    sounding: str = ""
    meant: str = ""
    answers: tuple[Answer, ...] = ()


@dataclass(frozen=True, slots=True)
class Elsewhere:
    """Another place that a finding speaks of: what is said of it, its text (as below) and line."""

    message: str
    text: int
    line: int


@dataclass(frozen=True, slots=True)
class ShownFinding:
    """A finding in words. ``at`` names the sign, event or bar that it speaks of, empty where that is none of the
    piece's own file; ``text`` counts the texts of the proof, -1 for none of them; ``bar`` is the number as printed."""

    code: str
    severity: str
    title: str
    message: str
    hint: str
    bar: str
    text: int
    line: int
    start: int
    end: int
    at: str
    related: tuple[Elsewhere, ...] = ()


@dataclass(frozen=True, slots=True)
class LikelyMisprint:
    """A way to mend a place that is probably misprinted: its name, what is ``typed`` and what would be; ``chance`` is
    how surely, from 0 to 1. Ways to mend one place follow each other, the likeliest first."""

    id: str
    at: str
    bar: str
    what: str
    typed: str
    proposed: str
    chance: float
    why: str


class Tone(Record, frozen=True):
    """One pitch to be heard in a bar: onset from the bar's beginning and length in thousandths of a crotchet, MIDI
    number, what plays it."""

    onset: int
    length: int
    pitch: int
    sounder: Sounder


class HeardBar(Record, frozen=True):
    """What is heard of one bar, how long it lasts, and when its events begin, in thousandths of a crotchet."""

    length: int
    tones: tuple[Tone, ...]
    events: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Proof:
    """All that one proof page shows. The first of ``texts`` is the piece itself, the others the headings it inherits,
    outermost first. ``bars`` and ``heard`` run side by side. ``home`` is the path to the page of all pieces, empty for
    none; ``files`` are the names of the other artefacts beside the page. ``pitch`` is A4 in hertz, as sounded."""

    title: str
    composer: str
    home: str
    views: tuple[View, ...]
    texts: tuple[SourceText, ...]
    bars: tuple[TypedBar, ...]
    heard: tuple[HeardBar, ...]
    crotchets: int
    pitch: float
    findings: tuple[ShownFinding, ...]
    marks: tuple[MarkedPlace, ...]
    #: None where they were not looked for.
    misprints: tuple[LikelyMisprint, ...] | None = None
    images: tuple[FolioImage, ...] = ()
    files: tuple[str, ...] = ()
    #: Those of whoever proof-reads the piece, None where no file holds any.
    reading: Marks | None = None


@dataclass(frozen=True, slots=True)
class Counts:
    """Of pieces, and of the findings that they have; of those that are being proof-read, bars and bars read."""

    pieces: int = 0
    errors: int = 0
    warnings: int = 0
    notes: int = 0
    bars: int = 0
    read: int = 0

    def __add__(self, other: Counts) -> Counts:
        return Counts(
            self.pieces + other.pieces,
            self.errors + other.errors,
            self.warnings + other.warnings,
            self.notes + other.notes,
            self.bars + other.bars,
            self.read + other.read,
        )


@dataclass(frozen=True, slots=True)
class ListedPiece:
    """One piece on the page of all pieces: its name and title, its folder from the top (with / between parts), how many
    findings it has, the names of its artefacts. ``unbuilt`` says that it could not be built: its files
    are then of an earlier build. ``bars`` and ``read`` say how far it is proof-read, where somebody has begun."""

    name: str
    title: str
    folder: str
    errors: int
    warnings: int
    notes: int
    files: tuple[str, ...]
    unbuilt: bool = False
    bars: int = 0
    read: int = 0

    @property
    def counts(self) -> Counts:
        return Counts(1, self.errors, self.warnings, self.notes, self.bars, self.read)


@dataclass(frozen=True, slots=True)
class ListedFolder:
    """A folder that has a page of its own, from the top (with / between parts), and what lies below it."""

    folder: str
    counts: Counts


@dataclass(frozen=True, slots=True)
class ListedPart:
    """A part of a folder that is too long for one page: what all names in it begin with (a name ends in a slash), the
    name of the page without its ending, and what it holds."""

    begins: str
    page: str
    counts: Counts


@dataclass(frozen=True, slots=True)
class Listing:
    """One page of the index: of a ``folder`` from the top (empty: of all pieces), or of a ``part`` of it.

    It is ``whole`` if every piece below the folder stands on it. Otherwise ``entries`` are those that lie in the folder
    itself: pieces, and folders with pages of their own; a folder with too many of them has ``parts`` instead."""

    folder: str
    part: ListedPart | None = None
    entries: tuple[ListedPiece | ListedFolder, ...] = ()
    parts: tuple[ListedPart, ...] = ()
    whole: bool = False

    @property
    def counts(self) -> Counts:
        return sum((one.counts for one in (*self.entries, *self.parts)), Counts())
