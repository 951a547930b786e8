"""Figures over one bass note at one moment: what is left unsaid, and what a player adds."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from pipeline.model.pitch import FIFTHS, STEPS, SpelledPitch, in_signature

_SIGNS = {-2: "bb", -1: "b", 0: "n", 1: "#", 2: "##"}
#: What a player takes with the figures in the first column (common practice, no source).
_WHOLE: tuple[tuple[frozenset[int], frozenset[int]], ...] = (
    (frozenset({4, 2}), frozenset({6, 4, 2})),
    (frozenset({2}), frozenset({6, 4, 2})),
    (frozenset({6, 4}), frozenset({8, 6, 4})),
    (frozenset({4, 3}), frozenset({6, 4, 3})),
    (frozenset({6, 5}), frozenset({6, 5, 3})),
    (frozenset({6}), frozenset({8, 6, 3})),
    (frozenset({9, 7}), frozenset({9, 7, 3})),
    (frozenset({9, 4}), frozenset({9, 5, 4})),
    (frozenset({9, 6}), frozenset({9, 6, 3})),
    (frozenset({9}), frozenset({9, 5, 3})),
    (frozenset({7, 4}), frozenset({7, 5, 4})),
    (frozenset({7, 6}), frozenset({7, 6, 3})),
    (frozenset({7}), frozenset({8, 7, 5, 3})),
    (frozenset({4}), frozenset({8, 5, 4})),
    (frozenset(), frozenset({8, 5, 3})),
)


def figure_for(
    bass: SpelledPitch, above: Sequence[SpelledPitch], fifths: int, *, bass_held: bool = False
) -> tuple[str, ...]:
    """The figures over ``bass`` for the notes ``above`` it (in any octave), from the top; empty for a plain triad.

    ``fifths`` is the signature: an accidental is written where a note differs from it, alone where it alters the
    third. ``bass_held`` says that a second is struck over a bass that was there before (2); otherwise it is a
    ninth. Left out, as usual: the octave; 3 and 5 of a triad; 3 and 8 with 6; 5 with 4; the 6 of 4/3 and 4/2; 3 and
    5 with 7 and 9. Over mi (a bass note whose fifth is diminished) no plain triad stands: the fifth is written if it is
    struck, with a 6 too if the bass is raised against the signature, a leading note; and 6 if neither is struck.
    """
    alters = dict(_number(bass, pitch) for pitch in above)
    numbers = frozenset(alters)
    second = bass_held or (4 in numbers and not numbers & {3, 5})
    wanted = {*_shown(numbers, second), *_leading(bass, alters, fifths), *_altered(bass, alters, fifths)}
    named = {number: 9 if number == 2 and not second else number for number in wanted}
    order = sorted(wanted, key=lambda number: -named[number])
    return tuple(_row(number, named[number], bass, alters, fifths) for number in order)


def meant(rows: Iterable[str]) -> frozenset[int]:
    """All intervals (2 … 9) that figures stand for: ``("6",)`` is 8, 6, 3; a lone accidental is a triad."""
    numbers = frozenset(int(digits) for row in rows if (digits := row.lstrip("#bn")))
    plain = numbers - {3, 5, 8} | (numbers & {3, 5} if numbers & {4, 6} else frozenset())
    for figures, whole in _WHOLE:
        if figures <= plain:
            return whole | plain
    return _WHOLE[-1][1]


def _number(bass: SpelledPitch, pitch: SpelledPitch) -> tuple[int, int]:
    """The interval above the bass within the octave (1 = unison or octave), and the alteration of its note."""
    return (pitch.diatonic - bass.diatonic) % 7 + 1, pitch.alter


def _shown(numbers: frozenset[int], second: bool) -> frozenset[int]:
    """Which numbers are written, whatever their accidentals; ``second`` says that a 2 is one, and no ninth."""
    fourth = 4 in numbers
    if 2 in numbers and second:
        return frozenset({4, 2}) if fourth or 6 in numbers else frozenset({2})
    shown = {number for number in numbers if number in (2, 7)}
    if 6 in numbers:
        if fourth and 3 in numbers:
            return frozenset(shown | {4, 3})
        shown |= {6} | (numbers & {5}) | (numbers & {4} if 3 not in numbers else set())
    elif fourth:
        shown.add(4)
    return frozenset(shown)


def _leading(bass: SpelledPitch, alters: dict[int, int], fifths: int) -> frozenset[int]:
    """What is written over a bass whose fifth is diminished (common practice, no source)."""
    fifth = (bass.diatonic + 4) % 7
    alter = alters.get(5, in_signature(STEPS[fifth], fifths))
    if FIFTHS[STEPS[fifth]] + 7 * alter != bass.fifths - 6:
        return frozenset()
    if 6 in alters or alters.keys() & {2, 4, 7}:
        return frozenset()
    if 5 not in alters:
        return frozenset({6})
    return frozenset({6, 5}) if bass.alter > in_signature(bass.step, fifths) else frozenset({5})


def _altered(bass: SpelledPitch, alters: dict[int, int], fifths: int) -> set[int]:
    return {number for number, alter in alters.items() if number > 1 and alter != _signed(bass, number, fifths)}


def _signed(bass: SpelledPitch, number: int, fifths: int) -> int:
    """What the signature makes of the note that far above the bass."""
    return in_signature(STEPS[(STEPS.index(bass.step) + number - 1) % 7], fifths)


def _row(number: int, named: int, bass: SpelledPitch, alters: dict[int, int], fifths: int) -> str:
    signed = _signed(bass, number, fifths)
    alter = alters.get(number, signed)
    sign = "" if alter == signed else _SIGNS.get(alter, "")
    return sign if number == 3 and sign else f"{sign}{named}"
