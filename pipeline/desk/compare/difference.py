"""How two contents differ, as data: each difference at its bar, in the words of a musician."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from pipeline.model.record import Record, replace
from pipeline.model.text import Span


class Group(Enum):
    """What a kind of difference touches."""

    MUSIC = "music"  # what is printed, declared or sung
    READING = "reading"  # what is read into it
    BESIDE = "beside"  # neither: descriptions, where the source breaks


class Kind(Enum):
    """What differs. The value is its name for the reader."""

    HEADING = "heading"
    TUNING = "tuning"  # the same sign sounds otherwise
    BAR = "bar"
    BARLINE = "bar line"
    FORM = "between bars"  # sections, tempi, retunings …
    EVENT = "event"
    SIGN = "rhythm sign"
    CARRIED = "value in force"  # the same signs last otherwise
    STOP = "stop"
    SLUR = "slur"
    MARK = "mark"
    NOTE = "note line"
    VARIANT = "other source"
    SUNG = "sung note"
    WORDS = "words"
    FIGURES = "figures"
    CHORD = "chord letter"
    UNREAD = "unread"
    VOICE = "voice"
    LENGTH = "length"
    SPELLING = "spelling"
    OCTAVE = "octave"
    READING = "reading"
    FINDING = "finding"
    DESCRIPTION = "description"
    BREAK = "break"

    @property
    def group(self) -> Group:
        return _GROUPS.get(self, Group.MUSIC)


_GROUPS = {
    **dict.fromkeys(
        (Kind.VOICE, Kind.LENGTH, Kind.SPELLING, Kind.OCTAVE, Kind.READING, Kind.FINDING), Group.READING
    ),
    **dict.fromkeys((Kind.DESCRIPTION, Kind.BREAK), Group.BESIDE),
}  # fmt: skip


class Side(Record, frozen=True):
    """One of the two: what stands there (empty: nothing) and, where the pitch differs, what it sounds.

    ``bar`` is the name of its bar and ``index`` its place, -1 for none; ``event`` counts events, or notes of a line,
    from 1, 0 for none; ``span`` is its place in the text. ``bars`` names all bars in which the difference is heard,
    where that is not its own alone.
    """

    text: str
    heard: str = ""
    bar: str = ""
    index: int = -1
    event: int = 0
    span: Span | None = None
    bars: tuple[str, ...] = ()


class Difference(Record, frozen=True):
    """One difference. ``subject`` is what it is about (``course 3``); ``unit`` is what the sides count: ``event``,
    ``note``, or nothing; ``count`` is how many stops it touches, where it is no single one."""

    kind: Kind
    subject: str
    one: Side
    two: Side
    unit: str = ""
    count: int = 0

    @property
    def mirrored(self) -> Difference:
        """The same, seen from the other side."""
        return replace(self, one=self.two, two=self.one)


@dataclass(frozen=True, slots=True)
class Comparison:
    """Two of a piece, by the names that the reader knows them by, and all that differs, in the order of the bars."""

    one: str
    two: str
    title: str
    differences: tuple[Difference, ...]
    #: What keeps the two from being compared in full; in sentences.
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Verified:
    """What a new build of a piece makes of the artefacts that are kept of it.

    ``folder`` is where they lie. ``missing`` are artefacts that only the new build has, ``extra`` those that it does
    not make, ``otherwise`` those whose bytes differ. ``fault`` is the text of an internal fault, empty if there was
    none. ``unbuilt``: nothing came of the new build; the remarks say why. ``notes`` say of how it was built what is not
    known, or has changed since; ``unrecorded``: nothing is known of it.
    """

    comparison: Comparison
    folder: str
    missing: tuple[str, ...] = ()
    extra: tuple[str, ...] = ()
    otherwise: tuple[str, ...] = ()
    fault: str = ""
    notes: tuple[str, ...] = ()
    unbuilt: bool = False
    unrecorded: bool = False

    @property
    def same(self) -> bool:
        """True if nothing differs, not even a byte."""
        return not (self.comparison.differences or self.missing or self.extra or self.otherwise or self.unbuilt)

    @property
    def same_music(self) -> bool:
        """True if the music is the same, and what is read into it, whatever became of the files. False also where it
        could not be compared."""
        differ = any(found.kind.group is not Group.BESIDE for found in self.comparison.differences)
        return not (differ or self.comparison.remarks or self.unbuilt)
