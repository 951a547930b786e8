"""What is sung and played beside the tablature: vocal lines with their words, a bass with its figures, chord letters.

Facts of the source again, in time: pitches as printed (or transposed as a whole, which is said), lengths in the
edition's values. Nothing here depends on the tablature's tuning.
"""

from __future__ import annotations

from enum import Enum

from pipeline.model.layers import LayerNote
from pipeline.model.pitch import SpelledPitch
from pipeline.model.record import Record
from pipeline.model.signs import Label, Reading
from pipeline.model.sounding import TupletPlace
from pipeline.model.text import Span
from pipeline.model.time import Ticks, Value


class WordPlace(Enum):
    """Where a syllable stands in its word."""

    SINGLE = "single"
    BEGIN = "begin"
    MIDDLE = "middle"
    END = "end"


class Syllable(Record, frozen=True):
    """One syllable under one note. ``text`` has no hyphen; an elision is written with ‿ (U+203F). ``extends`` says
    that a melisma follows: hyphens within a word, a line at its end. ``labels`` as typed behind it. ``reading`` is what
    the edition and the source have, as typed, where the editor did something to it."""

    stanza: int
    text: str
    place: WordPlace
    extends: bool
    span: Span
    labels: tuple[Label, ...] = ()
    reading: Reading[str] | None = None


class Figure(Record, frozen=True):
    """One column of figures, from the top: ``("6",)``, ``("#",)``, ``("6", "5")``.

    ``offset`` counts in ticks from the beginning of its note. ``printed`` is false where the figure was worked
    out, not found in the source.
    """

    offset: Ticks
    rows: tuple[str, ...]
    printed: bool = True


class SungNote(Record, frozen=True):
    """One note or rest (``pitch`` None) of a line, within its bar.

    ``id`` is ``v-b3n2``: layer, typed bar, note. ``onset`` counts from the start of the piece, as a sounding event's;
    ``bar`` is the index of its sounding bar, at whose beginning the line starts afresh, so a bar that does not add up
    shifts no other (and its last notes may reach past its end; that is a finding).
    ``value`` is the printed value in the edition's values, group or not; ``length`` the real one. ``tied`` joins it
    to the note before; ``slurred`` says that it is sung on the syllable before in every stanza (never a tied note).
    ``typed`` is the word it was typed as, with its labels and readings; None if it comes from a file. A rest with
    ``typed.pitch`` set is a note that cannot be read or that the edition leaves out. ``unsung`` are places in its
    stanzas (without text) where the edition has no syllable, but something is noted or left out.
    """

    id: str
    onset: Ticks
    length: Ticks
    value: Value
    pitch: SpelledPitch | None
    span: Span
    tied: bool = False
    slurred: bool = False
    syllables: tuple[Syllable, ...] = ()
    figures: tuple[Figure, ...] = ()
    added: bool = False
    doubtful: bool = False
    fermata: bool = False
    tuplet: TupletPlace | None = None
    bar: int = 0
    typed: LayerNote | None = None
    unsung: tuple[Syllable, ...] = ()
    #: Ornaments that a notation file has at it, each by a name of :data:`ORNAMENTS`; typed ones are marks.
    ornaments: tuple[str, ...] = ()


class SungLine(Record, frozen=True):
    """One layer in time order. ``bass`` is true for a ``b`` layer.

    ``clef`` as declared (``C1``, ``F4``), ``fifths`` its signature. ``moved`` is by how many semitones the whole
    line was transposed to agree with the tablature (0: not). ``from_file`` names the notation file it was read from.
    """

    name: str
    title: str
    clef: str
    fifths: int
    bass: bool
    notes: tuple[SungNote, ...]
    stanzas: int = 0
    moved: int = 0
    from_file: str = ""


class ChordLetter(Record, frozen=True):
    """A chord letter as printed above an event or note. ``over`` names the layer (empty: the tablature). ``text`` is
    empty where the edition leaves out what the source has; ``reading`` and ``labels`` as of a syllable."""

    onset: Ticks
    text: str
    over: str
    span: Span
    labels: tuple[Label, ...] = ()
    reading: Reading[str] | None = None


class Song(Record, frozen=True):
    """All layers of a piece. ``verses`` are stanzas printed without notes, with their numbers."""

    lines: tuple[SungLine, ...] = ()
    chords: tuple[ChordLetter, ...] = ()
    verses: tuple[tuple[str, str], ...] = ()


#: The ornaments of a notation file that are kept; each has a sign of its own in modern notation.
ORNAMENTS = ("trill", "turn", "inverted turn", "mordent", "inverted mordent")


# --- a line taken from a notation file ----------------------------------------------------------------------


class PartSyllable(Record, frozen=True):
    """A syllable of a notation file, as in :class:`Syllable`."""

    stanza: int
    text: str
    place: WordPlace
    extends: bool


class PartNote(Record, frozen=True):
    """A note or rest of a notation file; ``length`` in ticks as the file counts, group included."""

    length: Ticks
    value: Value
    pitch: SpelledPitch | None
    tied: bool = False
    slurred: bool = False
    fermata: bool = False
    tuplet: TupletPlace | None = None
    syllables: tuple[PartSyllable, ...] = ()
    ornaments: tuple[str, ...] = ()


class PartBook(Record, frozen=True):
    """One part of a notation file, bar by bar. ``barred`` is false where the file prints no bar lines (MIDI):
    all its notes then stand in one bar."""

    fifths: int
    bars: tuple[tuple[PartNote, ...], ...]
    barred: bool = True
