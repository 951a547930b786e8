"""What a run is asked to do, apart from the pieces themselves."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from pipeline.model.copy import Fullness
from pipeline.model.interval import Interval
from pipeline.model.pitch import SpelledPitch


class Sheet(Enum):
    """The paper that PDF files are made for."""

    A4 = "a4"
    LETTER = "letter"


@dataclass(frozen=True, slots=True)
class Options:
    """Which artefacts are made, and how the singer's copy is. All that shapes the edition itself stands in the
    encoding, where it can be reviewed and kept.

    ``transpose`` moves the copy by an interval, ``voice_range`` into the range of a voice (lowest, highest); not both.
    """

    copy: bool = True
    fullness: Fullness = Fullness.PLAYABLE
    transpose: Interval | None = None
    voice_range: tuple[SpelledPitch, SpelledPitch] | None = None
    midi: bool = False
    pdf: Sheet | None = None
