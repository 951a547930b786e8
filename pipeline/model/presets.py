"""Instruments that a heading can name instead of listing their courses.

Presets are defaults only: basses 9–14 of every instrument are weakly documented, and every file can declare its
own tuning. Each preset carries the tag and source of its tuning (PS published source, PS-inf society page, tutor
or scholarly list read second-hand, CP common practice without a source, calc computed from cited data).
"""

from __future__ import annotations

from collections.abc import Iterator
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


def _preset(
    name: str, aliases: tuple[str, ...], tuning: str, source: str, *, stopped: int = 6, fretted: int = 0
) -> Preset:
    """A preset from course 1 on; the strings of a course are joined by ``+``, the one that names it first."""
    courses = tuple(
        Course(number, tuple(_pitch(pitch) for pitch in strings.split("+")))
        for number, strings in enumerate(tuning.split(), start=1)
    )
    return Preset(name, aliases, Instrument(name, courses, stopped, fretted=fretted), source)


def _lutes() -> Iterator[Preset]:
    """Lutes in G with 6 to 10 courses, and those a tone higher and a third lower. All their courses lie over the
    fingerboard (common practice, no source)."""
    for key, (stopped, basses) in _LUTES.items():
        for count, extra in basses.items():
            source = (
                (_LUTE_SOURCE if count != 9 else "CP") if key == "G" else f"calc: the lute in G moved; {_LUTE_SOURCE}"
            )
            yield _preset(f"lute in {key}, {count} courses", (), f"{stopped} {extra}", source, fretted=count)
            if count == 7:
                low = f"lute in {key}, 7 courses, low {_LOW_SEVENTH[key][0]}"
                alias = f"lute in {key}, 7 courses, seventh in {_LOW_SEVENTH[key][0]}"
                yield _preset(low, (alias,), f"{stopped} {_LOW_SEVENTH[key]}", source, fretted=count)


_SPENCER = 'R. Spencer, "Chitarrone, Theorbo and Archlute", Early Music 4/4 (1976) 407-423'
_LUTE_SOURCE = "PS-inf; CP"
#: By name: the six upper courses, and the basses of instruments with so many courses.
_LUTES = {
    "G": (
        "G4 D4 A3 F3 C3 G2",
        {6: "", 7: "F2", 8: "F2 D2", 9: "F2 D2 C2", 10: "F2 Eb2 D2 C2"},
    ),
    "A": (
        "A4 E4 B3 G3 D3 A2",
        {6: "", 7: "G2", 8: "G2 E2", 9: "G2 E2 D2", 10: "G2 F2 E2 D2"},
    ),
    "E": (
        "E4 B3 F#3 D3 A2 E2",
        {6: "", 7: "D2", 8: "D2 B1", 9: "D2 B1 A1", 10: "D2 C2 B1 A1"},
    ),
}
_LOW_SEVENTH = {"G": "D2", "A": "E2", "E": "B1"}
#: On lutes in D minor the seventh and eighth course often lie over the fingerboard too (from memory, no source).
_D_MINOR_FRETTED = 8
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
    *_lutes(),
    _preset("lute in D minor, 11 courses", (), _D_MINOR, _GUIDELINES, fretted=_D_MINOR_FRETTED),
    _preset(
        "lute in D minor, 12 courses", (), f"{_D_MINOR} B1", f"{_GUIDELINES}, less a course", fretted=_D_MINOR_FRETTED
    ),
    _preset("lute in D minor, 13 courses", (), f"{_D_MINOR} B1 A1", _GUIDELINES, fretted=_D_MINOR_FRETTED),
    _preset("mandora in E, 6 courses", (), "E4 B3 G3 D3 A2 E2", "CP, no source", fretted=6),
    _preset("mandora in D, 6 courses", (), "D4 A3 F3 C3 G2 D2", "CP, no source", fretted=6),
    _preset("baroque guitar, no bourdons", (), "E4 B3 G3 D4 A3", "CP", stopped=5),
    _preset("baroque guitar, bourdon on 4", (), "E4 B3 G3 D3+D4 A3", "CP", stopped=5),
    _preset("baroque guitar, bourdons on 4 and 5", (), "E4 B3 G3 D3+D4 A2+A3", "CP", stopped=5),
)

#: What a piece is read as that names no instrument at all.
FALLBACK = PRESETS[0]

_BY_NAME = {name.casefold(): preset for preset in PRESETS for name in (preset.name, *preset.aliases)}


def find_preset(name: str) -> Preset | None:
    """The preset of this name or alias, capitals or not."""
    return _BY_NAME.get(name.casefold())
