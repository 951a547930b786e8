"""Which notes are meant an octave up: decided along each line, so that no line is torn by half a repair.

A lone chance does not decide: lifting one note of a run and not the next breaks the interval between them. Along each
line the choice is the one that leaves the most intervals right on average, less a caution for each lift. What
that leaves undecided is asked, not guessed. Where the whole piece is fingered as on a lute, the rule is known and
followed.
"""

from __future__ import annotations

import numpy as np

from pipeline.edition.lead.lines.arrays import FREE, Flags, Floats, Ints, StopArrays

#: How likely a lift must be for its own sake, by habit, and how much that weighs against the intervals.
#: Chosen on the development part so that no habit loses right intervals.
CAUTION = {"literal": 0.95, "mixed": 0.85, "lute": 0.1, "none": 1.0}
WEIGHT = 2.0
#: Below this chance no note is lifted for its neighbours' sake.
FLOOR = 0.15
#: How much worse it is to break a right interval than to leave a wrong one.
HARM = 6.0
#: Notes left alone are asked about from this chance on.
ASK = 0.5
#: By how much the logit of a chance is divided before it is stated: the net is surer than it should be of arrangers
#: that it has not heard. From the development part, of such an arranger.
SURER = {"literal": 1.0, "mixed": 2.5, "lute": 2.25, "none": 1.0}
#: Share of likely lifts among the notes of re-entrant courses from which the habit is the lute's, up to which
#: literal.
LUTE, LITERAL = 0.93, 0.12


def find_habit(stops: StopArrays, low: Floats, chords: Flags) -> tuple[str, dict[str, float]]:
    """How the arranger went about the re-entrant courses, with the figures that tell it. The notes of ``chords`` that
    accompany tell nothing, since no line leads through them; where there is nothing else, the habit is taken for mixed,
    which restores with caution."""
    if not stops.re_entrant.any():
        return "none", {}
    mine = stops.re_entrant & ~chords
    if not mine.any():
        return "mixed", {}
    sure = float((low[mine] > 0.5).mean())
    evidence = {"stops on re-entrant courses": float(mine.sum()), "likely meant an octave up": sure}
    if sure >= LUTE:
        return "lute", evidence
    return ("literal" if sure <= LITERAL else "mixed"), evidence


def choose(
    stops: StopArrays, low: Floats, follows: Ints, barred: Flags, *, alike: Floats, weight: Floats, habit: str
) -> tuple[Ints, Flags]:
    """Octave of every stop (+1, 0 or as pinned), and which are only asked about. What is ``barred`` is neither lifted
    nor asked about.

    ``alike`` is the chance that a stop and the one it follows are both meant as they sound or both not, ``weight``
    how sure it is that it does follow it, inside a phrase.
    """
    free = stops.pin_octave == FREE
    gain = WEIGHT * (low - CAUTION[habit])
    gain = np.where((low >= min(FLOOR, CAUTION[habit])) & ~barred, gain, -1e9)
    gain = np.where(free, gain, np.where(stops.pin_octave == 1, 1e9, -1e9))
    before = low[np.maximum(follows, 0)]
    up = np.clip((1 - alike + low - before) / 2, 0, 1) - HARM * alike  # only this one
    down = np.clip((1 - alike - low + before) / 2, 0, 1) - HARM * alike  # only the one before
    lifted = _along_lines(
        follows.tolist(), gain.tolist(), (alike * weight).tolist(), (up * weight).tolist(), (down * weight).tolist()
    )
    octave = np.where(free, np.array(lifted, dtype=np.int64), stops.pin_octave)
    return octave, free & (octave == 0) & (low >= ASK) & ~barred


def stated(low: Floats, habit: str) -> Floats:
    """The chance that a note is meant an octave up, as it may be believed. Decisions are taken on ``low`` itself."""
    sure = np.clip(low.astype(np.float64), 1e-4, 1 - 1e-4)
    believed = 1 / (1 + ((1 - sure) / sure) ** (1 / SURER[habit]))
    return np.where((low > 0) & (low < 1), believed, low).astype(np.float32)


def already_struck(stops: StopArrays) -> Flags:
    """Which stops have the note an octave above them struck with them: the page has it where it is meant."""
    known = set(zip(stops.onset.tolist(), stops.pitch.tolist(), strict=True))
    above = zip(stops.onset.tolist(), (stops.pitch + 12).tolist(), strict=True)
    return stops.re_entrant & np.array([place in known for place in above], dtype=np.bool_)


def _along_lines(
    follows: list[int], gain: list[float], alike: list[float], up: list[float], down: list[float]
) -> list[int]:
    """The choice, 0 or 1 for every row, that is best on the whole: ``gain`` of each lift, and for each row and the
    one it follows what it is worth if both are chosen alike, only this, or only the other. ``follows`` makes a
    forest in order of rows; it is solved from the leaves to the roots."""
    rows = len(gain)
    stay, lift = [0.0] * rows, gain[:]
    for row in range(rows - 1, -1, -1):
        before = follows[row]
        if before >= 0:
            if_stay, if_lift, same = stay[row], lift[row], alike[row]
            one, other = if_stay + same, if_lift + up[row]
            stay[before] += one if one > other else other
            one, other = if_stay + down[row], if_lift + same
            lift[before] += one if one > other else other
    chosen = [0] * rows
    for row in range(rows):
        before = follows[row]
        if before < 0:
            chosen[row] = int(lift[row] > stay[row])
        elif chosen[before]:
            chosen[row] = int(lift[row] + alike[row] > stay[row] + down[row])
        else:
            chosen[row] = int(lift[row] + up[row] > stay[row] + alike[row])
    return chosen
