"""The division of the corpus into training, development and test part, by whole works.

``split.txt`` is the division; this module reads it. ``python -m tests.benchmarks.voices.split`` writes it anew
(seeded, so the same): the movements of a mass stay together, so do the parts of a madrigal cycle and all
settings of one chorale tune. Later music (Haydn and on) serves spelling only.
"""

from __future__ import annotations

import random
import re
from itertools import pairwise
from pathlib import Path

from tests.benchmarks.voices import corpus

FILE = Path(__file__).with_name("split.txt")
SEED = 1604
KINDS = ("palestrina", "monteverdi", "bach", "other", "later")
#: Shares of works: development, test; the rest trains.
SHARES = (0.12, 0.2)
#: At most so many movements of one mass are kept for development and test, to keep their tables various.
MOVEMENTS = 3
#: Cycles among the madrigals: first and last number of book and madrigal (MEM).
CYCLES = (("3", 8, 10), ("3", 13, 15), ("3", 19, 20), ("5", 1, 8))


def names(part: str, kind: str | None = None, voices: bool = True) -> list[str]:
    """Paths of the pieces of ``part`` (``train``, ``dev``, ``test``), in order; ``voices`` leaves out later music."""
    return [name for _, _, name in entries(part, kind, voices)]


def entries(part: str, kind: str | None = None, voices: bool = True) -> list[tuple[str, str, str]]:
    """Kind, work and path of the pieces that ``names`` gives."""
    found = []
    for line in FILE.read_text(encoding="utf-8").splitlines():
        if line.startswith("#"):
            continue
        of_part, of_kind, work, name = line.split("\t")
        if of_part == part and kind in (None, of_kind) and not (voices and of_kind == "later"):
            found.append((of_kind, work, name))
    return found


def kind_of(name: str) -> str:
    """The group of the tables that a piece is counted in."""
    folder = name.split("/", maxsplit=1)[0]
    if folder in ("palestrina", "monteverdi", "bach"):
        return folder
    return "later" if folder in ("haydn", "mozart", "beethoven", "handel", "schumann_robert") else "other"


def _work(name: str) -> str:
    """The work that a piece belongs to."""
    folder, file = name.split("/", 1)
    if folder == "palestrina":
        text = (corpus.corpus_root() / name).read_text(encoding="latin-1")
        title = re.search(r"^!!!OPR:\s*(.*?)\s*$", text, re.M)
        return "mass " + re.sub(r"\W+", " ", title.group(1)).lower().strip() if title else name
    if folder == "monteverdi":
        book, number = re.match(r"madrigal\.(\d)\.(\d+)", file).groups()  # type: ignore[union-attr]
        for of_book, first, last in CYCLES:
            if book == of_book and first <= int(number) <= last:
                return f"madrigals {book}.{first}-{last}"
        return f"madrigal {book}.{number}"
    if folder == "bach":
        return "tune " + _tune(corpus.load(name))
    return "/".join(name.split("/")[:2]) if kind_of(name) == "later" else name


def _tune(score: corpus.PartScore) -> str:
    """The first ten steps of the top part, which all settings of one tune share."""
    top = score.pitch[score.part == 0]
    steps = [int(b - a) for a, b in pairwise(top.tolist()) if b != a]
    return ",".join(map(str, steps[:10]))


def usable(score: corpus.PartScore, kind: str) -> bool:
    """Three to five clean parts and enough notes."""
    if kind == "later":
        return len(score.onset) > 100
    return score.clean and 3 <= score.parts <= 5 and len(score.onset) >= 60


def write(candidates: list[str]) -> None:
    """Divide ``candidates`` and write the file."""
    works: dict[str, dict[str, list[str]]] = {kind: {} for kind in KINDS}
    seen: set[bytes] = set()
    for name in sorted(candidates):
        try:
            score = corpus.load(name)
        except (ValueError, OSError, AttributeError):
            continue
        prints = score.pitch.tobytes() + score.onset.tobytes()
        kind = kind_of(name)
        if usable(score, kind) and prints not in seen and "_old" not in name:
            works[kind].setdefault(_work(name), []).append(name)
        seen.add(prints)
    chance = random.Random(SEED)
    lines = ["# part\tkind\twork\tpiece. Written by split.py, seed 1604; do not edit."]
    for kind in KINDS:
        order = sorted(works[kind])
        chance.shuffle(order)
        dev, test = (round(share * len(order)) for share in SHARES)
        for index, work in enumerate(order):
            part = "dev" if index < dev else "test" if index < dev + test else "train"
            pieces = works[kind][work]
            if part != "train" and kind == "palestrina":
                pieces = sorted(chance.sample(pieces, min(MOVEMENTS, len(pieces))))
            lines += [f"{part}\t{kind}\t{work}\t{piece}" for piece in pieces]
    FILE.write_text(
        "\n".join(sorted(lines, key=lambda line: (not line.startswith("#"), line))) + "\n", encoding="utf-8"
    )


def candidates() -> list[str]:
    """Every score of the corpus that may serve."""
    root = corpus.corpus_root()
    patterns = (
        "palestrina/*.krn",
        "monteverdi/*.mxl",
        "bach/*.mxl",
        "bach/*.xml",
        "lusitano/*.mxl",
        "corelli/*/*.xml",
        "luca/*.xml",
        "ciconia/*.xml",
        "trecento/*.xml",
        "haydn/*/*.mxl",
        "mozart/*/*.mxl",
        "beethoven/opus18no1/*.mxl",
        "handel/rinaldo/*.xml",
        "schumann_robert/*.xml",
        "schumann_robert/*/*.xml",
    )
    return sorted(str(path.relative_to(root)) for pattern in patterns for path in root.glob(pattern))


if __name__ == "__main__":
    write(candidates())
