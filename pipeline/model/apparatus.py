"""The critical apparatus: every place where the edition is not simply the source, one entry for each act.

An act is typed once and stands here once; so does each octave that is read into a line. What the source has, what is
read here and why are plain words, the same as in the notes at the foot of the page.
"""

from __future__ import annotations

from enum import Enum

from pipeline.model.book import Canvas
from pipeline.model.heading import Witness
from pipeline.model.layers import LayerPitch
from pipeline.model.pitch import SpelledPitch
from pipeline.model.record import Record
from pipeline.model.signs import Sign
from pipeline.model.tablature import BarItem, Barline
from pipeline.model.time import Value


class Kind(Enum):
    """What was done, or found, at a place; the value is its label in print."""

    EMENDED = "emended"
    ADDED = "added"
    REMOVED = "left out"
    SUPPLIED_ILLEGIBLE = "supplied where illegible"
    SUPPLIED_LOST = "supplied where lost"
    DOUBTFUL = "doubtful"
    ILLEGIBLE = "illegible"
    LOST = "lost"
    WRITTEN_OUT = "written out"
    VARIANT = "variant"  # another source, collated
    REMARK = "remark"
    PINNED = "fixed by the editor"  # voice, length or octave of a note
    RESTORED = "octave restored"
    ASKED = "octave in question"  # may be meant; not applied


#: Kinds that speak of voices, lengths and octaves: read into the tablature, not read from it.
OF_THE_READING = frozenset({Kind.PINNED, Kind.RESTORED, Kind.ASKED})


class Subject(Enum):
    """What kind of sign an entry speaks of; the value is its name in print."""

    SIGN = "sign"  # a figure or letter of the tablature
    RHYTHM = "rhythm sign"
    GROUP = "group"  # the figure of a triplet and the like
    MARK = "mark"
    SLUR = "slur"
    EVENT = "event"
    BAR_LINE = "bar line"
    BAR = "bar"
    DIRECTIVE = "line between bars"
    NOTE = "note"  # of a vocal line or bass
    WORDS = "words"  # a syllable, a chord letter


#: What the source has, as it was typed: for writers that notate it.
Was = Sign | Value | LayerPitch | Barline | str | int | tuple[BarItem, ...] | None


class Entry(Record, frozen=True):
    """One act at one place.

    ``at`` names the sign: a stop (``b3e2c5``), an event (``b3e2``), a bar (``b3``), a note of a line (``v-b3n2``);
    ``also`` names further signs that share the act. ``bar`` is the number as printed (empty: an upbeat), ``number``
    counts the bars typed, from 1; ``event`` and ``course`` count from 1, 0 where none is meant. ``part`` is the title
    of a line beside the tablature, empty for the tablature itself; ``folio`` the page of the source, where known.

    ``source`` is what the source ``siglum`` has (empty: the copy-text), ``here`` what the edition reads, ``reason``
    why, ``who`` the initials of those who say so. ``doubtful``: the edition's reading is not certain. ``confidence``
    of an octave, 0 to 1, -1 for all else. ``was`` is the source's sign, where it is one (of a mark, its letter as
    typed; of bars torn away, how many). ``sounds`` and ``meant`` are the two pitches of an octave.
    """

    at: str
    number: int
    bar: str
    event: int
    course: int
    part: str
    subject: Subject
    kind: Kind
    source: str
    here: str
    reason: str = ""
    who: str = ""
    siglum: str = ""
    folio: str = ""
    doubtful: bool = False
    confidence: float = -1.0
    also: tuple[str, ...] = ()
    was: Was = None
    sounds: SpelledPitch | None = None
    meant: SpelledPitch | None = None


class Statement(Record, frozen=True):
    """What the edition says of itself, sentence by sentence: what the source has, what is read into it, what the
    editor decided, and how such places are shown."""

    facts: tuple[str, ...]
    readings: tuple[str, ...]
    decisions: tuple[str, ...]
    signs: tuple[str, ...]


class Apparatus(Record, frozen=True):
    """The whole report. ``entries`` in the order of print: by bar, event, course; lines beside the tablature after
    it. ``copy_text`` is the siglum of the first source, empty where none is declared; ``canvases`` are those of the
    folios that the piece stands on."""

    title: str
    composer: str
    witnesses: tuple[Witness, ...]
    editors: tuple[tuple[str, str], ...]
    copy_text: str
    entries: tuple[Entry, ...]
    statement: Statement
    canvases: tuple[Canvas, ...] = ()
