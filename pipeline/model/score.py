"""The notated score: every decision of notation taken, so that writers only write.

A measure holds the tablature staff (as the edition prints it) and the layers of two staves that show what
sounds. Ids: ``t-`` + stop id for a tablature figure, ``n-`` + stop id for a notehead (``-2``, ``-3`` … for the
notes that it is tied to), ``g-`` + event id for a tablature group, ``c-`` for a chord or rest.
"""

from __future__ import annotations

from enum import Enum

from pipeline.model.heading import Heading
from pipeline.model.instrument import Instrument
from pipeline.model.notes import (
    BeamState,
    Editorial,
    Kind,
    Layer,
    Ornament,
    Place,
    StaffEvent,
    TabEvent,
    Tuplet,
)
from pipeline.model.pitch import SpelledPitch
from pipeline.model.record import Record
from pipeline.model.signs import Signs
from pipeline.model.time import Metre, Ticks, Value


class BarStyle(Enum):
    """How a bar line is drawn."""

    NONE = "none"
    SINGLE = "single"
    DOUBLE = "double"
    FINAL = "final"
    DASHED = "dashed"  # added by the editor
    DOTTED = "dotted"  # printed broken in the source
    REPEAT_START = "repeat start"
    REPEAT_END = "repeat end"
    REPEAT_BOTH = "repeat both"


class Break(Enum):
    """What the editor asks of the printed line, or page, at the head of a measure."""

    NEW_SYSTEM = "new system"
    NEW_PAGE = "new page"
    SAME_SYSTEM = "same system"
    SAME_PAGE = "same page"


class SlurKind(Enum):
    PRINTED = "printed"  # solid
    ADDED = "added"  # dashed, the editor's
    DOUBTFUL = "doubtful"  # dashed


class Slur(Record, frozen=True):
    """A left-hand slur; ``start``/``end`` are ids of figures (tablature) or heads (staves)."""

    id: str
    start: str
    end: str
    kind: SlurKind
    tablature: bool


class HoldLine(Record, frozen=True):
    """A printed hold line in the tablature from figure to event."""

    id: str
    start: str
    end: str


class Arpeggio(Record, frozen=True):
    """A wavy line through the heads of one event (ids low to high). ``order`` lists the same ids as played."""

    id: str
    heads: tuple[str, ...]
    order: tuple[str, ...]
    direction: str = "up"
    plain_spread: bool = False
    #: The source sets the strings in an order that neither rises nor falls throughout; ``direction`` is that from the
    #: first to the last.
    mixed: bool = False
    #: Id of the event of the tablature that is spread.
    event: str = ""


class Dashes(Record, frozen=True):
    """A dashed line between two heads: the line leaps only because of the tuning."""

    id: str
    start: str
    end: str


class OctaveRun(Record, frozen=True):
    """A dashed bracket over notes one after another that are meant ``octaves`` off their sound. Ids of heads."""

    id: str
    start: str
    end: str
    octaves: int
    asked: bool


class AcrossBracket(Record, frozen=True):
    """A dashed bracket over a bell-like scale: one voice across courses. Ids of heads."""

    id: str
    start: str
    end: str


class SungSyllable(Record, frozen=True):
    """One syllable under a note of a vocal staff; ``position`` in MusicXML's words: single, begin, middle, end."""

    stanza: int
    text: str
    position: str
    extends: bool
    editorial: Editorial = Editorial.PLAIN
    footnote: str = ""


class SungEvent(Record, frozen=True):
    """A note, rest or space of a vocal or bass staff. Fields as in :class:`StaffEvent` and :class:`Notehead`."""

    id: str
    kind: Kind
    onset: Ticks
    ticks: Ticks
    value: Value
    pitch: SpelledPitch | None = None
    accidental: str = ""
    courtesy: bool = False
    tie_from: bool = False
    tie_to: bool = False
    beams: tuple[BeamState, ...] = ()
    tuplet: Tuplet | None = None
    whole_bar: bool = False
    fermata: bool = False
    editorial: Editorial = Editorial.PLAIN
    syllables: tuple[SungSyllable, ...] = ()
    #: Id of the event at which a slur (several notes on one syllable) that begins here ends; empty for none.
    slur_to: str = ""
    footnote: str = ""
    ornaments: tuple[Ornament, ...] = ()


class SungStaff(Record, frozen=True):
    """What one vocal or bass staff holds in one measure; ``staff`` names it (``v``, ``v2``, ``b``)."""

    staff: str
    events: tuple[SungEvent, ...]


class FigureColumn(Record, frozen=True):
    """One column of figured bass under ``staff`` (a vocal staff's name, or empty for the lower accompaniment staff).

    ``offset`` and ``ticks`` in the measure; ``rows`` from the top, as typed (``6``, ``#``, ``4+``). ``at`` is the
    id of the event or head it stands under. ``editorial`` is true where it was worked out, not printed.
    """

    id: str
    staff: str
    offset: Ticks
    ticks: Ticks
    rows: tuple[str, ...]
    at: str
    editorial: bool = False


class ChordSign(Record, frozen=True):
    """A chord letter or name above ``staff`` (a vocal staff's name, or empty for the upper accompaniment staff).

    ``named`` is true for the name of a chord (``Gm``, ``D/F#``), worked out; a letter as printed may name anything.
    """

    id: str
    staff: str
    offset: Ticks
    text: str
    at: str
    named: bool = False
    editorial: Editorial = Editorial.PLAIN
    footnote: str = ""


class Incipit(Record, frozen=True):
    """How a line begins in the source: clef, signature (in fifths), printed sign of metre, first note and its value,
    as printed there."""

    clef: str
    fifths: int
    sign: str
    pitch: SpelledPitch
    value: Value


