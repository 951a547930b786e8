"""What plain gut bears: a guide for warnings, never a pitch to tune to."""

from __future__ import annotations

import math

#: Frequency × string length at which plain gut breaks, whatever its thickness: 0.80 m breaks at about 310 Hz (PS-inf).
BREAKING_HZ_M = 248.0
#: Semitones below its breaking pitch from which a string counts as near it. Common practice, no source.
NEAR = 2.0


def breaking_hertz(centimetres: float) -> float:
    """Where plain gut of this length breaks."""
    return BREAKING_HZ_M * 100 / centimetres


def semitones_below_breaking(hertz: float, centimetres: float) -> float:
    """How far a pitch lies below the breaking pitch of its length; negative above it."""
    return 12 * math.log2(breaking_hertz(centimetres) / hertz)
