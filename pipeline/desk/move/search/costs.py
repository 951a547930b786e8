"""What a fingering costs. Few rules, each argued; the figures are learned.

- ``fret``: a stopped note, for each fret from the nut. Open strings ring, low positions are where tablature lives.
- ``shift``: for each fret that the hand moves. The hand covers four frets; it moves no further than it must.
- ``span``: for each fret beyond four that a chord spreads over.
- ``crossed``: two notes of a chord whose courses stand the other way round than in the source: thumb and fingers
  would change places.
- ``bass_up``: a bass on a course above another note of its chord: the thumb plays the lowest course.
- ``stopped_bass``: an open bass string that must be stopped: it no longer rings by itself.
- ``rejoined``: a note that goes on on the course of the one before where the source changes course, or the other way
  round. So the right hand keeps its pattern, and bells stay on different courses. ``in_chord`` is what this counts for
  in a chord, which is struck as a whole.
- ``cut``: a note that should ring on, but its course is struck again or its finger has to leave.
- ``octave``: for each octave that a note is moved. ``low_octave``: the same, one down on a course tuned down, which is
  what players of such instruments did with high lines (common practice).
- ``gap``: a course left out within a block of a strum.
- ``spread``: a spread chord that no longer ends with its highest note.

Beyond these stand walls, not learned, which are passed only where nothing else is left: what no hand can reach, a
broken slur or hold, bells on one course, a fret beyond the tied ones, a note left out.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Costs:
    """The figures, in units of about one fret's shift of the hand."""

    fret: float = 0.12
    shift: float = 0.25
    span: float = 1.0
    crossed: float = 0.5
    bass_up: float = 4.0
    stopped_bass: float = 1.0
    rejoined: float = 1.0
    in_chord: float = 0.3
    cut: float = 0.7
    octave: float = 8.0
    low_octave: float = 6.0
    gap: float = 1.0
    spread: float = 4.0


COSTS = Costs()

#: Walls.
BEYOND_TIED = 40.0
UNREACHABLE = 60.0
SLUR_BROKEN = 30.0
HOLD_BROKEN = 15.0
BELL_BROKEN = 8.0
LEFT_OUT = 45.0
#: One of two notes of a chord in the same octave on two courses: least missed.
DOUBLED_LEFT_OUT = 20.0
#: A place that the player wants is taken, whatever hand could reach it.
NOT_KEPT = 1000.0
