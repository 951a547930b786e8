"""What a comparison says, whatever it is written on."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from pipeline.desk.compare.difference import Comparison, Difference, Group, Kind, Side, Verified
from pipeline.desk.compare.sound import Apart, SoundApart, Sounded
from pipeline.model.interval import UNISON

NOTHING = "nothing"
#: What the two are called where a bar stands in one of them only.
FIRST_AND_SECOND = ("the first", "the second")
KEPT_AND_BUILT = ("what is kept", "the new build")
HEADING = "Heading"
AFTER = "After the last bar"
#: Sounding pitches that nothing spells.
_PITCH_NAMES = ("C", "C#", "D", "Eb", "E", "F", "F#", "G", "G#", "A", "Bb", "B")
#: More bars than this are only counted.
_MOST_BARS = 12
#: Kinds that are told of the heading though no bar is theirs.
_OF_HEADING = frozenset((Kind.HEADING, Kind.TUNING, Kind.READING, Kind.DESCRIPTION, Kind.FINDING))
#: What a kind is called where it is counted, once and more often.
_COUNTED = {
    Kind.HEADING: ("declaration in the heading", "declarations in the heading"),
    Kind.FORM: ("line between bars", "lines between bars"),
    Kind.CARRIED: ("value in force", "values in force"),
    Kind.VARIANT: ("reading of another source", "readings of other sources"),
    Kind.WORDS: ("syllable", "syllables"),
    Kind.FIGURES: ("column of figures", "columns of figures"),
    Kind.UNREAD: ("unread word", "unread words"),
}


@dataclass(frozen=True, slots=True)
class Line:
    """One difference, or several that are alike: where they are, what stands on either side, and what that means."""

    kind: Kind
    where: str
    one: str
    two: str
    means: str = ""


@dataclass(frozen=True, slots=True)
class Place:
    """All that differs at one bar, or outside of the bars. ``one`` and ``two`` are lines of the texts, 0 for none;
    ``bar_one`` and ``bar_two`` count bars as typed, from 1, 0 for none."""

    name: str
    one: int
    two: int
    lines: tuple[Line, ...]
    bar_one: int = 0
    bar_two: int = 0


def counted_kinds(differences: Iterable[Difference]) -> str:
    """``1 slur, 2 stops``; empty for none. What is beside the music is not counted."""
    counts = Counter(found.kind for found in differences if found.kind.group is not Group.BESIDE)
    return ", ".join(_counted(counts[kind], kind) for kind in Kind if counts[kind])


def _counted(number: int, kind: Kind) -> str:
    once, often = _COUNTED.get(kind, (kind.value, f"{kind.value}s"))
    return f"{number} {once if number == 1 else often}"


def counts(differences: Sequence[Difference]) -> int:
    """How many are counted: all but those beside the music."""
    return sum(found.kind.group is not Group.BESIDE for found in differences)


def places(comparison: Comparison, sides: tuple[str, str], *, beside: bool) -> Iterator[Place]:
    """The differences by bars, in their order; those ``beside`` the music, or those in it. ``sides`` is what the two
    are called where a bar stands in one of them only."""
    told = (found for found in comparison.differences if beside is (found.kind.group is Group.BESIDE))
    for (name, one, two), group in groupby(told, lambda found: _bar(found, sides)):
        found = list(group)
        lines = _first_line(each.one for each in found), _first_line(each.two for each in found)
        yield Place(name, *lines, _lines(found), one + 1, two + 1)


def _bar(found: Difference, sides: tuple[str, str]) -> tuple[str, int, int]:
    one, two = found.one, found.two
    if one.index < 0 and two.index < 0:
        return (HEADING if found.kind in _OF_HEADING else AFTER), -1, -1
    if one.index < 0 or two.index < 0:
        only = sides[0] if two.index < 0 else sides[1]
        return f"{one.bar or two.bar}, only in {only}", one.index, two.index
    if one.bar == two.bar:
        return one.bar, one.index, two.index
    return f"{one.bar}, there {two.bar}", one.index, two.index


def _first_line(sides: Iterable[Side]) -> int:
    return min((side.span.line for side in sides if side.index >= 0 and side.span is not None), default=0)


def _lines(differences: Sequence[Difference]) -> tuple[Line, ...]:
    """One line for each; differences of one kind that read alike share a line."""
    alike: dict[tuple[object, ...], list[Difference]] = {}
    for found in differences:
        key = (
            found.kind,
            found.one.text,
            found.two.text,
            found.one.heard,
            found.two.heard,
            found.one.bars,
            found.two.bars,
        )
        alike.setdefault(key, []).append(found)
    return tuple(_line(same) for same in alike.values())


def _line(same: Sequence[Difference]) -> Line:
    first = same[0]
    where = "; ".join(dict.fromkeys(filter(None, map(_where, same))))
    return Line(first.kind, where, first.one.text, first.two.text, _means(first))


def _where(found: Difference) -> str:
    return ", ".join(filter(None, (_numbered(found), found.subject)))


def _numbered(found: Difference) -> str:
    one, two = found.one.event, found.two.event
    if not found.unit or not (one or two):
        return ""
    if one and two and one != two:
        return f"{found.unit} {one} (there {two})"
    return f"{found.unit} {one or two}"


def _means(found: Difference) -> str:
    if found.kind is Kind.TUNING or (found.kind is Kind.FORM and found.count):
        return _tuned(found)
    one, two = found.one.heard, found.two.heard
    if one and two:
        return f"sounds {one} → {two}" if one != two else f"sounds {one} on both"
    return f"sounds {one or two}" if one or two else ""


def _tuned(found: Difference) -> str:
    if not found.count:
        return "not struck in this piece"
    stops = "1 stop sounds" if found.count == 1 else f"{found.count} stops sound"
    return f"only the tuning differs: {stops} different, in {bars_said(found.one.bars)}"


def bars_said(names: Sequence[str]) -> str:
    """``bars 2, 5–7``; many are only counted."""
    numbers = [int(name[4:]) for name in names if name.startswith("bar ") and name[4:].isdigit()]
    if len(numbers) != len(names):
        return ", ".join(names) if len(names) <= _MOST_BARS else f"{len(names)} bars"
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    if len(runs) > _MOST_BARS:
        return f"{len(numbers)} bars"
    said = ", ".join(f"{run[0]}–{run[-1]}" if len(run) > 1 else str(run[0]) for run in runs)
    return f"bar{'' if len(numbers) == 1 else 's'} {said}"


def message(found: Difference) -> str:
    """One difference as one sentence, for programs."""
    line = _line([found])
    said = f"{line.one or NOTHING} → {line.two or NOTHING}"
    return ": ".join(filter(None, (line.where, said))) + (f" ({line.means})" if line.means else "")


def verdict(comparison: Comparison) -> str:
    """The comparison in one sentence."""
    number = counts(comparison.differences)
    if number:
        return f"{number} difference{'' if number == 1 else 's'}: {counted_kinds(comparison.differences)}."
    return "The same music." if not comparison.remarks else "No difference found."


def sounded_words(apart: SoundApart) -> str:
    """One note that does not sound alike in the two."""
    place = f"event {apart.event}  " if apart.event else ""
    name = _pitch_name(apart.pitch)
    match apart.kind:
        case Apart.OCTAVE:
            octaves = "an octave" if abs(apart.by) == 1 else f"{abs(apart.by)} octaves"
            return f"{place}{name} sounds {octaves} {'higher' if apart.by > 0 else 'lower'}"
        case Apart.MISSING:
            return f"{place}{name} is missing"
        case Apart.ADDED:
            return f"{place}{name} is added"
        case Apart.BAR_MISSING:
            return "the whole bar is missing"
        case Apart.BAR_ADDED:
            return "the whole bar is added"


def _pitch_name(pitch: int) -> str:
    octave, place = divmod(pitch, 12)
    return f"{_PITCH_NAMES[place]}{octave - 1}"


def sounded_verdict(sounded: Sounded) -> str:
    """The comparison by sound in one sentence."""
    way = f", {sounded.interval.words}" if sounded.interval != UNISON else ""
    octaves = sum(apart.kind is Apart.OCTAVE for apart in sounded.apart)
    others = len(sounded.apart) - octaves
    if not sounded.apart:
        return f"The same music{way}."
    if not others:
        return f"The same music{way}, but for {octaves} of {sounded.notes} notes in another octave."
    told = f"{others} difference{'' if others == 1 else 's'} in the notes"
    return f"{told}{f', {octaves} more in their octave' if octaves else ''}; taken as moved{way or ' by nothing'}."


def file_lines(verified: Verified) -> Iterator[str]:
    """What is said of the artefacts as files."""
    same_music = not verified.comparison.differences
    if verified.missing:
        yield f"missing: {', '.join(verified.missing)}"
    if verified.extra:
        yield f"no longer made: {', '.join(verified.extra)}"
    if verified.otherwise:
        known = same_music and not verified.comparison.remarks
        why = "different bytes, though the music is the same" if known else "different bytes"
        yield f"{why}: {', '.join(verified.otherwise)}"


def verified_verdict(verified: Verified) -> str:
    """What became of one piece, in a few words."""
    if verified.unbuilt:
        return "could not be built"
    number = counts(verified.comparison.differences)
    if number:
        return verdict(verified.comparison)
    return "unchanged" if verified.same else "the music is unchanged" if not verified.comparison.remarks else "changed"
