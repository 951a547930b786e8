"""What a run is asked to do, apart from the pieces themselves."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from pipeline.model.artefacts import USUAL, Form
from pipeline.model.copy import Fullness
from pipeline.model.interval import Interval, Range
from pipeline.model.staves import Staves


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


@dataclass(frozen=True, slots=True)
class Options:
    """Which artefacts are made, which ``staves`` the edition prints, and how player's part and singer's copy are. All
    else that shapes the edition itself stands in the encoding, where it can be reviewed and kept.

    ``transpose`` moves the copy by an interval, ``voice_range`` into the range of a voice (lowest, highest), or
    into one for each voice from the highest down; not both.
    ``forms`` are those that are written, in the order of :class:`Form`.
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
    forms: tuple[Form, ...] = USUAL
    #: Proof pages list probable misprints; looking for them takes about as long as all the rest.
    misprints: bool = False
    #: The proof pages load themselves anew when they are made anew.
    live: bool = False

    def wants(self, form: Form) -> bool:
        """True if the edition is to be written in that form."""
        return form in self.forms
