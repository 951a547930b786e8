"""``python -m tests.laws.reading_shares``: how far a reading stays the same where the music gives no reason to change.

Each figure is a share of 1, over three kinds of pieces: the anthology, the cases of ``tests/readings`` (as they are,
four times over, with others behind them), and music made at random. What holds throughout is a law of
``test_reading_laws.py``. Where pieces are compared that may have different numbers of voices, a voice is tune, bass,
or what lies between. Pins stand on the pieces four times over, where a bar has its like elsewhere.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

from hypothesis import HealthCheck, Phase, given, settings

from pipeline.folder.files import discover, headings_above, read_file
from pipeline.model.heading import Heading
from pipeline.model.song import Song
from pipeline.model.sounding import SoundingPiece
from pipeline.model.tablature import Pin
from pipeline.model.text import SourceText
from pipeline.model.time import Value
from pipeline.source.read import read_piece
from tests.laws.alike import Bars, Reading, Typed, changed, lowered, phrases, pinned, read_bars, twins
from tests.laws.music import pieces
from tests.readings.cases import cases

ANTHOLOGY = Path(__file__).parent.parent.parent / "fixtures" / "anthology"
#: Semitones and fifths down: a tone, a minor third up, a fourth.
INTERVALS = ((2, 2), (-3, 3), (5, -1))
_PINNED_STOPS = 3  # of a piece, evenly spread
_MADE = 40


@dataclass(frozen=True)
class Given:
    """A piece and what is sung to it; ``typed`` its text, where it has nothing but bars."""

    name: str
    piece: SoundingPiece
    song: Song
    typed: Typed | None = None

    @property
    def bars(self) -> Bars:
        return _bars_of(self)


@cache
def _bars_of(one: Given) -> Bars:
    return read_bars(one.piece, one.song)


@dataclass
class Share:
    """So many of so many."""

    same: int = 0
    of: int = 0

    def add(self, same: int, of: int = 1) -> None:
        self.same += same
        self.of += of

    def __str__(self) -> str:
        return f"{self.same / self.of:.3f} of {self.of}" if self.of else "–"


def read(name: str, source: SourceText, above: tuple[SourceText, ...] = (), typed: Typed | None = None) -> Given:
    found = read_piece(source, above)
    return Given(name, found.sounding, found.song, typed)


def anthology() -> Iterator[Given]:
    for file in discover([ANTHOLOGY]):
        above = tuple(read_file(heading.path, heading.name).source for heading in headings_above(file))
        yield read(file.path.stem, read_file(file.path, file.name).source, above)


def of_cases() -> Iterator[Given]:
    for case in cases():
        yield read(case.name, case.source, (), Typed.of(case.source.text))


def made(many: int = _MADE) -> Iterator[Given]:
    """Music at random, the same each time: no music that anyone wrote, but anything that may be typed."""
    found: list[str] = []

    @settings(max_examples=many, deadline=None, derandomize=True, database=None, phases=(Phase.generate,),
              suppress_health_check=list(HealthCheck))  # fmt: skip
    @given(pieces)
    def keep(music: str) -> None:
        found.append(music)

    keep()
    for number, music in enumerate(found):
        text = f"longneck 1\ntitle Law\ninstrument theorbo in A\nmetre none\n\n{music}\n"
        typed = Typed.of(text.replace(" |!", "").replace(" .||", "").replace(" ||", ""))
        yield read(f"made {number}", typed.text(typed.bars), (), typed)


# --- the laws, one piece at a time ---


def same_bar(one: Given, share: Share, neighbours: int) -> None:
    """Bars printed alike between bars printed alike, read as the first of them is."""
    for first, *others in twins(one.piece, neighbours):
        share.add(sum(one.bars[at] == one.bars[first] for at in others), len(others))


def four_times(one: Given) -> Given | None:
    """The piece four times over: its second and third time have the same bars on both sides."""
    if one.typed is None or any('"' in bar for bar in one.typed.bars):
        return None
    return read(one.name, one.typed.text(one.typed.bars * 4), (), Typed(one.typed.heading, one.typed.bars * 4))


@dataclass
class Dittos:
    """Dittos that are read as the bar before; then with lengths left out of account; then their stops."""

    whole: Share
    lines: Share
    stops: Share


def ditto(one: Given, shares: Dittos) -> None:
    """A bar and the ditto behind it, at every place of the piece."""
    for at, bars in _with_dittos(one):
        before, after = bars[at], bars[at + 1]
        same = [a == b for a, b in zip(before, after, strict=True)]
        shares.whole.add(all(same))
        shares.stops.add(sum(same), len(same))
        shares.lines.add([replace(a, length=0) for a in before] == [replace(a, length=0) for a in after])


def _with_dittos(one: Given) -> Iterator[tuple[int, Bars]]:
    if one.typed is None:
        for bar in one.piece.bars:
            if bar.bar.ditto is not None and bar.bar.ditto.bars == 1 and not bar.bar.ditto.section:
                yield bar.index - 1, one.bars
        return
    for at, lines in enumerate(one.typed.bars):
        if '"' in lines or "ditto" in lines:
            continue
        under = "".join(f"\n{line}" for line in lines.splitlines()[1:])
        more = (*one.typed.bars[: at + 1], f"| ditto{under}", *one.typed.bars[at + 1 :])
        yield at, read(one.name, one.typed.text(more)).bars


def pins(one: Given) -> Iterator[tuple[int, Pin, Bars]]:
    """Pins that say otherwise than the reading, on stops spread over the piece: the bar, the pin, the new reading."""
    stops = [
        (bar.index, stop.id) for bar in one.piece.bars if not bar.bar.ditto for event in bar.events
        for stop in event.stops if not (stop.held or stop.stop.labels)
    ]  # fmt: skip
    voices = max((reading.voice for bar in one.bars for reading in bar), default=1)
    by_id = dict(_by_id(one))
    for at, stop in stops[:: max(1, len(stops) // _PINNED_STOPS)][:_PINNED_STOPS]:
        reading = by_id[stop]
        said = [Pin(lasts=Value(8 if reading.length != Value(8).ticks else 4)), Pin(octave=0 if reading.octaves else 1)]
        if voices > 1:
            said.append(Pin(voice=reading.voice % voices + 1))
        for pin in said:
            yield at, pin, read_bars(pinned(one.piece, stop, pin), one.song)


def _by_id(one: Given) -> Iterator[tuple[str, Reading]]:
    for bar, readings in zip(one.piece.bars, one.bars, strict=True):
        struck = sorted(
            (event.onset - bar.onset, stop.course, stop.order, stop.id)
            for event in bar.events
            for stop in event.stops
            if not stop.held
        )
        yield from ((stop[3], reading) for stop, reading in zip(struck, readings, strict=True))


def reach(one: Given, at: int, now: Bars) -> int:
    """How many bars away from bar ``at`` something is read otherwise."""
    return max((abs(bar - at) for bar in changed(one.bars, now)), default=0)


def stays_in_its_phrase(one: Given, at: int, now: Bars) -> bool:
    phrase = phrases(one.piece)
    return all(phrase[bar] == phrase[at] for bar in changed(one.bars, now))


@dataclass
class Tuned:
    """What stays on an instrument of another size: whole pieces (voices and lengths), then stops."""

    pieces: Share
    voices: Share
    lengths: Share
    octaves: Share


def transposed(one: Given, shares: Tuned) -> None:
    """The same strings and frets on an instrument of another size."""
    if one.piece.heading.layers:
        return  # what is typed in pitches would have to go with it
    for semitones, fifths in INTERVALS:
        now = read_bars(lowered(one.piece, semitones, fifths))
        pairs = [pair for bars in zip(one.bars, now, strict=True) for pair in zip(*bars, strict=True)]
        shares.pieces.add(all((a.name, a.length) == (b.name, b.length) for a, b in pairs))
        shares.voices.add(sum(a.name == b.name for a, b in pairs), len(pairs))
        shares.lengths.add(sum(a.length == b.length for a, b in pairs), len(pairs))
        shares.octaves.add(sum(a.octaves == b.octaves for a, b in pairs), len(pairs))


def longer(one: Given, other: Given, share: Share) -> None:
    """The stops of a piece, its last two bars aside, when bars of another piece follow."""
    if one.typed is None or other.typed is None or len(one.typed.bars) < 3:
        return
    now = read(one.name, one.typed.text((*one.typed.bars, *other.typed.bars))).bars
    kept = len(one.bars) - 2
    pairs = [pair for bars in zip(one.bars[:kept], now, strict=False) for pair in zip(*bars, strict=True)]
    share.add(sum(a.printed == b.printed for a, b in pairs), len(pairs))


# --- the table ---


def main() -> int:
    kinds: tuple[tuple[str, Callable[[], Iterable[Given]]], ...] = (
        ("anthology", anthology), ("cases", of_cases), ("made", made)
    )  # fmt: skip
    columns = {name: dict(_figures(list(given_pieces()))) for name, given_pieces in kinds}
    print(f"{'':<52}" + "".join(f"{name:>18}" for name in columns))
    for row in columns["cases"]:
        print(f"{row:<52}" + "".join(f"{column[row]!s:>18}" for column in columns.values()))
    return 0


def _figures(some: list[Given]) -> Iterator[tuple[str, Share]]:
    four = [more for one in some if (more := four_times(one)) is not None]
    for neighbours in (0, 1, 2):
        share = Share()
        for one in (*some, *four):
            same_bar(one, share, neighbours)
        yield f"same bar, {neighbours} alike on each side", share
    shares = Dittos(Share(), Share(), Share())
    for one in some:
        ditto(one, shares)
    yield "ditto as the bar before", shares.whole
    yield "ditto, lengths left out of account", shares.lines
    yield "stops of dittos", shares.stops
    yield from _pin_figures(four or some)
    tuned = Tuned(Share(), Share(), Share(), Share())
    for one in some:
        transposed(one, tuned)
    yield "pieces, tuned otherwise", tuned.pieces
    yield "voices, tuned otherwise", tuned.voices
    yield "lengths, tuned otherwise", tuned.lengths
    yield "octaves, tuned otherwise", tuned.octaves
    share, whole = Share(), Share()
    for one, other in _pairs(some):
        before = share.of - share.same
        longer(one, other, share)
        whole.add(before == share.of - share.same)
    yield "pieces, bars of another behind them", whole
    yield "stops, bars of another piece behind them", share


def _pin_figures(some: list[Given]) -> Iterator[tuple[str, Share]]:
    kinds = {"length": Pin(lasts=Value(4)), "octave": Pin(octave=1), "voice": Pin(voice=1)}
    within: dict[tuple[str, int], Share] = {(kind, bars): Share() for kind in kinds for bars in (0, 1, 2, 4)}
    phrase = {kind: Share() for kind in kinds}
    for one in some:
        for at, pin, now in pins(one):
            kind = "voice" if pin.voice is not None else "octave" if pin.octave is not None else "length"
            far = reach(one, at, now)
            for bars in (0, 1, 2, 4):
                within[kind, bars].add(far <= bars)
            phrase[kind].add(stays_in_its_phrase(one, at, now))
    for kind in kinds:
        yield f"pin of {kind}: nothing beyond its phrase", phrase[kind]
        for bars in (0, 1, 2, 4):
            yield f"pin of {kind}: nothing beyond {bars} bars", within[kind, bars]


def _pairs(some: list[Given]) -> Iterator[tuple[Given, Given]]:
    """Pieces with the next one that is typed for the same instrument in the same metre, with the same layers."""

    def sort(one: Given) -> tuple[object, ...]:
        heading: Heading = one.piece.heading
        return heading.instrument, heading.metre, heading.key, heading.voices, heading.layers

    for at, one in enumerate(some):
        other = next((more for more in (*some[at + 1 :], *some[:at]) if sort(more) == sort(one)), None)
        if other is not None:
            yield one, other


if __name__ == "__main__":
    sys.exit(main())
