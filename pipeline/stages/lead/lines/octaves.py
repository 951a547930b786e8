"""Which notes are meant an octave up: decided along each line, so that no line is torn by half a repair.

A lone chance does not decide: lifting one note of a run and not the next breaks the interval between them. Along each
line the choice is the one that leaves the most intervals right on average, less a caution for each lift. What
that leaves undecided is asked, not guessed. Where the whole piece is fingered as on a lute, the rule is known and followed.
"""

from __future__ import annotations

import numpy as np

from pipeline.stages.lead.lines.arrays import FREE, Flags, Floats, Ints, StopArrays

#: How likely a lift must be for its own sake, by habit, and how much that weighs against the intervals.
#: Chosen on the development part so that no habit loses right intervals.
CAUTION = {"literal": 0.9, "mixed": 0.8, "lute": 0.1, "none": 1.0}
WEIGHT = 2.0
#: Notes left alone are asked about from this chance on.
ASK = 0.4
#: Share of likely lifts among the notes of re-entrant courses from which the habit is the lute's, up to which literal.
LUTE, LITERAL = 0.93, 0.12


def find_habit(stops: StopArrays, low: Floats) -> tuple[str, dict[str, float]]:
    """How the arranger went about the re-entrant courses, with the figures that tell it."""
    mine = stops.re_entrant
    if not mine.any():
        return "none", {}
    sure = float((low[mine] > 0.5).mean())
    evidence = {"stops on re-entrant courses": float(mine.sum()), "likely meant an octave up": sure}
    if sure >= LUTE:
        return "lute", evidence
    return ("literal" if sure <= LITERAL else "mixed"), evidence


def choose(stops: StopArrays, low: Floats, follows: Ints, habit: str) -> tuple[Ints, Flags]:
    """Octave of every stop (+1, 0 or as pinned), and which are only asked about."""
    free = stops.pin_octave == FREE
    caution = CAUTION[habit]
    lifted = _along_lines(low.tolist(), follows.tolist(), (WEIGHT * (low - caution)).tolist())
    octave = np.where(free, np.array(lifted, dtype=np.int64), stops.pin_octave)
    return octave, free & (octave == 0) & (low >= ASK)


def _along_lines(low: list[float], follows: list[int], gain: list[float]) -> list[int]:
    """The choice, 0 or 1 for every row, that is best on the whole: ``gain`` of each lift and the chance of every
    interval to come out right. ``follows`` makes a forest in order of rows, solved from the leaves to the roots."""
    rows = len(low)
    stay, lift = [0.0] * rows, gain[:]
    for row in range(rows - 1, -1, -1):
        if low[row] == 0.0:
            lift[row] = -1e9
        before = follows[row]
        if before < 0:
            continue
        mine, theirs = low[row], low[before]
        both = mine * theirs
        same = 1 - mine - theirs + 2 * both
        up, down = mine - both, theirs - both  # only this one, only the one before
        if_stay, if_lift = stay[row], lift[row]
        stay[before] += max(if_stay + same, if_lift + up)
        lift[before] += max(if_stay + down, if_lift + same)
    chosen = [0] * rows
    for row in range(rows):
        before = follows[row]
        if before < 0:
            chosen[row] = int(lift[row] > stay[row])
            continue
        mine, theirs = low[row], low[before]
        both = mine * theirs
        same = 1 - mine - theirs + 2 * both
        if chosen[before]:
            chosen[row] = int(lift[row] + same > stay[row] + theirs - both)
        else:
            chosen[row] = int(lift[row] + mine - both > stay[row] + same)
    return chosen
