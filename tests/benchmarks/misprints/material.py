"""The pieces of the benchmark: arranged corpus music and the anthology, as right texts to be seeded."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from pipeline.folder.files import discover, headings_above, read_file
from pipeline.model.text import SourceText
from tests.benchmarks.misprints.seeding import RATE, Seeded, seed_errors
from tests.benchmarks.misprints.typist import NotTypableError, Style, typed
from tests.benchmarks.voices import corpus, split
from tests.benchmarks.voices.arrange import Habit, arrange

ANTHOLOGY = Path(__file__).parent.parent.parent.parent / "fixtures" / "anthology"


@dataclass(frozen=True)
class RightPiece:
    """A text without misprints; ``kind`` is the group it is counted in."""

    name: str
    kind: str
    text: SourceText
    inherited: tuple[SourceText, ...] = ()

    def seeded(self, seed: int, rate: float = RATE) -> Seeded:
        return seed_errors(self.text, random.Random(f"{self.name} {seed}"), self.inherited, rate)


def arranged(names: list[str], seed: int) -> Iterator[RightPiece]:
    """Each piece arranged once, in a habit and style drawn by its name and ``seed``; untypable ones are left out."""
    for name in names:
        habit = random.Random(f"habit {name} {seed}").choice(list(Habit))
        try:
            text = typed(arrange(corpus.load(name), habit, seed), Style.of(name, seed))
        except NotTypableError:
            continue
        yield RightPiece(f"{name} {habit.value}", split.kind_of(name), SourceText.of(f"{name}.intav", text))


def anthology() -> Iterator[RightPiece]:
    """The demo pieces that are measured."""
    for file in discover([ANTHOLOGY]):
        headings = tuple(read_file(above.path, above.name).source for above in headings_above(file))
        yield RightPiece(file.path.stem, "anthology", read_file(file.path, file.name).source, headings)


def sample(part: str, pieces: int, seed: int) -> list[str]:
    """So many works of a part, kinds as even as they come, the same for the same seed."""
    chance = random.Random(seed)
    by_kind = {kind: split.names(part, kind) for kind in ("palestrina", "monteverdi", "bach", "other")}
    for names in by_kind.values():
        chance.shuffle(names)
    found: list[str] = []
    while len(found) < pieces and any(by_kind.values()):
        for names in by_kind.values():
            if names and len(found) < pieces:
                found.append(names.pop())
    return found
