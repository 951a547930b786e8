"""Intervals, and which of them suits a voice: ``M2``, ``-m3``, ``P8``."""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence
from dataclasses import dataclass

from pipeline.model.pitch import SEMITONES, STEPS, SpelledPitch

_INTERVAL = re.compile(r"(-?)(P|M|m|A|d)([1-9][0-9]?)")
_PITCH = re.compile(r"([A-G])(#{0,2}|b{0,2})(-?[0-9])")
_KINDS = {"P": "perfect", "M": "major", "m": "minor", "A": "augmented", "d": "diminished"}
_ORDINALS = (
    "", "unison", "second", "third", "fourth", "fifth", "sixth", "seventh", "octave", "ninth", "tenth", "eleventh",
    "twelfth", "thirteenth", "fourteenth", "fifteenth",
)  # fmt: skip
#: Steps, within the octave, of the intervals that are perfect and not major or minor: unison, fourth, fifth.
_PERFECT = frozenset({0, 3, 4})
_WIDEST = 14
#: A voice whose middle lies within a semitone of the middle asked for counts as centred.
_CENTRED = 2
_EXAMPLES = "as in M2, -m3, A4 (P M m A d: perfect, major, minor, augmented, diminished; - is downwards)"


@dataclass(frozen=True, slots=True)
class Refused:
    """Why an interval or a range cannot be used, and what would be right."""

    message: str
    hint: str = ""


@dataclass(frozen=True, slots=True)
class Interval:
    """A distance in staff places and in semitones, both signed: M2 = (1, 2), -m3 = (-2, -3)."""

    steps: int
    semitones: int

    @property
    def fifths(self) -> int:
        """How far it moves names and signatures on the line of fifths: M2 = 2, m2 = -5."""
        return 7 * self.semitones - 12 * self.steps

    @property
    def name(self) -> str:
        """As typed: ``-m3``."""
        kind, size = self._kind
        return f"{'-' if self._downwards else ''}{kind}{size}"

    @property
    def words(self) -> str:
        """As printed: ``a minor third down``, ``an octave up``; ``at pitch`` for no change."""
        if not self.steps and not self.semitones:
            return "at pitch"
        kind, size = self._kind
        what = f"{_KINDS[kind[0]]} {_ORDINALS[size]}" if (kind, size) != ("P", 8) else "octave"
        twice = "doubly " if len(kind) > 1 else ""
        named = f"{twice}{what}"
        return f"{_article(named)} {named} {'down' if self._downwards else 'up'}"

    @property
    def _downwards(self) -> bool:
        return (self.steps, self.semitones) < (0, 0)

    @property
    def _kind(self) -> tuple[str, int]:
        """``m``, 3. More than once augmented or diminished: ``AA``, ``dd``."""
        sign = -1 if self._downwards else 1
        steps, semitones = sign * self.steps, sign * self.semitones
        wider = semitones - _plain(steps)
        if steps % 7 in _PERFECT:
            return ("P" if not wider else "A" * wider or "d" * -wider), steps + 1
        return {0: "M", -1: "m"}.get(wider) or "A" * wider or "d" * (-1 - wider), steps + 1

    def of(self, pitch: SpelledPitch) -> SpelledPitch:
        """The pitch this far from another; letter and accidental follow, nothing is respelled."""
        octave, step = divmod(pitch.diatonic + self.steps, 7)
        letter = STEPS[step]
        natural = 12 * (octave + 1) + SEMITONES[letter]
        return SpelledPitch(letter, pitch.semitones + self.semitones - natural, octave)

    def twin(self, places: int) -> Interval:
        """The same number of semitones, spelled ``places`` letters wider."""
        return Interval(self.steps + places, self.semitones)


UNISON = Interval(0, 0)


def parse_interval(text: str) -> Interval | Refused:
    """An interval as typed, up to a fifteenth.

    interval = ["-"] ("P" | "M" | "m" | "A" | "d") number ;
    """
    match = _INTERVAL.fullmatch(text)
    if match is None:
        return Refused(f"Expected an interval, not “{text}”", _EXAMPLES)
    kind, steps = match[2], int(match[3]) - 1
    if steps > _WIDEST:
        return Refused(f"The interval {text} is wider than a fifteenth", _EXAMPLES)
    perfect = steps % 7 in _PERFECT
    if kind in ("M", "m") if perfect else kind == "P":
        which = "perfect, augmented or diminished" if perfect else "major, minor, augmented or diminished"
        ordinal = _ORDINALS[steps + 1]
        return Refused(f"There is no {_KINDS[kind]} {ordinal}", f"{_article(ordinal)} {ordinal} is {which}")
    wider = {"P": 0, "M": 0, "m": -1, "A": 1, "d": -1 if perfect else -2}[kind]
    if not steps and wider < 0:
        return Refused("There is no diminished unison", "for downwards put a minus sign in front: -A1")
    sign = -1 if match[1] else 1
    return Interval(sign * steps, sign * (_plain(steps) + wider))


