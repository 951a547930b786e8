"""A programme: pieces in concert order, how the strings are tuned for each, and what moves between them."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from pipeline.model.pitch import SpelledPitch


class Known(Enum):
    """How the tuning of a course is known."""

    DECLARED = "declared"  # a course or diapasons line of the heading
    ASKED = "asked"  # as usual, for nothing is declared; but the fretted notes ask for another pitch
    USUAL = "usual"  # as the instrument named in the heading is usually tuned


class Standard(Enum):
    """Where a pitch standard comes from."""

    ASKED = "asked"  # one for the whole programme, by the player
    DECLARED = "declared"  # in the heading
    OTHERS = "others"  # not declared: the one declared most often for the same instrument
    NONE = "none"  # declared nowhere in the programme: A4 = 440 Hz


class Strain(Enum):
    """How near a string comes to the pitch at which plain gut of its length breaks. UNKNOWN without a length."""

    UNKNOWN = "unknown"
    FAR = "far"
    NEAR = "near"  # less than two semitones below
    BEYOND = "beyond"


class Method(Enum):
    """How the order was found."""

    GIVEN = "given"
    PROVEN = "proven"  # no order has fewer
    SEARCHED = "searched"  # the best that was found; a better one may exist


@dataclass(frozen=True, slots=True)
class TunedString:
    """One string of a course at the piece's pitch standard (``hertz``, in equal temperament)."""

    pitch: SpelledPitch
    hertz: float
    strain: Strain = Strain.UNKNOWN


@dataclass(frozen=True, slots=True)
class TunedCourse:
    """One course as a piece wants it, the naming string first. ``struck`` says that the piece uses it. Where ``known``
    is ASKED, ``asked`` is the pitch in question and ``chance`` (0 to 1) how likely it is meant; the strings are those
    that the edition prints and sounds."""

    number: int
    strings: tuple[TunedString, ...]
    diapason: bool
    struck: bool
    known: Known = Known.USUAL
    asked: SpelledPitch | None = None
    chance: float = 1.0


@dataclass(frozen=True, slots=True)
class Move:
    """One string that moves. ``string`` counts from 0 in its course, ``strings`` is how many that has. ``semitones``
    is the step between the two names, ``tenths`` the whole way in tenths of a cent: the change of the pitch standard
    is in it. Up is positive. ``struck`` says that the piece that follows uses the course."""

    course: int
    string: int
    strings: int
    before: TunedString
    after: TunedString
    semitones: int
    tenths: int
    struck: bool = True


@dataclass(frozen=True, slots=True)
class Inside:
    """A retuning within a piece: before the bar numbered ``bar`` (empty if that has no number), which stands in, or
    begins, the part called ``section``; ``begins`` tells which."""

    bar: str
    section: str
    begins: bool
    moves: tuple[Move, ...]


@dataclass(frozen=True, slots=True)
class ProgrammePiece:
    """One piece of the programme.

    ``given`` is its place in the order given, from 1; ``name`` its file; ``instrument`` the place of its instrument
    in the programme's list, from 0. ``a4`` in hertz. ``courses`` is its tuning at the beginning, ``after`` at the end.
    ``lengths`` are those of stopped strings and diapasons in centimetres, where declared. ``goes_back``: after a
    retuning the piece goes back to an earlier part, and which tuning that wants is not said.
    """

    given: int
    name: str
    title: str
    composer: str
    instrument: int
    a4: float
    standard: Standard
    courses: tuple[TunedCourse, ...]
    after: tuple[TunedCourse, ...]
    inside: tuple[Inside, ...] = ()
    lengths: tuple[float, float] | None = None
    goes_back: bool = False

    @property
    def diapasons(self) -> tuple[TunedCourse, ...]:
        return tuple(course for course in self.courses if course.diapason)

    @property
    def stopped(self) -> tuple[TunedCourse, ...]:
        return tuple(course for course in self.courses if not course.diapason)


@dataclass(frozen=True, slots=True)
class Changeover:
    """What is done before a piece. ``since`` is the place in the programme (from 0) of the piece that the instrument
    was last played in; None where it is taken up for the first time. ``standard`` is the pitch standard before and
    after, in hertz, where it changes: every string then moves, and ``moves`` names them all."""

    since: int | None
    moves: tuple[Move, ...] = ()
    standard: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class Programme:
    """The pieces in the order played, and the change before each. ``instruments`` are their names.

    ``as_given`` is how many strings move between pieces in the order given, and ``moved`` in the order played.
    """

    pieces: tuple[ProgrammePiece, ...]
    changes: tuple[Changeover, ...]
    instruments: tuple[str, ...]
    method: Method
    as_given: int

    @property
    def moved(self) -> int:
        return sum(len(change.moves) for change in self.changes)
