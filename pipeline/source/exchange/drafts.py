"""A piece while it is gathered from a file of another kind: what a mark or a note belongs to is known only later.

Nothing of this leaves the package: ``writing`` turns it into the records of a typed piece.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction

from pipeline.model.instrument import Course
from pipeline.model.layers import LayerLine
from pipeline.model.pitch import SpelledPitch
from pipeline.model.signs import Act, Body, FretState, Group, Reading, Signs, Slur
from pipeline.model.tablature import BarKind, BarlineAct, BarlineKind, DirectiveKind, NoteKind
from pipeline.model.time import Value


@dataclass(frozen=True, slots=True)
class Remark:
    """What becomes a note line: a reason with who says it, a printed word, the reading of a source."""

    kind: NoteKind
    text: str
    who: str = ""


@dataclass(frozen=True, slots=True)
class Figure:
    """One sign on one course. ``course`` None is a line that cannot be made out (or ``line_lost``); ``fret`` None
    says ``state``; ``printed`` is the sign to the letter where it is not the plain one."""

    course: int | None
    fret: int | None
    state: FretState = FretState.READ
    printed: str = ""
    dots: int = 0
    line_lost: bool = False


@dataclass(slots=True)
class StopDraft:
    """A figure with what the editor did to it. ``edition`` and ``source`` as in a reading; ``pitch`` is what the file
    says that it sounds; ``place`` names it in findings."""

    edition: Figure | None
    source: Figure | None
    act: Act = Act.PRINTED
    doubtful: bool = False
    ident: str = ""
    place: str = ""
    line: int = 1
    slur: Slur | None = None
    after: bool = False
    marks: list[Reading[str]] = field(default_factory=list)
    remarks: list[Remark] = field(default_factory=list)
    pitch: SpelledPitch | None = None

    @property
    def figure(self) -> Figure | None:
        return self.edition or self.source


@dataclass(slots=True)
class EventDraft:
    """One event. ``drawn`` is the value that the sign over it is drawn as, ``lasts`` its undivided length in the
    edition; ``sign`` says what is printed over it: None for nothing, else the act with the source's value."""

    ident: str
    place: str
    lasts: Value
    drawn: Value
    onset: Fraction = Fraction(0)
    length: Fraction = Fraction(0)
    sign: Reading[Value] | None = None
    second: Value | None = None
    beamed: bool = False
    group: Group | None = None
    body: Body = Body.NOTHING
    stops: list[StopDraft] = field(default_factory=list)
    marks: list[Reading[str]] = field(default_factory=list)
    remarks: list[Remark] = field(default_factory=list)
    #: The edition leaves the whole event out; it takes no time.
    removed: bool = False
    #: Whether something sounds here on staves that show the same music.
    struck: bool = False


@dataclass(slots=True)
class LineDraft:
    """A bar line."""

    kind: BarlineKind
    act: BarlineAct = BarlineAct.PRINTED
    remarks: list[Remark] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class BreakDraft:
    """A new system, or with ``folio`` a new page, of the source."""

    folio: str = ""


@dataclass(frozen=True, slots=True)
class Said:
    """A line between bars."""

    kind: DirectiveKind
    text: str


@dataclass(frozen=True, slots=True)
class Heard:
    """What a staff that shows the tablature's music says at a time of the bar; ``place`` and ``line`` for findings."""

    onset: Fraction
    pitch: SpelledPitch
    place: str
    line: int


ItemDraft = EventDraft | LineDraft | BreakDraft


@dataclass(slots=True)
class VariantDraft:
    """A whole bar as a source has it; no items: it omits the bar."""

    witness: str
    items: list[ItemDraft]


@dataclass(slots=True)
class BarDraft:
    """One bar. ``before`` is what stands between it and the bar before; ``full`` its length in the metre in force, 0
    where there is none."""

    name: str
    ident: str = ""
    line: int = 1
    kind: BarKind = BarKind.MEASURED
    items: list[ItemDraft] = field(default_factory=list)
    closing: LineDraft = field(default_factory=lambda: LineDraft(BarlineKind.SINGLE))
    variants: list[VariantDraft] = field(default_factory=list)
    layers: list[LayerLine] = field(default_factory=list)
    remarks: list[Remark] = field(default_factory=list)
    before: list[Said | BreakDraft] = field(default_factory=list)
    heard: list[Heard] = field(default_factory=list)
    #: The courses from here on, where they are tuned anew before this bar.
    courses: tuple[Course, ...] = ()
    #: What the source has instead of a bar written out: how many bars before are meant, or a section and a bar of it.
    ditto: tuple[int, str, int] | None = None
    full: Fraction = Fraction(0)

    @property
    def events(self) -> list[EventDraft]:
        return [item for item in self.items if isinstance(item, EventDraft)]

    @property
    def length(self) -> Fraction:
        return sum((event.length for event in self.events if not event.removed), Fraction(0))


@dataclass(slots=True)
class PieceDraft:
    """All that a file says. ``courses`` is empty where the tuning is not told; ``ratio`` is edition length ÷ printed
    length; ``plain`` the value of a stem without hooks."""

    name: str
    title: str = ""
    composer: str = ""
    sources: list[tuple[str, str]] = field(default_factory=list)
    editors: list[tuple[str, str]] = field(default_factory=list)
    facsimiles: list[tuple[str, str]] = field(default_factory=list)
    #: Where systems lie on the image of a folio, as typed: ``17-36, 42-60``.
    systems: list[tuple[str, str]] = field(default_factory=list)
    canvases: list[tuple[str, str]] = field(default_factory=list)
    edition: str = ""
    licence: str = ""
    remarks: list[str] = field(default_factory=list)
    pitch: str = ""
    instrument: str = ""
    courses: tuple[Course, ...] = ()
    tuning_line: int = 1
    signs: Signs = Signs.ITALIAN
    lines: int = 0
    above: bool = False
    metre: str = ""
    key: str = ""
    ratio: Fraction = Fraction(1)
    plain: int = 2
    #: Letter → printed sign, meaning, place.
    marks: dict[str, tuple[str, str, str]] = field(default_factory=dict)
    layers: list[tuple[str, str]] = field(default_factory=list)
    bars: list[BarDraft] = field(default_factory=list)
    after: list[Said] = field(default_factory=list)

    def mark(self, printed: str, meaning: str, place: str) -> str:
        """The letter of a declared mark; declared now if it is new. Empty if the alphabet is used up."""
        for letter, known in self.marks.items():
            if known[:2] == (printed, meaning):
                return letter
        wanted = [character for character in meaning.upper() if "A" <= character <= "Z"]
        letter = next((each for each in (*wanted, *"ABCDEFGHIJKLMNOPQRSTUVWXYZ") if each not in self.marks), "")
        if letter:
            self.marks[letter] = (printed, meaning, place)
        return letter
