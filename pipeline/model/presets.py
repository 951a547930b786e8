"""Instruments that a heading can name instead of listing their courses.

Presets are defaults only: basses 9–14 of every instrument are weakly documented, and every file can declare its
own tuning. Each preset carries the tag and source of its tuning (PS published source, PS-inf society page, tutor
or scholarly list read second-hand, CP common practice without a source, calc computed from cited data).
"""

from __future__ import annotations

from dataclasses import dataclass

from pipeline.model.instrument import Course, Instrument
from pipeline.model.pitch import SpelledPitch


@dataclass(frozen=True, slots=True)
class Preset:
    """``name`` as an editor types it; ``aliases`` are read too; ``source`` says where the tuning is from."""

    name: str
    aliases: tuple[str, ...]
    instrument: Instrument
    source: str


_ALTERS = {"#": 1, "b": -1, "n": 0}


def _pitch(name: str) -> SpelledPitch:
    """``Eb2``: letter, accidental if any, octave."""
    return SpelledPitch(name[0], sum(_ALTERS[sign] for sign in name[1:-1]), int(name[-1]))


def _preset(name: str, aliases: tuple[str, ...], tuning: str, source: str) -> Preset:
    """A preset of single-pitched courses, from course 1 on."""
    courses = tuple(Course(number, (_pitch(pitch),)) for number, pitch in enumerate(tuning.split(), start=1))
    return Preset(name, aliases, Instrument(name, courses), source)


_SPENCER = 'R. Spencer, "Chitarrone, Theorbo and Archlute", Early Music 4/4 (1976) 407-423'
_LUTE = "G4 D4 A3 F3 C3 G2"
_LUTE_SOURCE = "PS-inf; CP"
_D_MINOR = "F4 D4 A3 F3 D3 A2 G2 F2 E2 D2 C2"
_GUIDELINES = "PS: MEI Guidelines, tablature chapter"

PRESETS: tuple[Preset, ...] = (
    _preset(
        "theorbo in A",
        ("chitarrone in A", "tiorba in A"),
        "A3 E3 B3 G3 D3 A2 G2 F2 E2 D2 C2 B1 A1 G1",
        f"PS: {_SPENCER}; course list CP",
    ),
    _preset(
        "theorbo in G",
        ("chitarrone in G", "tiorba in G"),
        "G3 D3 A3 F3 C3 G2 F2 Eb2 D2 C2 Bb1 A1 G1 F1",
        "CP",
    ),
    # The source gives the first six courses and "diatonic basses": these are those of the theorbo in G.
    _preset(
        "theorbo in G, first course re-entrant",
        ("english theorbo in G",),
        "G3 D4 A3 F3 C3 G2 F2 Eb2 D2 C2 Bb1 A1 G1 F1",
        "PS-inf, after Mace 1676",
    ),
    _preset(
        "théorbe de pièces in D",
        ("theorbe de pieces in D", "lesser french theorbo in D"),
        "D4 A3 E4 C4 G3 D3 C3 B2 A2 G2 F2 E2 D2 C2",
        "PS-inf",
    ),
    _preset(
        "tiorbino in A",
        (),
        "A4 E4 B4 G4 D4 A3 G3 F3 E3 D3 C3 B2 A2 G2",
        f"octave: {_SPENCER}; course list calc",
    ),
    _preset(
        "archlute in G",
        ("liuto attiorbato in G", "arciliuto in G"),
        "G4 D4 A3 F3 C3 G2 F2 Eb2 D2 C2 Bb1 A1 G1 F1",
        "PS-inf",
    ),
    _preset("lute in G, 6 courses", (), _LUTE, _LUTE_SOURCE),
    _preset("lute in G, 7 courses", (), f"{_LUTE} F2", _LUTE_SOURCE),
    _preset("lute in G, 7 courses, low D", ("lute in G, 7 courses, seventh in D",), f"{_LUTE} D2", _LUTE_SOURCE),
    _preset("lute in G, 8 courses", (), f"{_LUTE} F2 D2", _LUTE_SOURCE),
    _preset("lute in G, 10 courses", (), f"{_LUTE} F2 Eb2 D2 C2", _LUTE_SOURCE),
    _preset("lute in D minor, 11 courses", (), _D_MINOR, _GUIDELINES),
    _preset("lute in D minor, 13 courses", (), f"{_D_MINOR} B1 A1", _GUIDELINES),
)

#: What a piece is read as that declares no instrument that can be found.
FALLBACK = PRESETS[0]

_BY_NAME = {name.casefold(): preset for preset in PRESETS for name in (preset.name, *preset.aliases)}


def find_preset(name: str) -> Preset | None:
    """The preset of this name or alias, capitals or not."""
    return _BY_NAME.get(name.casefold())