def parse_range(text: str) -> tuple[SpelledPitch, SpelledPitch] | Refused:
    """A voice's lowest and highest pitch, ``C4:G5``.

    range = pitch ":" pitch ;   pitch = letter ["#" | "##" | "b" | "bb"] octave
    """
    found = [_PITCH.fullmatch(part) for part in text.split(":")]
    if len(found) != 2 or found[0] is None or found[1] is None:
        return Refused(f"Expected the range of a voice, not “{text}”", "as in C4:G5 (C4 is middle C; F#, Bb)")
    low, high = (SpelledPitch(part[1], part[2].count("#") - part[2].count("b"), int(part[3])) for part in found if part)
    if low.semitones > high.semitones:
        return Refused(f"The range {text} ends below its beginning", f"the lowest pitch first: {high}:{low}")
    return low, high


#: The lowest and the highest pitch of a voice.
Range = tuple[SpelledPitch, SpelledPitch]


def parse_ranges(text: str) -> tuple[Range, ...] | Refused:
    """One range, or one for each voice from the highest down, ``C4:G5,C3:E4``.

    ranges = range {"," range} ;
    """
    found = [parse_range(part.strip()) for part in text.split(",")]
    refused = next((each for each in found if isinstance(each, Refused)), None)
    return refused or tuple(each for each in found if not isinstance(each, Refused))


def fitted(asked: Interval, signatures: Collection[int]) -> Interval:
    """The asked interval, or its twin of the same size in semitones that needs fewer accidentals.

    ``signatures`` are all key signatures of the piece in fifths; the one with most accidentals after the move
    decides. At a draw (six sharps or six flats) the asked one stays. So a signature never has more than six, unless
    the piece changes between far keys: E major an augmented unison up becomes F major, by a minor second.
    """

    def most(interval: Interval) -> int:
        return max((abs(fifths + interval.fifths) for fifths in signatures), default=0)

    twins = sorted((asked.twin(places) for places in range(-2, 3)), key=lambda twin: (most(twin), twin != asked))
    return twins[0]


def best_transposition(
    lowest: SpelledPitch, highest: SpelledPitch, range_low: SpelledPitch, range_high: SpelledPitch, fifths: int
) -> Interval | Refused:
    """The interval that brings a part from ``lowest`` to ``highest`` into the range of a voice, as
    :func:`best_for_voices` chooses it."""
    return best_for_voices([((lowest, highest), (range_low, range_high))], fifths)


def best_for_voices(parts: Sequence[tuple[Range, Range]], fifths: int) -> Interval | Refused:
    """The interval that brings every part, with its compass, into the range beside it; at least one.

    Of all that fit, the best is centred to within a semitone, or as near as may be, the worst voice deciding; of those
    the one with fewest accidentals in the key (``fifths`` is the signature now); of those the smallest; of two as small
    the upward one.
    """
    moves = [(into[0].semitones - has[0].semitones, into[1].semitones - has[1].semitones) for has, into in parts]
    alone = next((_too_narrow(*part) for part, (least, most) in zip(parts, moves, strict=True) if least > most), None)
    if alone is not None:
        return alone
    least, most = max(least for least, _ in moves), min(most for _, most in moves)
    if least > most:
        asked = ", ".join(f"{has[0]} to {has[1]} into {into[0]}:{into[1]}" for has, into in parts)
        return Refused(f"No one transposition brings all voices into their ranges ({asked})", "ask for wider ranges")

    def merit(semitones: int) -> tuple[int, int, int, int]:
        key = fifths + plainest(semitones, fifths).fifths
        off = max(abs(2 * semitones - low - high) for low, high in moves)
        return max(_CENTRED, off), abs(key), abs(semitones), -semitones

    return plainest(min(range(least, most + 1), key=merit), fifths)


def _too_narrow(has: Range, into: Range) -> Refused:
    (lowest, highest), (range_low, range_high) = has, into
    needs, has_room = highest.semitones - lowest.semitones, range_high.semitones - range_low.semitones
    return Refused(
        f"The part spans {needs} semitones ({lowest} to {highest}), the range {range_low}:{range_high} only {has_room}",
        "no transposition can fit; ask for a wider range",
    )


def plainest(semitones: int, fifths: int = 0) -> Interval:
    """The spelling of a distance that leaves fewest accidentals in the key, the commoner interval at a draw."""
    move = 7 * semitones % 12
    moves = (move - 24, move - 12, move, move + 12)
    best = min(moves, key=lambda move: (abs(fifths + move), abs(move)))
    return Interval((7 * semitones - best) // 12, semitones)


def _plain(steps: int) -> int:
    """Semitones of the perfect or major interval over so many steps."""
    octaves, step = divmod(steps, 7)
    return 12 * octaves + SEMITONES[STEPS[step]]


def _article(ordinal: str) -> str:
    return "an" if ordinal[0] in "aeo" else "a"
