"""What a singer's copy is to hold: how full its accompaniment is, and what is said of it on its first page."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum


class Fullness(Enum):
    """How much of the texture the reduction keeps."""

    SKETCH = "sketch"  # the bass and the upper line alone
    PLAYABLE = "playable"  # at most three parts a hand, each hand within a tenth
    FULL = "full"  # every sound, also where no two hands reach it


@dataclass(frozen=True, slots=True)
class Copy:
    """A plan for one copy. ``moved`` says in words how it was transposed, empty if it was not."""

    fullness: Fullness = Fullness.PLAYABLE
    moved: str = ""
    #: Names of the chords stand above the accompaniment.
    chord_names: bool = False
    #: Chord letters of the source are left out, since they may name shapes of its key.
    letters_left_out: bool = False
