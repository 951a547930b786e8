"""Words of MusicXML for the edition's values and signs."""

from __future__ import annotations

from pipeline.model.glyphs import FRET_LETTERS

#: Value unit → ``type``.
TYPES = {
    0: "breve", 1: "whole", 2: "half", 4: "quarter", 8: "eighth", 16: "16th", 32: "32nd", 64: "64th",
    128: "128th", 256: "256th", 512: "512th", 1024: "1024th",
}  # fmt: skip

#: Accidental as drawn → ``accidental``.
ACCIDENTALS = {"s": "sharp", "f": "flat", "n": "natural", "x": "double-sharp", "ff": "flat-flat"}

#: Meaning of an ornament as declared → its element; other meanings are written as ``other-ornament``.
ORNAMENTS = {
    "trill": "trill-mark",
    "tremblement": "trill-mark",
    "turn": "turn",
    "inverted turn": "inverted-turn",
    "mordent": "mordent",
    "inverted mordent": "inverted-mordent",
    "slide": "schleifer",
}

#: Hooks of a printed rhythm sign → SMuFL glyph name; -2 is the double whole sign, 0 the hookless stem.
LUTE_DURATIONS = {
    -2: "luteDurationDoubleWhole", -1: "luteDurationDoubleWhole", 0: "luteDurationWhole", 1: "luteDurationHalf",
    2: "luteDurationQuarter", 3: "luteDuration8th", 4: "luteDuration16th", 5: "luteDuration32nd",
}  # fmt: skip

#: Letters of the frets from 0, as French tablature counts them: without j.
LETTERS = FRET_LETTERS + "opqrstu"


def flags(unit: int) -> int:
    """How many beams or flags a value has: 0 for a crotchet and longer."""
    return max(0, unit.bit_length() - 3)
