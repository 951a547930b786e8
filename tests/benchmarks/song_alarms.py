"""Notes on songs, basses and doubled bars, on real music: how often they cry wolf, how often they find a slip.

``python -m tests.benchmarks.song_alarms`` arranges development pieces (music21's corpus, split by whole works in
``voices/split.txt``) for the theorbo, and types each with its top part as the voice and its lowest as the bass, as an
editor would. Every note of these checks is then a false alarm. Then one slip a piece is put in, and counted if found: a
sung note without its accidental, an octave figure one off, a bass note a second off, a bar typed twice.
The arranger shares nothing with the checks; it leaves out, and moves, what no hand can reach.
"""

from __future__ import annotations

import random
import re
from collections import Counter

from pipeline.model.text import SourceText
from pipeline.source.read import read_piece
from tests.benchmarks.voices import corpus
from tests.benchmarks.voices.arrange import Habit, arrange
from tests.benchmarks.voices.split import kind_of, names
from tests.outside.song_typist import sung, typed_song

CODES = ("sung-leap", "sung-against", "bass-differs", "bar-twice", "bass-rises")
MOST_OF_A_KIND = 12
SLIPS = {"accidental": "sung-against", "octave": "sung-leap", "bass": "bass-differs", "bar": "bar-twice"}


def typed(name: str, habit: Habit) -> str:
    """The piece with its voice and bass."""
    score = corpus.load(name)
    voice, bass = sung(name, 0), sung(name, -1)
    ends = [*(int(tick) for tick in score.bars[1:]), int(max(score.onset + score.length))]
    text = typed_song(arrange(score, habit, 1), voice, ends, with_text=False)
    lines = text.replace("layer v = Canto, clef C1", "layer v = Canto, clef C1\nlayer b = Basso, clef F4").split("\n")
    made, bar = [], 0
    for line in lines:
        made.append(line)
        if line.startswith("v "):
            words = [word for row, word in bass if row.bar == bar]
            made.extend([" ".join(["b", *words])] if words else [])
            bar += 1
    return "\n".join(made)


def found(text: str) -> Counter[str]:
    """How many notes of each kind."""
    settled = read_piece(SourceText.of("song.intav", text)).settled()
    return Counter(one.code.slug for one in settled if one.code.slug in CODES)


def slipped(text: str, slip: str, chance: random.Random) -> str | None:
    """The text with one slip of a kind; None where there is no place for it."""
    lines = text.split("\n")
    first, pattern, change = {
        "accidental": ("v ", r"(?<==)([A-G])([#b])(\d)", r"\1\3"),
        "octave": ("v ", r"(?<==)([A-G][#bn]?)(\d)", None),
        "bass": ("b ", r"(?<==)([A-G])([#bn]?\d)", None),
        "bar": ("|", r"^", None),
    }[slip]
    places = [
        (at, match) for at, line in enumerate(lines) if line.startswith(first) for match in re.finditer(pattern, line)
    ]
    if not places:
        return None
    at, match = places[chance.randrange(len(places))]
    line = lines[at]
    if slip == "bar":
        end = next((n for n in range(at + 1, len(lines)) if lines[n].startswith("|") or not lines[n]), len(lines))
        return "\n".join([*lines[:end], *lines[at:end], *lines[end:]])
    if slip == "octave":
        new = f"{match[1]}{int(match[2]) + 1}"
    elif slip == "bass":
        new = f"{'ABCDEFG'[('ABCDEFG'.index(match[1]) + 1) % 7]}{match[2]}"
    else:
        new = match.expand(change or "")
    lines[at] = line[: match.start()] + new + line[match.end() :]
    return "\n".join(lines)


def chosen() -> list[str]:
    """The first development pieces of each kind whose outer parts are lines of single notes (some chorales have chord
    symbols among them)."""
    found: list[str] = []
    for name in names("dev"):
        if sum(kind_of(other) == kind_of(name) for other in found) < MOST_OF_A_KIND and _is_sung(name):
            found.append(name)
    return found


def _is_sung(name: str) -> bool:
    try:
        sung(name, 0), sung(name, -1)
    except (AttributeError, KeyError):
        return False
    return True


def main() -> None:
    """Print the tables."""
    rows: dict[str, Counter[str]] = {}
    hits: Counter[str] = Counter()
    tried: Counter[str] = Counter()
    chance = random.Random(1)
    for name in chosen():
        row = rows.setdefault(kind_of(name), Counter())
        text = typed(name, Habit.MIXED)
        clean = found(text)
        row.update(clean)
        row["pieces"] += 1
        for slip, code in SLIPS.items():
            wrong = slipped(text, slip, chance)
            if wrong is not None:
                tried[slip] += 1
                hits[slip] += found(wrong)[code] > clean[code]
    columns = ("pieces", *CODES)
    print(" " * 12 + "".join(column.rjust(14) for column in columns))
    for title, row in rows.items():
        print(title.ljust(12) + "".join(str(row[column]).rjust(14) for column in columns))
    total = sum((Counter(row) for row in rows.values()), Counter())
    print(
        "a piece".ljust(12) + "".join(f"{total[column] / max(1, total['pieces']):.2f}".rjust(14) for column in columns)
    )
    for slip in SLIPS:
        print(f"found of {slip}: {hits[slip]} of {tried[slip]}")


if __name__ == "__main__":
    main()
