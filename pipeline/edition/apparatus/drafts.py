"""One bar's entries while they are being made: acts, and the note lines that are tied to them by labels."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import NamedTuple, TypeVar

from pipeline.edition.events_said import EventWords, line_said
from pipeline.edition.readings import NOTHING, Saying, here_said, sign_said, source_said, value_said
from pipeline.model.apparatus import Entry, Kind, Subject, Was
from pipeline.model.heading import Heading
from pipeline.model.record import replace
from pipeline.model.signs import Act, Label, Reading, Stop
from pipeline.model.tablature import OMITS, NoteKind, NoteLine, Pin
from pipeline.source.parse.quoted import quoted_barline, quoted_events, quoted_sign, quoted_value

T = TypeVar("T")
#: Beside the tablature (0) or in a line, the moment in the bar, the course, the kind of sign.
Order = tuple[int, int, int, int]
Made = tuple[tuple[int, Order, int], Entry]

_KINDS = {
    Act.ADDED: Kind.ADDED,
    Act.EMENDED: Kind.EMENDED,
    Act.REMOVED: Kind.REMOVED,
    Act.SUPPLIED_ILLEGIBLE: Kind.SUPPLIED_ILLEGIBLE,
    Act.SUPPLIED_LOST: Kind.SUPPLIED_LOST,
    Act.ILLEGIBLE: Kind.ILLEGIBLE,
    Act.LOST: Kind.LOST,
}
_RANKS = {subject: rank for rank, subject in enumerate(Subject)}
_OCTAVES = {1: "an octave above its sound", 0: "as it sounds", -1: "an octave below its sound"}


class Spot(NamedTuple):
    """A sign that can be spoken of: its name, place and kind, what the edition reads there, and how that and what the
    source has would be typed."""

    at: str
    event: int
    course: int
    subject: Subject
    moment: int
    here: str = ""
    typed: tuple[str, ...] = ()
    typed_source: tuple[str, ...] = ()
    part: str = ""
    line: int = 0
    stop: Stop | None = None

    @property
    def order(self) -> Order:
        return (self.line, self.moment, self.course, _RANKS[self.subject])


class Said(NamedTuple):
    """What a reading says of the source and of the edition."""

    kind: Kind
    source: str
    here: str
    doubtful: bool = False
    was: Was = None


def act_of(reading: Reading[T], said: Saying[T]) -> Said | None:
    """The act at a reading; None where the edition is simply the source."""
    if reading.act is Act.PRINTED:
        if not reading.doubtful:
            return None
        kind = Kind.DOUBTFUL
    else:
        kind = _KINDS[reading.act]
    was = reading.source if reading.act in (Act.EMENDED, Act.REMOVED) else None
    return Said(kind, source_said(reading, said), here_said(reading, said), reading.doubtful, was)  # type: ignore[arg-type]


@dataclass(slots=True)
class _Draft:
    """One act, the labels that are its own, and those of the whole event that it stands in."""

    spot: Spot
    finding: Said
    labels: tuple[str, ...]
    wide: tuple[str, ...] = ()
    siglum: str = ""
    whole: bool = False
    reasons: list[NoteLine] = field(default_factory=list)


class BarDraft:
    """The entries of one typed bar, or of the lines between two. ``folios`` are (events before it, page) of the pages
    that begin in it; the first counts from its beginning."""

    def __init__(
        self,
        number: int,
        label: str,
        notes: tuple[NoteLine, ...],
        folios: tuple[tuple[int, str], ...],
        refused: dict[str, str],
        heading: Heading,
    ):
        self.number = number
        self._label = label
        self._notes = notes
        self._folios = folios
        self._refused = refused
        self._signs = heading.signs
        self._words = EventWords(heading)
        self._acts: list[_Draft] = []
        self._spots: dict[str, list[Spot]] = {}

    def act(
        self,
        spot: Spot,
        finding: Said,
        labels: Iterable[Label] = (),
        wide: Iterable[Label] = (),
        *,
        siglum: str = "",
        whole: bool = False,
    ) -> None:
        """One act at a spot. ``whole``: what is noted on the whole bar is its reason."""
        own, around = tuple(label.letter for label in labels), tuple(label.letter for label in wide)
        self._acts.append(_Draft(spot, finding, own, around, siglum, whole))

    def point(self, labels: Iterable[Label], spot: Spot) -> None:
        """These labels stand at a spot."""
        for label in labels:
            self._spots.setdefault(label.letter, []).append(spot)

    def made(self, bar: Spot) -> list[Made]:
        """All entries, with what they are sorted by; ``bar`` is where a note stands whose label stands nowhere."""
        found: list[tuple[Spot, Entry]] = []
        for line in self._notes:
            spots = self._spots.get(line.label) or [bar]
            match line.kind:
                case NoteKind.REASON:
                    acts = self._reasoned(line.label)
                    for act in acts:
                        act.reasons.append(line)
                    if not acts:
                        remark = Said(Kind.REMARK, "", spots[0].here)
                        found.append((spots[0], self._entry(spots[0], remark, [line], spots)))
                case NoteKind.WITNESS:
                    found.append((spots[0], self._variant(line, spots)))
                case NoteKind.PIN:
                    found.append((spots[0], self._pinned(line, spots)))
                case NoteKind.PRINTED_WORD:
                    pass
        acts_made = [
            (act.spot, self._entry(act.spot, act.finding, act.reasons, siglum=act.siglum)) for act in self._acts
        ]
        return [((self.number, spot.order, place), entry) for place, (spot, entry) in enumerate([*acts_made, *found])]

    def _reasoned(self, label: str) -> list[_Draft]:
        """The acts that a reason speaks of: those at its label, else those of the event that it stands before, first
        of all such as have no reason of their own."""
        if not label:
            return [act for act in self._acts if act.whole][:1]
        own = [act for act in self._acts if label in act.labels]
        if own:
            return own
        around = [act for act in self._acts if label in act.wide]
        given = {line.label for line in self._notes if line.kind is NoteKind.REASON}
        return [act for act in around if given.isdisjoint(act.labels)] or around

    def _entry(
        self, spot: Spot, finding: Said, reasons: list[NoteLine], spots: list[Spot] | None = None, siglum: str = ""
    ) -> Entry:
        reason, who = _reasons(reasons)
        return Entry(
            spot.at,
            self.number,
            self._label,
            spot.event,
            spot.course,
            spot.part,
            spot.subject,
            finding.kind,
            finding.source,
            finding.here,
            reason,
            who,
            siglum,
            self._folio(spot),
            finding.doubtful,
            also=tuple(dict.fromkeys(other.at for other in (spots or ())[1:] if other.at != spot.at)),
            was=finding.was,
        )

    def _folio(self, spot: Spot) -> str:
        before = max(spot.event - 1, 0) if spot.line == 0 else 0
        return next((folio for events, folio in reversed(self._folios) if events <= before), "")

    def _variant(self, line: NoteLine, spots: list[Spot]) -> Entry:
        spot = spots[0]
        agrees = ""
        if line.text in spot.typed:
            agrees = "agrees with the edition"
        elif line.text in spot.typed_source:
            agrees = "agrees with the copy-text"
        said, was = self._quoted(line.text, spot)
        entry = self._entry(spot, Said(Kind.VARIANT, said, spot.here, was=was), [], spots, line.who)
        return replace(entry, reason=agrees)

    def _quoted(self, text: str, spot: Spot) -> tuple[str, Was]:
        """A reading of another source in words, and as the sign or event that it is, if it is one."""
        if text == OMITS:
            return NOTHING, ()
        if spot.subject is Subject.SIGN and not spot.line:
            sign = quoted_sign(text, self._signs)
            if sign is not None:
                own = spot.stop.reading.edition or spot.stop.reading.source if spot.stop is not None else None
                dots = own.dots if own is not None else sign.dots
                beside = replace(sign, course=spot.course, bare=False, dots=dots) if spot.course else None
                return sign_said(sign, beside), sign
        if spot.subject is Subject.RHYTHM:
            value = quoted_value(text)
            if value is not None:
                return value_said(value), value
        kind = quoted_barline(text) if spot.subject is Subject.BAR_LINE else None
        if kind is not None:
            return line_said(kind), None
        events = None if spot.line else quoted_events(text, self._signs)
        if events is None:
            return (f"“{text}”" if spot.subject is Subject.WORDS else text), text
        return self._words.events(events, spot.stop), events

    def _pinned(self, line: NoteLine, spots: list[Spot]) -> Entry:
        words = self._pin(line.pin) if line.pin is not None else line.text
        refused = next((self._refused[spot.at] for spot in spots if spot.at in self._refused), "")
        entry = self._entry(spots[0], Said(Kind.PINNED, "", words), [], spots)
        return replace(entry, reason=f"cannot be followed: {refused}") if refused else entry

    def _pin(self, pin: Pin) -> str:
        said = []
        if pin.voice is not None:
            said.append(f"voice {pin.voice}")
        if pin.octave is not None:
            said.append(_OCTAVES[pin.octave])
        if pin.lasts is not None:
            said.append(f"lasts {pin.lasts.name}")
        if pin.lasts_to:
            ends = self._spots.get(pin.lasts_to)
            said.append(f"lasts to event {ends[0].event}" if ends else f"lasts to the sign labelled {pin.lasts_to}")
        return ", ".join(said)


def _reasons(lines: list[NoteLine]) -> tuple[str, str]:
    """All reasons of an entry, and who gives them; where several do, each is named at its own."""
    whos = list(dict.fromkeys(line.who for line in lines if line.who))
    if len(whos) < 2:
        return "; ".join(line.text for line in lines), "".join(whos)
    return "; ".join(f"{line.text} ({line.who})" if line.who else line.text for line in lines), ", ".join(whos)
