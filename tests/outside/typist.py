"""Types an arranged score as an editor would type a tablature: courses and frets, signs where values change."""

from __future__ import annotations

from itertools import groupby

from pipeline.model.pitch import SEMITONES, STEPS
from pipeline.model.time import WHOLE
from tests.benchmarks.voices.arrange import Arranged

_UNITS = (1, 2, 4, 8, 16, 32, 64)
_EVENTS_A_BAR = 8


def typed(piece: Arranged) -> str:
    """The whole piece as text, unmeasured, eight events a line."""
    lines = [
        "longneck 1",
        "title Arranged",
        f"instrument {piece.neck.name}",
        f"diapasons {_scale(piece)}",
        "metre none",
        "",
    ]
    events = [list(rows) for _, rows in groupby(range(len(piece.onset)), key=lambda row: int(piece.onset[row]))]
    onsets = [int(piece.onset[rows[0]]) for rows in events] + [int(piece.onset[-1]) + WHOLE]
    words: list[str] = []
    for place, rows in enumerate(events):
        stops = ",".join(_stop(int(piece.course[row]), int(piece.fret[row])) for row in rows)
        first, *rest = _values(onsets[place + 1] - onsets[place])
        words.append(f"{first}={stops}")
        words.extend(f"{value}=-" for value in rest)
    lines.extend("| " + " ".join(words[at : at + _EVENTS_A_BAR]) for at in range(0, len(words), _EVENTS_A_BAR))
    return "\n".join(lines) + "\n"


def _stop(course: int, fret: int) -> str:
    if course > 6:
        return "X" if course == 10 else str(course)
    return f"{course}:{fret}"


def _values(ticks: int) -> list[str]:
    """Plain and dotted values that add up to a length."""
    found = []
    for unit in _UNITS:
        plain = WHOLE // unit
        while ticks >= plain:
            dotted = ticks >= plain + plain // 2
            found.append(f"{unit}{'.' * dotted}")
            ticks -= plain + (plain // 2 if dotted else 0)
    assert ticks == 0, "a length with no value"
    return found


def _scale(piece: Arranged) -> str:
    names = {semitone: step for step, semitone in SEMITONES.items()}
    sharps = {semitone + 1: f"{step}#" for step, semitone in SEMITONES.items() if step in STEPS and step not in "EB"}
    return ", ".join(
        f"{course} = {(names.get(pitch % 12) or sharps[pitch % 12])}{pitch // 12 - 1}"
        for course, pitch in enumerate((int(pitch) for pitch in piece.open_pitches[6:]), start=7)
    )
