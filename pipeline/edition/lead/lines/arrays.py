"""What the reading of lines takes and gives: plain arrays, one place per stop, free of any record."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
import numpy.typing as npt

Ints = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float32]
Flags = npt.NDArray[np.bool_]

#: No pin on this stop.
FREE = -99
#: Not struck again.
NEVER = 1 << 60
#: Stops of a chord at least.
CHORD = 3
NO_BASS: Mapping[int, int] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class StopArrays:
    """A tablature, one row per stop, sorted by onset and within one event from the last course to the first.

    ``onset`` in ticks from the start of the piece (struck or slurred alike), ``pitch`` what sounds, in semitones,
    ``course`` from 1, ``fret``. ``re_entrant`` is true for stops on a course tuned down an octave, ``diapason`` for
    open strings off the fingerboard. ``next_strike`` is the tick at which the course sounds anew (NEVER if
    not), ``phase`` the ticks since the bar began, ``key`` the signature on the line of fifths. ``strummed`` is true for
    the stops of a chord that is marked to be struck with the hand, ``basso`` for those that a typed bass has too,
    ``ditto`` for those of a bar that is typed as the same as an earlier one; ``bar`` is the bar's number from 0.
    Pins, FREE where the editor left it open: ``voice`` (1 = highest), ``octave`` (1, 0, -1), ``length`` (ticks).
    """

    onset: Ints
    pitch: Ints
    course: Ints
    fret: Ints
    re_entrant: Flags
    diapason: Flags
    next_strike: Ints
    phase: Ints
    key: int
    pin_voice: Ints
    pin_octave: Ints
    pin_length: Ints
    strummed: Flags
    basso: Flags
    ditto: Flags
    bar: Ints

    def __len__(self) -> int:
        return len(self.onset)


def stop_arrays(
    onset: Ints,
    pitch: Ints,
    course: Ints,
    fret: Ints,
    *,
    re_entrant: tuple[int, ...],
    stopped: int,
    bars: Ints,
    key: int,
    strums: tuple[int, ...] = (),
    bass: Mapping[int, int] = NO_BASS,
) -> StopArrays:
    """Arrays without pins; ``re_entrant`` names courses, ``bars`` the ticks at which bars begin (sorted), ``strums``
    those at which a chord is struck with the hand; ``bass`` the pitches of a typed bass by the ticks at which they
    begin."""
    rows = len(onset)
    free = np.full(rows, FREE, dtype=np.int64)
    starts = bars if len(bars) else np.zeros(1, dtype=np.int64)
    place = np.clip(np.searchsorted(starts, onset, "right") - 1, 0, None)
    return StopArrays(
        onset,
        pitch,
        course,
        fret,
        np.isin(course, np.array(re_entrant, dtype=np.int64)),
        course > stopped,
        next_strikes(onset, course),
        onset - starts[place],
        key,
        free,
        free,
        free,
        np.isin(onset, np.array(strums, dtype=np.int64)),
        played_basso(onset, pitch, bass),
        np.zeros(rows, dtype=np.bool_),
        place,
    )


def played_basso(onset: Ints, pitch: Ints, bass: Mapping[int, int]) -> Flags:
    """The stop of each event that plays the note of a typed bass beginning there, in its octave or the next: of several
    the nearest, on the lowest course. A bass by its onsets, in ticks, as MIDI pitches."""
    found = np.zeros(len(onset), dtype=np.bool_)
    for moment, typed in bass.items():
        first, end = np.searchsorted(onset, (moment, moment + 1)).tolist()
        same = [row for row in range(first, end) if abs(int(pitch[row]) - typed) in (0, 12)]
        if same:
            found[min(same, key=lambda row: (abs(int(pitch[row]) - typed), row))] = True
    return found


def next_strikes(onset: Ints, course: Ints) -> Ints:
    """For each stop the tick at which its course sounds anew; NEVER if it does not."""
    order = np.lexsort((onset, course))
    following = np.full(len(onset), NEVER, dtype=np.int64)
    same = course[order[1:]] == course[order[:-1]]
    following[order[:-1]] = np.where(same, onset[order[1:]], NEVER)
    return following


@dataclass(frozen=True, slots=True)
class LineArrays:
    """The reading, one row per stop.

    ``voice`` from 1, the highest line; ``follows`` the row of the note before in the same voice, or -1.
    ``length`` in ticks. ``octave`` is +1 where the line is meant an octave above the sound (or as pinned), else 0;
    ``chance`` the probability that it is meant so; ``asked`` marks rows too doubtful to decide, left at 0.
    ``link`` is the probability of ``follows`` (0 where -1). ``voices`` is how many lines there are, ``habit`` how the
    arranger wrote (``literal``, ``lute``, ``mixed``, or ``none`` on an instrument without re-entrant courses), and
    ``evidence`` the figures that tell it.
    """

    voice: Ints
    follows: Ints
    length: Ints
    octave: Ints
    chance: Floats
    asked: Flags
    link: Floats
    voices: int
    habit: str
    evidence: dict[str, float]
