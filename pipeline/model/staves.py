"""Which staves an edition prints."""

from __future__ import annotations

from enum import Enum


class Staves(Enum):
    """What the edition prints of all that it knows; the singer's copy is the same with any of them."""

    ALL = "all"
    SOURCE = "source"  # what the source prints: tablature, voices, bass, chord letters
    NOTES = "notes"  # staff notation only: voices, the two staves, bass
    TABLATURE = "tablature"  # the tablature alone

    @property
    def tablature(self) -> bool:
        return self is not Staves.NOTES

    @property
    def pair(self) -> bool:
        """The two staves that show what sounds."""
        return self in (Staves.ALL, Staves.NOTES)

    @property
    def sung(self) -> bool:
        """Voices and bass."""
        return self is not Staves.TABLATURE
