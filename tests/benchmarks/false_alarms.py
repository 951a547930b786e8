"""Checks of playing on real music: how often they cry wolf, and how often they find an undeclared bass scale.

``python -m tests.benchmarks.false_alarms`` arranges the development pieces (music21's corpus, split by whole works in
``voices/split.txt``) for the theorbo, each diapason tuned to suit the piece, and types them. With the scale declared
every clash found is a false alarm; with the usual scale left standing, the altered diapasons are to be found. The
arranger shares nothing with the checks. Its hand knows a span, not four fingers.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from itertools import groupby

from pipeline.model.sounding import SoundingPiece
from pipeline.model.text import SourceText
from pipeline.source.checks import clash, fingers, stretch
from pipeline.source.declare import declare
from pipeline.source.parse import parse
from pipeline.source.resolve import resolve
from tests.benchmarks.voices import corpus
from tests.benchmarks.voices.arrange import Arranged, Habit, arrange
from tests.benchmarks.voices.split import kind_of, names

STOPPED = 6
_STEPS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
_LETTERS = ("C", "C", "D", "E", "E", "F", "F", "G", "A", "A", "B", "B")


@dataclass(frozen=True)
class Alarms:
    """What the checks say of one arrangement."""

    bars: int
    clashes: int
    stretches: int
    fingers: int
    altered: frozenset[int]
    found: frozenset[int]


def alarms(piece: Arranged) -> Alarms:
    """Run the checks on an arrangement, with its bass scale declared and not."""
    declared, undeclared = _sounding(piece, declared=True), _sounding(piece, declared=False)
    return Alarms(
        len(declared.bars),
        len(list(clash.check(declared))),
        len(list(stretch.check(declared))),
        len(list(fingers.check(declared))),
        frozenset(altered(piece)) & frozenset(piece.course.tolist()),
        frozenset(int(finding.message.split()[1]) for finding in clash.check(undeclared)),
    )


def altered(piece: Arranged) -> dict[int, str]:
    """The diapasons that are not tuned as usual, and their pitches."""
    tuned = zip(piece.open_pitches[STOPPED:].tolist(), piece.neck.diapasons, strict=True)
    return {STOPPED + 1 + place: _spelled(pitch, usual) for place, (pitch, usual) in enumerate(tuned) if pitch != usual}


def _spelled(pitch: int, usual: int) -> str:
    """A diapason keeps its letter."""
    letter = _LETTERS[usual % 12]
    alter = (pitch - _STEPS[letter] + 6) % 12 - 6
    return f"{letter}{'#' * alter}{'b' * -alter}{(pitch - alter) // 12 - 1}"


def typed(piece: Arranged, *, declared: bool) -> str:
    """The arrangement as an encoded piece, unmeasured, bar by bar."""
    lines = ["longneck 1", f"instrument {piece.neck.name}", "metre none"]
    scale = altered(piece)
    if declared and scale:
        lines.append("diapasons " + ", ".join(f"{course} = {pitch}" for course, pitch in scale.items()))
    bounds = [*piece.bars.tolist()[1:], int(piece.onset[-1]) + 1]
    words: list[str] = []
    bar = 0
    rows = zip(piece.onset.tolist(), piece.course.tolist(), piece.fret.tolist(), strict=True)
    for onset, stops in groupby(rows, key=lambda row: row[0]):
        while bar < len(bounds) - 1 and onset >= bounds[bar]:
            bar += 1
            if words:
                lines.append("| " + " ".join(words))
                words = []
        by_course = {course: fret for _, course, fret in stops}
        words.append(",".join(_stop(course, by_course[course]) for course in sorted(by_course, reverse=True)))
    lines.append("| " + " ".join(words))
    return "\n".join(lines) + "\n"


def _stop(course: int, fret: int) -> str:
    return str(course) if course > STOPPED else f"{course}:{fret}"


def _sounding(piece: Arranged, *, declared: bool) -> SoundingPiece:
    tablature = parse(SourceText.of(piece.name, typed(piece, declared=declared)))
    return resolve(tablature.value, declare(tablature.value).value).value


def main() -> None:
    """Print the table."""
    rows: dict[str, Counter[str]] = {}
    for name in names("dev"):
        score = corpus.load(name)
        row = rows.setdefault(kind_of(name), Counter())
        for habit in Habit:
            found = alarms(arrange(score, habit, 1))
            row.update(
                pieces=1,
                bars=found.bars,
                clashes=found.clashes,
                stretches=found.stretches,
                fingers=found.fingers,
                altered=len(found.altered),
                found=len(found.altered & found.found),
                wrong=len(found.found - found.altered),
            )
    columns = ("pieces", "bars", "clashes", "stretches", "fingers", "altered", "found", "wrong")
    print(" " * 12 + "".join(column.rjust(11) for column in columns))
    for title, row in rows.items():
        print(title.ljust(12) + "".join(str(row[column]).rjust(11) for column in columns))


if __name__ == "__main__":
    main()
