"""Cases: bars as typed, and under each the reading that a musician would print.

A case is a text file in ``cases/IDIOM/``::

    case A tune on course 2
    ground common practice, no source
    why One sentence that argues the reading from the music.

    instrument theorbo in A
    metre C

    | 2=11,4:0,3:1,2:1 2:0
    S 2=F3(8) E3(8)
    M 1~2=C4+G3
    B 1=C2

After the blank line stands what an editor types. Lines with a capital are the reading of the bar above them, one for
each part, like the lines of a song: values hold until the next, ``-`` is a rest, ``_`` a tie, ``+`` a chord; pitches
are those that sound. ``S`` is the tune or highest part, ``A`` and ``T`` are inner parts that keep their names through
the case, ``B`` is the bass; ``M`` fills the chord: an inner part, or on the stem of the tune or the bass where it
begins and may end with it. ``(8)``: the line is meant an octave above; ``(8?)``: open, any reading is right.
``1~2=``: a whole or a half note, both are right; ``2?=``: the source does not tell the length, any is right. ``B/up``,
``S/low``: the staff, where the pitch does not say it. A stop named in two lines may be read as either (or is written
twice).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum
from pathlib import Path

from pipeline.model.notes import LOWER_STAFF, UPPER_STAFF
from pipeline.model.text import SourceText
from pipeline.model.time import Ticks, Value

FOLDER = Path(__file__).parent / "cases"
LINES = ("S", "A", "T", "M", "B")
_STAVES = {"up": frozenset({UPPER_STAFF}), "low": frozenset({LOWER_STAFF})}
_EITHER = frozenset({UPPER_STAFF, LOWER_STAFF})
_NOTE = re.compile(r"(?P<tie>_?)(?P<step>[A-G])(?P<alter>##?|bb?|)(?P<octave>\d)(?P<eight>\(8\??\)|)")
_SEMITONES = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}


class Meant(Enum):
    """What the octave of a note should be."""

    AS_IT_SOUNDS = ""
    ABOVE = "(8)"
    OPEN = "(8?)"


@dataclass
class Wanted:
    """One note as it should be printed: in bar ``bar`` (from 0), ``offset`` after its beginning."""

    bar: int
    offset: Ticks
    pitch: int
    line: str
    lengths: frozenset[Ticks]  # empty: any
    staves: frozenset[int]
    meant: Meant
    stems: frozenset[str] = frozenset()  # the lines whose stems a note of M may share


@dataclass(frozen=True)
class Case:
    """``name`` is ``idiom/file``; ``bars`` the number of bars typed."""

    name: str
    title: str
    ground: str
    why: str
    source: SourceText
    wanted: tuple[Wanted, ...]
    bars: int

    @property
    def idiom(self) -> str:
        return self.name.partition("/")[0]


def cases() -> tuple[Case, ...]:
    """All cases, by name."""
    return tuple(read_case(path) for path in sorted(FOLDER.glob("*/*.txt")))


def read_case(path: Path) -> Case:
    """The case in a file. A fault of the file is an error of the test."""
    name = f"{path.parent.name}/{path.stem}"
    top, _, below = path.read_text(encoding="utf-8").partition("\n\n")
    said = dict(line.split(" ", 1) for line in top.splitlines())
    typed: list[str] = []
    wanted: list[Wanted] = []
    sounding: dict[tuple[str, int], Wanted] = {}
    bar = -1
    for line in below.splitlines():
        word = line.split(" ", 1)[0]
        if word.partition("/")[0] in LINES:
            wanted += _notes(line, bar, sounding)
        else:
            typed.append(line)
            bar += word == "|"
    for one in wanted:
        if one.line == "M":
            beside = (w for w in wanted if w.line in "SB" and (w.bar, w.offset) == (one.bar, one.offset))
            one.stems = frozenset(w.line for w in beside if w.lengths & one.lengths or not one.lengths)
    text = "\n".join((f"longneck 1\ntitle {said['case']}", *typed, ""))
    source = SourceText.of(f"{path.stem}.intav", text)
    return Case(name, said["case"], said["ground"], said["why"], source, tuple(wanted), bar + 1)


def _notes(typed: str, bar: int, sounding: dict[tuple[str, int], Wanted]) -> Iterator[Wanted]:
    """The notes of one line of the reading; ties lengthen the one before in ``sounding``, by line and pitch."""
    label, *words = typed.split()
    line, _, staff = label.partition("/")
    at, values, open_ = 0, [0], False
    for word in words:
        head, _, body = word.rpartition("=")
        if head:
            values = [_ticks(value) for value in head.rstrip("?").split("~")]
            open_ = head.endswith("?")
        for note in body.split("+") if body != "-" else ():
            found = _NOTE.fullmatch(note)
            assert found, f"no note: {note} in {typed}"
            pitch = _pitch(found)
            key = line, pitch
            if found["tie"]:
                before = sounding[key]
                before.lengths = frozenset(length + value for length in before.lengths for value in values)
                continue
            meant = Meant(found["eight"])
            staves = _STAVES[staff] if staff else _staves(line, pitch, meant)
            sounding[key] = Wanted(bar, at, pitch, line, frozenset() if open_ else frozenset(values), staves, meant)
            yield sounding[key]
        at += values[0]


def _ticks(value: str) -> Ticks:
    """``4.`` or, three in the time of two, ``8/3``."""
    plain, _, group = value.partition("/")
    ticks = Value(int(plain.rstrip(".")), plain.count(".")).ticks
    return ticks * 2 // 3 if group else ticks


def _pitch(note: re.Match[str]) -> int:
    alter = note["alter"].count("#") - note["alter"].count("b")
    return 12 * (int(note["octave"]) + 1) + _SEMITONES[note["step"]] + alter


def _staves(line: str, pitch: int, meant: Meant) -> frozenset[int]:
    """Where a note of this line may stand if nothing is said: common practice of the grand staff, no source. A tune
    keeps to the upper staff down to G3 and may dip to the lower one below; a bass keeps to the lower up to B3, above E4
    to the upper; what lies between goes by pitch, on either staff from F3 to D4."""
    if meant is not Meant.AS_IT_SOUNDS:
        return _EITHER if meant is Meant.OPEN or line not in ("S", "A") else _STAVES["up"]
    lowest_up, highest_low = {"S": (48, 54), "B": (60, 64)}.get(line, (53, 62))
    return frozenset(
        staff for staff, fits in ((UPPER_STAFF, pitch >= lowest_up), (LOWER_STAFF, pitch <= highest_low)) if fits
    )