class Clef(Record, frozen=True):
    """A clef: letter and line (``G2``, ``F4``), and by how many octaves an 8 above (+1) or below it (-1) moves it."""

    sign: str
    octaves: int = 0


#: Of the two staves that show what sounds.
USUAL_CLEFS = (Clef("G2"), Clef("F4"))


class VocalStaff(Record, frozen=True):
    """A staff above the accompaniment: its name, the title printed before it, its modern clef, its signature.

    ``clef`` is letter and line as in ``G2``, ``F4``, ``C3``; ``octave_down`` puts an 8 under a G clef. ``incipit``
    names the clef of the source (``C1``), ``opening`` shows how the line begins there. ``stanzas`` is how many lines of
    words stand under it; ``bass`` staves stand below the accompaniment.
    """

    name: str
    title: str
    clef: str
    octave_down: bool
    fifths: int
    incipit: str
    stanzas: int
    bass: bool = False
    opening: Incipit | None = None
    #: Its signature changes with that of the measures; one of the source stays.
    follows: bool = False


class WordsKind(Enum):
    SECTION = "section"
    TEMPO = "tempo"
    DIRECTION = "direction"  # da capo, ut supra, printed words
    RETUNE = "retune"
    FOLIO = "folio"
    GAP = "gap"
    FOOTNOTE = "footnote"
    CUE = "cue"  # the first words of a voice that enters


class Words(Record, frozen=True):
    """Words at a moment of the measure. ``offset`` in ticks from its start; ``at`` is an id to hang on, or empty.

    ``tablature`` says whether they belong to the tablature staff or to the two staves. ``crotchets`` a minute, where
    tempo words carry a number.
    """

    id: str
    kind: WordsKind
    text: str
    offset: Ticks
    place: Place
    tablature: bool
    at: str = ""
    crotchets: int = 0


class Ending(Record, frozen=True):
    """First and second endings. ``starts``/``ends`` within this measure."""

    number: int
    starts: bool
    ends: bool


class Measure(Record, frozen=True):
    """One measure. ``number`` is unique and counts; ``label`` is what is printed (empty on an upbeat or behind
    an added bar line). ``metre``/``fifths`` are set where they change (always on the first measure)."""

    id: str
    number: int
    label: str
    onset: Ticks
    ticks: Ticks
    left: BarStyle
    right: BarStyle
    tab: tuple[TabEvent, ...]
    layers: tuple[Layer, ...]
    metre: Metre | None = None
    fifths: int | None = None
    complete: bool = True  # adds up to its metre
    slurs: tuple[Slur, ...] = ()
    holds: tuple[HoldLine, ...] = ()
    arpeggios: tuple[Arpeggio, ...] = ()
    dashes: tuple[Dashes, ...] = ()
    brackets: tuple[AcrossBracket, ...] = ()
    octave_runs: tuple[OctaveRun, ...] = ()
    words: tuple[Words, ...] = ()
    ending: Ending | None = None
    folios: tuple[str, ...] = ()  # source pages ("") for a system) that begin with it
    retuned: Instrument | None = None
    footnote: str = ""  # on the measure as a whole or its bar lines
    sung: tuple[SungStaff, ...] = ()
    figures: tuple[FigureColumn, ...] = ()
    chord_signs: tuple[ChordSign, ...] = ()
    layout: Break | None = None  # the editor's wish for this edition

    def stands_alone(self, layer: Layer, event: StaffEvent) -> bool:
        """True if a sign outside the staff can only mean this event: one head, and nothing beside it there."""
        if len(event.heads) != 1:
            return False
        staff = event.heads[0].staff
        return not any(
            other.onset == event.onset and any(head.staff == staff for head in other.heads)
            for other_layer in self.layers
            if other_layer is not layer
            for other in other_layer.events
        )


class Footnote(Record, frozen=True):
    """One note at the foot: its letter or sign, where it belongs, what it says."""

    letter: str
    measure: str
    text: str


class Credits(Record, frozen=True):
    """What stands above the music, line by line."""

    title: str
    subtitle: str
    left: tuple[str, ...]
    right: tuple[str, ...]


class LegendEntry(Record, frozen=True):
    """One sentence of "How to read this page": the sign explained, and its explanation."""

    sign: str
    text: str


class Score(Record, frozen=True):
    """All that a writer needs. ``lines`` is the number of lines of the tablature staff."""

    heading: Heading
    credits: Credits
    instrument: Instrument
    signs: Signs
    measures: tuple[Measure, ...]
    footnotes: tuple[Footnote, ...]
    legend: tuple[LegendEntry, ...]
    lines: int = 6
    #: Whether course 1 is the upper line of the tablature.
    course_1_above: bool = False
    #: False where measures hold no tablature events.
    tablature: bool = True
    #: False where measures hold no layers: the two staves that show what sounds are not printed.
    staves: bool = True
    #: True in a singer's copy: notes stand as their line is meant, and a small 8 says what sounds.
    copy: bool = False
    vocal: tuple[VocalStaff, ...] = ()
    #: How large it is printed, 1 being the usual size; as large as fits a short piece if it is 1.
    size: float = 1.0
    #: True if its pages are turned while it is played or sung.
    turned: bool = False
    #: Printed before the staves of the instrument, where voices stand beside them: its name.
    accompaniment_title: str = ""
    #: Clefs of the two staves.
    clefs: tuple[Clef, Clef] = USUAL_CLEFS
    #: Stanzas printed as text after the music: (number, text).
    verses: tuple[tuple[str, str], ...] = ()
