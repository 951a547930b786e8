"""What stands on the staves of a score: heads, notes, rests, rhythm signs, figures."""

from __future__ import annotations

from enum import Enum

from pipeline.model.pitch import SpelledPitch
from pipeline.model.record import Record
from pipeline.model.time import Ticks, Value

UPPER_STAFF, LOWER_STAFF = 1, 2


class Place(Enum):
    ABOVE = "above"
    BELOW = "below"
    BEFORE = "before"
    AFTER = "after"


class Editorial(Enum):
    """How a sign must be marked, because the edition is not simply the source there."""

    PLAIN = "plain"
    BRACKETED = "bracketed"  # supplied by the editor: square brackets
    DOUBTFUL = "doubtful"  # read with doubt: a small raised question mark
    BRACKETED_DOUBTFUL = "bracketed, doubtful"


class Ink(Enum):
    """What a tablature figure is made of."""

    FIGURE = "figure"
    ILLEGIBLE = "illegible"  # printed as ?
    LOST = "lost"  # printed as a blank in brackets


class Stem(Enum):
    UP = "up"
    DOWN = "down"
    AUTO = "auto"


class BeamState(Enum):
    """State of one beam level at one event, in MusicXML's words."""

    BEGIN = "begin"
    CONTINUE = "continue"
    END = "end"
    FORWARD = "forward hook"
    BACKWARD = "backward hook"


class Kind(Enum):
    NOTE = "note"
    REST = "rest"
    SPACE = "space"  # takes time, prints nothing


class Tuplet(Record, frozen=True):
    """``notes`` in the time of ``time``, of ``value``; ``starts``/``ends`` say where the bracket stands. ``added`` is
    true over tablature whose source does not print the number."""

    notes: int
    time: int
    starts: bool
    ends: bool
    added: bool = False


class Ornament(Record, frozen=True):
    """An ornament sign as printed, its meaning as declared, and where it stands. One that a notation file gives has no
    ``printed`` sign, but that of modern notation for its ``meaning``."""

    printed: str
    meaning: str
    place: Place
    editorial: Editorial = Editorial.PLAIN

    @property
    def shown(self) -> str:
        """The sign with its brackets or question mark, in the tablature and on the staves alike."""
        bracketed = self.editorial in (Editorial.BRACKETED, Editorial.BRACKETED_DOUBTFUL)
        doubtful = self.editorial in (Editorial.DOUBTFUL, Editorial.BRACKETED_DOUBTFUL)
        return f"{'[' * bracketed}{self.printed}{']' * bracketed}{'?' * doubtful}"


class Octave(Record, frozen=True):
    """The sign at a note whose line is meant an octave off its sound: ``octaves`` +1 above, -1 below.

    ``asked`` prints ``(8?)`` and no dashes. ``in_run`` is true where the sign at the first note of a run stands for
    this one too.
    """

    octaves: int
    asked: bool
    confidence: float
    in_run: bool = False


class Notehead(Record, frozen=True):
    """One head of a staff chord. ``staff`` may differ from the layer's (cross-staff).

    ``accidental`` is what is drawn: empty, ``s``, ``f``, ``n``, ``x`` (double sharp), ``ff``; ``courtesy`` puts it in
    round brackets. ``course``/``fret`` say where it is stopped. ``footnote`` is a letter or empty.
    """

    id: str
    stop: str
    pitch: SpelledPitch
    staff: int
    course: int
    fret: int
    accidental: str = ""
    courtesy: bool = False
    tie_from: bool = False
    tie_to: bool = False
    editorial: Editorial = Editorial.PLAIN
    footnote: str = ""
    octave: Octave | None = None
    left_finger: str = ""  # 1-4
    right_finger: str = ""  # p i m a
    ornaments: tuple[Ornament, ...] = ()


def arrow_of(strum: str, *, first_above: bool) -> str:
    """The arrow of a stroke of the hand on a staff whose first course, or highest note, is above or below. A stroke
    "down" goes from bass to treble. Source: common practice, no source."""
    if not strum:
        return ""
    return "↑" if (strum == "down") is first_above else "↓"


class StaffEvent(Record, frozen=True):
    """A chord (``heads`` from low to high), a rest or a space in one layer.

    ``ticks`` is the real length, group included; ``value`` the written one. ``tuplet`` is set on every event of
    a group. ``beams`` has one state per beam level, outermost first. ``whole_bar`` marks a rest that fills
    its bar, centred.
    """

    id: str
    kind: Kind
    onset: Ticks
    ticks: Ticks
    value: Value
    staff: int
    heads: tuple[Notehead, ...] = ()
    stem: Stem = Stem.AUTO
    beams: tuple[BeamState, ...] = ()
    tuplet: Tuplet | None = None
    whole_bar: bool = False
    fermata: bool = False
    strum: str = ""  # "", "up", "down": the stroke of the hand, as in TabEvent
    #: True if the layer is a free texture whose heads stand without stems (unmeasured).
    stemless: bool = False
    #: Small notes before it, without time of their own: a spread chord written out, in the order it is played.
    small: tuple[Notehead, ...] = ()

    @property
    def arrow(self) -> str:
        """The arrow of its strum: on a staff the first course lies above the bass."""
        return arrow_of(self.strum, first_above=True)


class Layer(Record, frozen=True):
    """One voice in one measure, on its home staff. ``voice`` is unique within the score: 1 = highest."""

    voice: int
    staff: int
    events: tuple[StaffEvent, ...]


class RhythmSign(Record, frozen=True):
    """A rhythm sign over the tablature. ``value`` is the printed value in the source's names; ``flags`` how many
    hooks it is drawn with (0 = plain stem, -1 and -2 for the longer signs)."""

    value: Value
    flags: int
    editorial: Editorial = Editorial.PLAIN
    footnote: str = ""
    #: Hooks of a second sign printed beside it; None where there is none.
    second: int | None = None


class TabFigure(Record, frozen=True):
    """One figure or letter of the tablature staff.

    ``text`` is the sign as the source prints it (``3``, ``X``, ``c``, ``//a``). ``outside`` is true for a diapason,
    which stands outside the lines. ``pitch`` is what sounds, None where nothing can be read.
    """

    id: str
    stop: str
    course: int
    fret: int
    text: str
    outside: bool
    pitch: SpelledPitch | None
    ink: Ink = Ink.FIGURE
    editorial: Editorial = Editorial.PLAIN
    footnote: str = ""
    dots: int = 0
    left_finger: str = ""
    right_finger: str = ""
    ornaments: tuple[Ornament, ...] = ()
    #: One of the figures that a partial barre reaches over, at its end.
    barre: bool = False
    #: Its place, from 0, among stops that the source sets one after another under one sign.
    order: int = 0


class TabEvent(Record, frozen=True):
    """One event of the tablature staff. Empty ``figures`` with ``rest`` is a sign with nothing under it.

    ``value`` is its length in the edition's values with ``tuplet`` (MusicXML); ``beams`` joins printed signs to
    a grid. ``arpeggio`` is ÷, ``spread`` are lines through the chord; ``strum`` is the stroke of the hand: down goes
    from the bass to the first course, up back. ``arrow`` is its arrow, which points as the strings lie on this staff.
    """

    id: str
    onset: Ticks
    ticks: Ticks
    value: Value
    sign: RhythmSign | None
    figures: tuple[TabFigure, ...]
    rest: bool = False
    beam: BeamState | None = None
    tuplet: Tuplet | None = None
    arpeggio: bool = False
    spread: bool = False
    strum: str = ""
    and_so_on: bool = False
    barre: bool = False
    fermata: bool = False
    footnote: str = ""
    arrow: str = ""
