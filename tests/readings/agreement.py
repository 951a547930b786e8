"""How the program's reading of a case agrees with the musician's, stop by stop."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, fields
from itertools import permutations

from pipeline.edition.leading import led
from pipeline.edition.notate import notate
from pipeline.edition.spell import spell
from pipeline.model.diagnostics import Severity
from pipeline.model.notes import LOWER_STAFF
from pipeline.model.score import Score
from pipeline.model.time import Ticks, show
from pipeline.model.voiced import LedNote, LedPiece, Part
from pipeline.source.read import read_piece
from tests.readings.cases import Case, Meant, Wanted


@dataclass(frozen=True)
class Stop:
    """A stop as the program reads it: ``offset`` after the beginning of bar ``bar``; ``staff`` of its first head."""

    note: LedNote
    bar: int
    offset: Ticks
    staff: int

    @property
    def asked(self) -> bool:
        return self.note.restored is not None and self.note.restored.asked

    @property
    def lifted(self) -> int:
        restored = self.note.restored
        return 0 if restored is None or restored.asked else restored.octaves


@dataclass(frozen=True)
class Verdict:
    """Whether each reading of a stop is the musician's. ``idle``: a question where a musician has none."""

    stop: Stop
    wanted: Wanted
    voice: bool
    length: bool
    octave: bool
    staff: bool
    idle: bool

    @property
    def agrees(self) -> bool:
        return self.voice and self.length and self.octave and self.staff

    @property
    def score(self) -> tuple[bool, int]:
        return self.agrees, self.voice + self.length + self.octave + self.staff


@dataclass
class Figure:
    """Counts over stops."""

    cases: int = 0
    whole: int = 0  # cases that agree in every stop
    bars: int = 0
    stops: int = 0
    voice: int = 0
    length: int = 0
    octave: int = 0
    staff: int = 0
    all_four: int = 0
    idle: int = 0

    def add(self, case: Case, verdicts: tuple[Verdict, ...]) -> None:
        self.cases += 1
        self.whole += all(one.agrees for one in verdicts)
        self.bars += case.bars
        self.stops += len(verdicts)
        self.voice += sum(one.voice for one in verdicts)
        self.length += sum(one.length for one in verdicts)
        self.octave += sum(one.octave for one in verdicts)
        self.staff += sum(one.staff for one in verdicts)
        self.all_four += sum(one.agrees for one in verdicts)
        self.idle += sum(one.idle for one in verdicts)

    def __iadd__(self, other: Figure) -> Figure:
        for field in fields(self):
            setattr(self, field.name, getattr(self, field.name) + getattr(other, field.name))
        return self


def stops_of(case: Case) -> tuple[LedPiece, tuple[Stop, ...]]:
    """The program's reading; the text must be without error."""
    read = read_piece(case.source)
    errors = [found.message for found in read.diagnostics if found.severity is Severity.ERROR]
    assert not errors, f"{case.name}: {errors}"
    piece = led(read.sounding, read.song).value
    staves = _staves(notate(spell(piece)))
    starts = {event.id: (bar.index, event.onset - bar.onset) for bar in piece.sounding.bars for event in bar.events}
    return piece, tuple(Stop(note, *starts[note.id.partition("c")[0]], staves[note.id]) for note in piece.notes)


def _staves(score: Score) -> dict[str, int]:
    """The staff of each stop's first head."""
    found: dict[str, int] = {}
    for measure in score.measures:
        for layer in measure.layers:
            for event in layer.events:
                for head in event.heads:
                    found.setdefault(head.stop, head.staff)
    return found


def compare(case: Case) -> tuple[Verdict, ...]:
    """A verdict for every stop, inner parts named as they agree best."""
    piece, stops = stops_of(case)
    pairs = list(_named(case, stops))
    named = sorted({one.line for one in case.wanted} & {"A", "T"})
    inner = range(2, max(piece.voices, 3))
    choices = permutations([*inner, *([0] * len(named))], len(named))
    rated = (_verdicts(pairs, dict(zip(named, voices, strict=True))) for voices in dict.fromkeys(choices))
    return max(rated, key=lambda verdicts: sum(sum(one.score) for one in verdicts))


def _named(case: Case, stops: tuple[Stop, ...]) -> Iterator[tuple[list[Stop], list[Wanted]]]:
    """Stops that begin together on one pitch, with what is wanted there."""
    there: dict[tuple[int, Ticks, int], list[Stop]] = defaultdict(list)
    wanted: dict[tuple[int, Ticks, int], list[Wanted]] = defaultdict(list)
    for stop in stops:
        there[stop.bar, stop.offset, stop.note.stop.pitch].append(stop)
    for one in case.wanted:
        wanted[one.bar, one.offset, one.pitch].append(one)
    strange = sorted(set(wanted) - set(there))
    assert not strange, f"{case.name}: nothing is struck for {strange}"
    for key, some in there.items():
        once = max((sum(one.line == line for one in wanted[key]) for line in "SATMB"), default=0)
        assert once <= len(some) <= len(wanted[key]), f"{case.name}: {len(some)} stops, {len(wanted[key])} named: {key}"
        yield some, wanted[key]


def _verdicts(pairs: list[tuple[list[Stop], list[Wanted]]], inner: dict[str, int]) -> tuple[Verdict, ...]:
    found: list[Verdict] = []
    for stops, wanted in pairs:
        ways = (
            [_verdict(stop, one, inner) for stop, one in zip(stops, some, strict=True)]
            for some in permutations(wanted, len(stops))
        )
        found += max(ways, key=lambda way: (sum(one.agrees for one in way), sum(one.score[1] for one in way)))
    return tuple(sorted(found, key=lambda one: (one.stop.note.onset, one.stop.note.stop.course)))


def _verdict(stop: Stop, wanted: Wanted, inner: dict[str, int]) -> Verdict:
    octave = {Meant.AS_IT_SOUNDS: stop.lifted == 0, Meant.ABOVE: stop.lifted == 1, Meant.OPEN: True}[wanted.meant]
    return Verdict(
        stop,
        wanted,
        _in_line(stop.note, wanted, inner),
        not wanted.lengths or stop.note.length in wanted.lengths,
        octave,
        stop.staff in wanted.staves,
        stop.asked and wanted.meant is Meant.AS_IT_SOUNDS,
    )


def _in_line(note: LedNote, wanted: Wanted, inner: dict[str, int]) -> bool:
    lines = {Part.UPPER: "S", Part.BASS: "B"}
    if note.part in lines:
        return lines[note.part] in {wanted.line, *wanted.stems}
    return wanted.line == "M" or note.voice == inner.get(wanted.line)


def said(verdict: Verdict) -> str:
    """One line on a stop that is read otherwise."""
    stop, wanted = verdict.stop, verdict.wanted
    name = f"bar {stop.bar + 1}, {show(stop.offset)} in, course {stop.note.stop.course}"
    parts: list[str] = []
    if not verdict.voice:
        parts.append(f"in voice {stop.note.voice} ({stop.note.part.value}), not {wanted.line}")
    if not verdict.length:
        lengths = " or ".join(show(ticks) for ticks in sorted(wanted.lengths))
        parts.append(f"lasts {show(stop.note.length)}, not {lengths}")
    if not verdict.octave:
        asked = " (asked)" if stop.asked else ""
        parts.append(f"octave not restored{asked}" if wanted.meant is Meant.ABOVE else "octave restored")
    if not verdict.staff:
        parts.append(f"on the {'lower' if stop.staff == LOWER_STAFF else 'upper'} staff")
    return f"{name}: {'; '.join(parts)}"
