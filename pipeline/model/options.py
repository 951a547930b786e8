"""What a run is asked to do, apart from the pieces themselves."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from pipeline.model.artefacts import USUAL, Form
from pipeline.model.copy import Fullness
from pipeline.model.interval import Interval, Range
from pipeline.model.staves import Staves

#: The lowest and the highest staff of five lines that can be asked for, in millimetres: a pocket score, a large print.
STAFF_HEIGHTS = (4.0, 9.0)


class Sheet(Enum):
    """The paper that pages are set on."""

    A4 = "a4"
    LETTER = "letter"


class Part(Enum):
    """Whether a part for the player is made, and in which signs."""

    NONE = "none"
    SOURCE = "source"  # those of the source
    ITALIAN = "italian"
    FRENCH = "french"


class Keep(Enum):
    """How much of what a build makes is kept on the disk."""

    ALL = "all"
    RECORDS = "records"  # findings, and the hash of everything else


@dataclass(frozen=True, slots=True)
class Options:
    """Which artefacts are made, which ``staves`` the edition prints, and how player's part and singer's copy are. All
    else that shapes the edition itself stands in the encoding, where it can be reviewed and kept.

    ``transpose`` moves the copy by an interval, ``voice_range`` into the range of a voice (lowest, highest), or
    into one for each voice from the highest down; not both.
    ``forms`` are those that are made, in the order of :class:`Form`; ``keep`` says whether they are kept.
    """

    staves: Staves = Staves.ALL
    part: Part = Part.NONE
    copy: bool = True
    fullness: Fullness = Fullness.PLAYABLE
    transpose: Interval | None = None
    voice_range: tuple[Range, ...] | None = None
    chord_names: bool = False
    #: Crotchets a minute of the practice file, throughout; None as its tempo words say.
    tempo: int | None = None
    #: A bar is counted before the practice file begins.
    count_in: bool = False
    paper: Sheet = Sheet.A4
    #: Height of a staff of five lines in millimetres; None for the size at which the piece fills its pages best.
    staff_height: float | None = None
    forms: tuple[Form, ...] = USUAL
    #: Proof pages list probable misprints; looking for them takes about as long as all the rest.
    misprints: bool = False
    #: The proof pages load themselves anew when they are made anew.
    live: bool = False
    keep: Keep = Keep.ALL

    def wants(self, form: Form) -> bool:
        """True if the edition is to be written in that form."""
        return form in self.forms
