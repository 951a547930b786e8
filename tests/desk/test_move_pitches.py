"""Every sounding note of moved pieces, recomputed by a reader of its own (``tests/outside/tabreader.py``).

A sample runs here; all pieces in 12 keys on 4 instruments by ``python -m tests.benchmarks.moving --exact``."""

from __future__ import annotations

from collections import Counter

import pytest

from pipeline.desk.move.record import Moved
from pipeline.folder.files import PieceFile
from tests.desk.moved import ANTHOLOGY, Read, anthology, moved
from tests.outside.tabreader import struck

INTERVALS = ("m2", "M2", "m3", "M3", "P4", "A4", "-m2", "-M2", "-m3", "-M3", "-P4", "P1")
SEMITONES = (1, 2, 3, 4, 5, 6, -1, -2, -3, -4, -5, 0)
INSTRUMENTS = ("theorbo in A", "theorbo in G", "archlute in G", "lute in G, 8 courses")
#: Each piece in three keys and on three instruments, others for each piece.
SAMPLE = [
    (piece, (number * 5 + turn * 4) % 12, INSTRUMENTS[(number + turn) % 4])
    for number, piece in enumerate(ANTHOLOGY)
    for turn in range(3)
]


def wrong(piece: Read, made: Moved, semitones: int) -> list[str]:
    """Every note that is not where it must be, but for those that a finding or the source's reading accounts for."""
    before, after = struck(piece.text, piece.above), struck(made.text)
    told = Counter((one.span.line, one.code.slug) for one in made.diagnostics)
    unread = {one.span.line for one in made.diagnostics if "cannot be read" in one.message}
    found = []
    restored, heard = piece.restored, set[int]()
    places = {(event.bar, event.number): event for event in after}
    for event in before:
        new = places.pop((event.bar, event.number), None)
        wanted = Counter(pitch + semitones for *_, pitch in event.stops)
        sounds = Counter(pitch for *_, pitch in new.stops) if new is not None else Counter[int]()
        lost, gained = list((wanted - sounds).elements()), list((sounds - wanted).elements())
        heard |= {event.line} if gained else set()
        for pitch in gained:
            twin = next((one for one in lost if not (one - pitch) % 12), None)
            if twin is None:
                found += [] if event.line in unread else [f"line {event.line}: {pitch} is nobody's"]
                continue
            lost.remove(twin)
            if told[event.line, "octave-changed"]:
                told[event.line, "octave-changed"] -= 1
            elif restored:
                restored -= 1
            else:
                found.append(f"line {event.line}: {pitch} for {twin}, and nothing says so")
        for pitch in lost:
            if told[event.line, "stop-left-out"]:
                told[event.line, "stop-left-out"] -= 1
            else:
                found.append(f"line {event.line}: {pitch} is missing, and nothing says so")
    found += [f"bar {event.bar}, event {event.number} has no source" for event in places.values()]
    for (line, kind), left in told.items():
        # One note that gives way to another may let a second finding cancel out with it in the sum.
        if (kind == "octave-changed" and left and line not in heard) or (kind == "stop-left-out" and left):
            found.append(f"line {line}: {kind} is said of nothing")
    return found


@pytest.mark.parametrize(
    ("piece", "key", "instrument"), SAMPLE, ids=[f"{p.path.stem}-{INTERVALS[k]}-{i}" for p, k, i in SAMPLE]
)
def test_every_note_sounds_as_in_the_source_moved(piece: PieceFile, key: int, instrument: str) -> None:
    source = anthology(piece)
    made = moved(source, INTERVALS[key], instrument)
    assert wrong(source, made, SEMITONES[key]) == []


def test_the_reader_reads_what_is_known() -> None:
    """Fleury 1660, p. 8, as quoted second-hand: F2 A3 C4 F3 and F#3 D4 A3; an emended and a removed stop."""
    text = "longneck 1\ninstrument theorbo in A\nsigns french\n\n|> 'n=/a,4c,3b,2b 5e,3d,1a 3a!3b,!2a _3d\"a'C\n"
    assert [[pitch for *_, pitch in event.stops] for event in struck(text)] == [
        [41, 57, 60, 53], [54, 62, 57], [59], [62],
    ]  # fmt: skip


def test_a_wrong_note_would_be_found() -> None:
    source = anthology(ANTHOLOGY[0])
    made = moved(source, "M2", "theorbo in A")
    assert wrong(source, made, 3) != []
