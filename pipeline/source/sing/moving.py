"""Voice and tablature at different nominal pitches: found by the chords under the notes, and mended in the voice.

A lute or theorbo was tuned to what the singers could sing, not to a fork, so a staff-notated line and the tablature
under it often agree only once one of them is transposed. The tablature says what fingers do: it never moves.
"""

from __future__ import annotations

from collections.abc import Sequence

from pipeline.findings.codes.song import VOICE_PITCH_DIFFERS
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.pitch import STEPS, SpelledPitch, from_fifths, in_signature
from pipeline.model.record import replace
from pipeline.model.sounding import SoundingBar
from pipeline.model.text import Span
from pipeline.model.time import WHOLE, Ticks
from pipeline.source.sing.drafts import Draft

#: A move is believed if at least so many notes stand over chords …
FEWEST_NOTES = 8
#: … if so much of their length fits the chords once moved …
FITS = 0.75
#: … so much more than unmoved, and so much more than under any other move (shares of the length).
BETTER_THAN_UNMOVED = 0.25
BETTER_THAN_NEXT = 0.1
#: Pitch classes that make a chord which can speak for or against a note: three, or two where there are too few.
_CHORDS = (3, 2)
_LONGEST: Ticks = WHOLE // 2
_SIGNS = {-1: "b", 0: "n", 1: "#"}
_ALTERS = {"b": -1, "n": 0, "#": 1}


def nominal_shift(bars: Sequence[SoundingBar], lines: Sequence[Sequence[Draft]]) -> int:
    """By how many semitones (-6 … 5) the lines must be moved to agree with the tablature; 0 if they agree or
    nothing can be said for sure.

    For each of twelve moves: how much of the notes that begin on a beat, over a chord, belongs to that chord.
    """
    scores = fits(bars, lines)
    if scores is None:
        return 0
    ranked = sorted(range(12), key=lambda shift: (-scores[shift], shift))
    best, following = ranked[0], ranked[1]
    if best == 0 or scores[best] < FITS:
        return 0
    if scores[best] - scores[0] < BETTER_THAN_UNMOVED or scores[best] - scores[following] < BETTER_THAN_NEXT:
        return 0
    return best if best < 6 else best - 12


def fits(bars: Sequence[SoundingBar], lines: Sequence[Sequence[Draft]]) -> list[float] | None:
    """For each move by 0 … 11 semitones, the share of the lines' length that belongs to the chords; None if there
    are too few notes over chords to tell."""
    notes = [draft for drafts in lines for draft in drafts if draft.pitch is not None and not draft.tied]
    struck = _struck(bars)
    over = [(draft, struck.get(draft.onset, frozenset())) for draft in notes]
    for fewest in _CHORDS:
        evidence = [(draft, tones) for draft, tones in over if len(tones) >= fewest]
        if len(evidence) >= FEWEST_NOTES:
            return _shares(evidence)
    return None


def _shares(evidence: Sequence[tuple[Draft, frozenset[int]]]) -> list[float]:
    held = [0] * 12
    for draft, tones in evidence:
        pitch = draft.pitch.semitones if draft.pitch is not None else 0
        for tone in tones:
            held[(tone - pitch) % 12] += min(draft.length, _LONGEST)
    whole = sum(min(draft.length, _LONGEST) for draft, _ in evidence)
    return [share / max(1, whole) for share in held]


def _struck(bars: Sequence[SoundingBar]) -> dict[Ticks, frozenset[int]]:
    """The pitch classes struck together on each beat; in unmeasured music, at each event."""
    found: dict[Ticks, frozenset[int]] = {}
    for bar in bars:
        beat = WHOLE // bar.metre.unit if bar.metre is not None and bar.metre.beats else 1
        for event in bar.events:
            if event.stops and not (event.onset - bar.onset) % beat:
                found[event.onset] = frozenset(stop.pitch % 12 for stop in event.stops)
    return found


def said(shift: int, names: Sequence[str], place: Span) -> Diagnostic:
    """The finding that lines are moved."""
    lines = f"Line {names[0]} is" if len(names) == 1 else f"Lines {', '.join(names)} are"
    way = "up" if shift > 0 else "down"
    many = f"{abs(shift)} semitone{'' if abs(shift) == 1 else 's'}"
    message = f"{lines} notated at a different pitch from the tablature, and moved {way} by {many} to agree with it."
    return Diagnostic(
        VOICE_PITCH_DIFFERS, place, message, "Declare an instrument at the voice's pitch if you have one."
    )


def moved(drafts: Sequence[Draft], fifths: int, shift: int, wanted: int | None) -> int:
    """Move a line in place; returns its new signature: ``wanted`` (the piece's own) if it can be, else the one with
    the fewest accidentals."""
    change = (7 * shift) % 12
    ways = (change - 12, change, change - 24, change + 12)
    if wanted is not None and wanted - fifths in ways:
        change = wanted - fifths
    else:
        change = min(ways, key=lambda way: (abs(fifths + way), -way))
    for draft in drafts:
        if draft.pitch is None:
            continue
        before = draft.pitch
        draft.pitch = from_fifths(before.fifths + change, before.semitones + shift)
        if draft.figures:
            draft.figures = tuple(
                replace(
                    figure, rows=tuple(_row(row, before, fifths, draft.pitch, fifths + change) for row in figure.rows)
                )
                for figure in draft.figures
            )
    return fifths + change


def _row(row: str, before: SpelledPitch, fifths: int, after: SpelledPitch, new_fifths: int) -> str:
    """A figure over the moved bass. Its accidental raises or lowers a note of the signature: by the same amount now,
    which may be another sign (a natural where a flat falls away becomes a sharp where none stood)."""
    sign = row[0] if row[0] in _ALTERS else ""
    if not sign:
        return row
    number = int(row[1:] or 3)
    by = _ALTERS[sign] - in_signature(_letter(before, number), fifths)
    alter = by + in_signature(_letter(after, number), new_fifths)
    return f"{_SIGNS.get(alter, sign)}{row[1:]}"


def _letter(bass: SpelledPitch, number: int) -> str:
    return STEPS[(STEPS.index(bass.step) + number - 1) % 7]
