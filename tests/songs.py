"""Songs for tests: from typed lines to the score of a singer's copy."""

from __future__ import annotations

from pipeline.edition.lead import lead
from pipeline.edition.notate import notate, notate_copy
from pipeline.edition.reduce import reduce
from pipeline.edition.spell import spell
from pipeline.model.copy import Copy, Fullness
from pipeline.model.score import Score
from pipeline.model.song import Song
from pipeline.model.voiced import VoicedPiece
from pipeline.source.sing import sing
from tests.made import resolved

HEADING = """\
longneck 1
title Trial
composer Anonymous
source A = Trial book
instrument theorbo in A
metre C
layer v = Canto, clef C1
layer v2 = Tenore, clef C4, 1 flat
layer b = Basso, clef F4
"""


def song(music: str, heading: str = HEADING) -> tuple[VoicedPiece, Song]:
    """The voiced piece and its song. Faults are allowed: what cannot be read must be written too."""
    sounding, _ = resolved(music, heading)
    return spell(lead(sounding)), sing(sounding).value


def edited(music: str, heading: str = HEADING) -> Score:
    """The score of the edition."""
    return notate(*song(music, heading))


def copied(music: str, heading: str = HEADING, fullness: Fullness = Fullness.PLAYABLE) -> Score:
    """The score of the singer's copy."""
    voiced, sung = song(music, heading)
    return notate_copy(reduce(voiced, fullness), sung, Copy(fullness))
