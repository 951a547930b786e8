"""Simple readings to compare with. They take the number of voices from the truth, which the pipeline does not."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from tests.benchmarks.voices.arrange import Arranged

Ints = npt.NDArray[np.int64]


def nothing(piece: Arranged) -> Ints:
    """No octave restored."""
    return np.zeros(len(piece.onset), dtype=np.int64)


def rule(piece: Arranged) -> Ints:
    """Every note of the re-entrant courses an octave up."""
    found: Ints = (piece.course <= piece.neck.re_entrant).astype(np.int64)
    return found


def by_rank(piece: Arranged, octave: Ints) -> Ints:
    """Voices by order of pitch in each chord, from the top."""
    pitch = piece.sounding + 12 * octave
    order = np.lexsort((-pitch, piece.onset))
    voice = np.zeros(len(order), dtype=np.int64)
    first = np.searchsorted(piece.onset[order], piece.onset[order], "left")
    voice[order] = np.arange(len(order)) - first + 1
    return voice


def greedy(piece: Arranged, octave: Ints) -> Ints:
    """Each note, from the top, to the free voice whose last note is nearest."""
    pitch = (piece.sounding + 12 * octave).tolist()
    last: list[float] = []
    voice = np.zeros(len(pitch), dtype=np.int64)
    onsets = piece.onset.tolist()
    order = sorted(range(len(pitch)), key=lambda row: (onsets[row], -pitch[row]))
    taken: set[int] = set()
    now = -1
    for row in order:
        if onsets[row] != now:
            now, taken = onsets[row], set()
        free = [line for line in range(len(last)) if line not in taken]
        best = min(free, key=lambda line: abs(last[line] - pitch[row]), default=None)
        if best is None or (len(last) < piece.parts and abs(last[best] - pitch[row]) > 7):
            best = len(last)
            last.append(0.0)
        last[best] = pitch[row]
        taken.add(best)
        voice[row] = best + 1
    return voice


def until_next(piece: Arranged, voice: Ints) -> Ints:
    """Each note until its voice or its course is struck again; the last of each half a whole note."""
    onset, course = piece.onset, piece.course
    end = np.full(len(onset), int(onset[-1]) + 23063040, dtype=np.int64)
    for line in (voice, course):
        order = np.lexsort((onset, line))
        same = (line[order[1:]] == line[order[:-1]]) & (onset[order[1:]] > onset[order[:-1]])
        end[order[:-1]] = np.where(same, np.minimum(end[order[:-1]], onset[order[1:]]), end[order[:-1]])
    return end - onset


def to_next_event(piece: Arranged) -> Ints:
    """Each note until anything else begins."""
    moments = np.unique(piece.onset)
    after = np.append(moments[1:], moments[-1] + 23063040)
    found: Ints = after[np.searchsorted(moments, piece.onset)] - piece.onset
    return found
