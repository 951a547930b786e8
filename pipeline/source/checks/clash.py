"""A diapason that clashes with the notes above it: probably a bass scale that the heading does not declare.

Diapasons are open strings tuned in a scale to suit the key (common practice, no source; PS-inf). Rule: while a
diapason rings (until the next stroke on a bass course or the end of its bar) the altered form of its letter sounds
above it, at least once in its own chord or twice in the bar, and the bar never stops the diapason's own note. Altered
forms are those of the usual accidentals: F, C and G sharp, B and E flat, and the natural of a diapason declared sharp
or flat. An E flat or B flat between the root and fifth of a major chord is none: there it is the leading note D sharp
or A sharp.
A natural against G flat or A flat is none: that pitch is the leading note F sharp or G sharp (common practice).
Nor is a pitch that the declared key has under another letter: in C sharp minor the note above an open E is D sharp.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from pipeline.findings.codes.hand import DIAPASON_CLASH
from pipeline.model.diagnostics import Diagnostic, Related
from pipeline.model.heading import Key
from pipeline.model.pitch import SEMITONES, STEPS, SpelledPitch, in_signature
from pipeline.model.sounding import SoundingBar, SoundingEvent, SoundingPiece, SoundingStop

#: Usual alteration of a natural diapason, by its letter.
_USUAL = {"F": 1, "C": 1, "G": 1, "B": -1, "E": -1}
#: Struck notes that make a clash when none of them stands in the diapason's own chord.
SEVERAL = 2


@dataclass(frozen=True, slots=True)
class _Clash:
    bar: SoundingBar
    diapason: SoundingStop
    #: What the notes above suggest.
    meant: SpelledPitch


def check(piece: SoundingPiece) -> Iterator[Diagnostic]:
    """One finding for each diapason as tuned, at its first clash, with the other places beside it."""
    found: dict[tuple[int, SpelledPitch], list[_Clash]] = {}
    for bar in piece.bars:
        if bar.bar.ditto is None:
            for clash in _in_bar(bar):
                found.setdefault((clash.diapason.course, clash.diapason.open_string), []).append(clash)
    for clashes in found.values():
        yield _finding(piece, clashes)


def _in_bar(bar: SoundingBar) -> Iterator[_Clash]:
    stopped = bar.instrument.stopped
    if not any(stop.course > stopped for event in bar.events for stop in event.stops):
        return
    above = Counter(
        stop.pitch % 12 for event in bar.events for stop in event.stops if stop.course <= stopped and not stop.held
    )
    seen: set[int] = set()
    for place, event in enumerate(bar.events):
        for stop in event.stops:
            if stop.course <= stopped or stop.held or stop.course in seen:
                continue
            meant = altered(stop.open_string)
            if meant is None or above[stop.pitch % 12] or not above[meant.semitones % 12]:
                continue
            if _leading_note(meant, above) or _another_letter(meant, bar.key):
                continue
            own, ringing = _against(bar, place, meant.semitones % 12)
            if own or (ringing and above[meant.semitones % 12] >= SEVERAL):
                seen.add(stop.course)
                yield _Clash(bar, stop, meant)


def altered(diapason: SpelledPitch) -> SpelledPitch | None:
    """The other form of a diapason's letter that a piece might want, None if it has no usual one."""
    alter = 0 if diapason.alter else _USUAL.get(diapason.step)
    return None if alter is None else SpelledPitch(diapason.step, alter, diapason.octave)


def _leading_note(meant: SpelledPitch, above: Counter[int]) -> bool:
    """Whether a flat is rather the sharp third of a major chord whose root and fifth sound too."""
    third = meant.semitones
    return meant.alter < 0 and above[(third - 4) % 12] > 0 and above[(third + 3) % 12] > 0


def _another_letter(meant: SpelledPitch, key: Key | None) -> bool:
    """Whether the signature has a note of this pitch class with another letter, and none with this one."""
    if key is None:
        return False
    found = {step for step in STEPS if (SEMITONES[step] + in_signature(step, key.fifths) - meant.semitones) % 12 == 0}
    return bool(found) and meant.step not in found


def _against(bar: SoundingBar, place: int, pitch_class: int) -> tuple[int, int]:
    """How often a pitch class sounds above the diapason of an event: in its own chord, and while it rings."""
    own = _count(bar, bar.events[place], pitch_class)
    ringing = own
    for event in bar.events[place + 1 :]:
        if any(stop.course >= bar.instrument.stopped - 1 and not stop.held for stop in event.stops):
            break
        ringing += _count(bar, event, pitch_class)
    return own, ringing


def _count(bar: SoundingBar, event: SoundingEvent, pitch_class: int) -> int:
    return sum(stop.course <= bar.instrument.stopped and stop.pitch % 12 == pitch_class for stop in event.stops)


def _finding(piece: SoundingPiece, clashes: list[_Clash]) -> Diagnostic:
    first, *rest = clashes
    course, tuned, meant = first.diapason.course, first.diapason.open_string, first.meant
    bars = ", ".join(dict.fromkeys(clash.bar.label or "upbeat" for clash in clashes))
    many = "bars" if len(clashes) > 1 else "bar"
    if piece.heading.scale_declared:
        hint = f"Check these bars, or tune the course: diapasons {course} = {meant}, or a retune line."
    else:
        hint = f"No bass scale is declared. If the piece needs it, type in the heading: diapasons {course} = {meant}"
    return Diagnostic(
        DIAPASON_CLASH,
        first.diapason.stop.span,
        f"Diapason {course} is tuned to {tuned}, but the notes above it have {_letter(meant)} and never "
        f"{_letter(tuned)} ({many} {bars}).",
        hint,
        tuple(Related(clash.diapason.stop.span, f"the same in bar {clash.bar.label}") for clash in rest),
        first.bar.label,
    )


def _letter(pitch: SpelledPitch) -> str:
    return pitch.step + {0: " natural", 1: " sharp", -1: " flat"}.get(pitch.alter, "")
