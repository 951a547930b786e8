"""What a run is asked to do, apart from the pieces themselves."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from pipeline.model.copy import Fullness
from pipeline.model.interval import Interval
from pipeline.model.pitch import SpelledPitch


class Sheet(Enum):
    """The paper that pages are set on."""

    A4 = "a4"
    LETTER = "letter"


class Form(Enum):
    """The forms that an edition is written in; the findings are always written too."""

    MUSICXML = "musicxml"
    MEI = "mei"
    SVG = "svg"
    PDF = "pdf"
    MIDI = "midi"
    EVENTS = "events"
    PROOF = "proof"
    REPORT = "report"


@dataclass(frozen=True, slots=True)
class Options:
    """Which artefacts are made, and how the singer's copy is. All that shapes the edition itself stands in the
    encoding, where it can be reviewed and kept.

    ``transpose`` moves the copy by an interval, ``voice_range`` into the range of a voice (lowest, highest); not both.
    ``only`` names the forms that are made, in the order of :class:`Form`; empty for all but PDF and MIDI, which
    must be asked for.
    """

    copy: bool = True
    fullness: Fullness = Fullness.PLAYABLE
    transpose: Interval | None = None
    voice_range: tuple[SpelledPitch, SpelledPitch] | None = None
    chord_names: bool = False
    midi: bool = False
    pdf: bool = False
    paper: Sheet = Sheet.A4
    only: tuple[Form, ...] = ()
    #: Proof pages, and the page of all pieces.
    proof: bool = True
    #: They list probable misprints; looking for them takes about as long as all the rest.
    misprints: bool = False
    #: The proof pages load themselves anew when they are made anew.
    live: bool = False

    def wants(self, form: Form) -> bool:
        """True if the edition is to be written in that form."""
        if form is Form.PDF or form is Form.MIDI:
            return form in self.only or (self.pdf if form is Form.PDF else self.midi)
        if form is Form.PROOF and not self.proof:
            return False
        return form in self.only or not self.only
