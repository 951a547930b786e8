"""What two headings declare, and what only their tunings make sound otherwise."""

from __future__ import annotations

import re
from collections.abc import Iterator

from pipeline.desk.compare.content import HeadingContent, LineContent, PieceContent
from pipeline.desk.compare.differ.ledger import Ledger, Retuned, tuned_to
from pipeline.desk.compare.difference import Difference, Kind, Side
from pipeline.model.pitch import SEMITONES
from pipeline.model.record import replace

Pair = tuple[str, str]
#: What a difference in a line that retunes a course is about.
RETUNING = "retuning"


def compare_headings(ledger: Ledger, one: HeadingContent, two: HeadingContent) -> None:
    """What is declared, apart from the tuning of the courses."""
    _pairs(ledger, Kind.DESCRIPTION, one.described, two.described)
    _pairs(ledger, Kind.HEADING, one.declared, two.declared)
    left = {line.name: line for line in one.lines}
    right = {line.name: line for line in two.lines}
    for name in (*left, *(name for name in right if name not in left)):
        before, after = left.get(name), right.get(name)
        if before != after:
            ledger.say(Kind.HEADING, f"line {name}", _line(before), _line(after))


def compare_readings_of_piece(ledger: Ledger, one: PieceContent, two: PieceContent) -> None:
    """What is read of the piece as a whole."""
    _pairs(ledger, Kind.READING, one.read, two.read)


def tunings(ledger: Ledger, one: HeadingContent, two: HeadingContent) -> Iterator[Difference]:
    """Each course that is tuned otherwise somewhere, with the stops on it that sound otherwise though they are written
    alike. Ask last."""
    retuned = dict(ledger.retuned)
    for number in range(1, max(len(one.tuning), len(two.tuning)) + 1):
        before, after = tuned_to(one.tuning, number), tuned_to(two.tuning, number)
        if before != after:
            retuned.setdefault((number, before, after), Retuned())
    apart = _whole_instrument(one, two)
    if apart:
        every = Retuned()
        for key in [key for key in retuned if _in_headings(key[0], key[1:], one, two)]:
            found = retuned.pop(key)
            every.count += found.count
            every.one |= found.one
            every.two |= found.two
        yield _tuning("the whole instrument", f"course 1 {one.tuning[0]}", f"course 1 {two.tuning[0]}", every)
    for (number, before, after), found in sorted(retuned.items()):
        difference = _tuning(f"course {number}", before, after, found)
        inside = not _in_headings(number, (before, after), one, two)
        if not (inside and _told_at_its_line(ledger, number, difference)):
            yield difference


def _told_at_its_line(ledger: Ledger, number: int, tuned: Difference) -> bool:
    """Add what sounds otherwise to the line between bars that retunes the course, so that it is told once; False if
    there is none that only one side has, or that differs."""
    names = re.compile(rf"(?:^|\D){number} ?=")
    for place, (slot, told) in enumerate(ledger.found):
        if told.kind is Kind.FORM and told.subject.startswith(RETUNING):
            if not (names.search(told.one.text) or names.search(told.two.text)):
                continue
            sides = (
                replace(side, bars=tuple(dict.fromkeys((*side.bars, *more.bars))))
                for side, more in ((told.one, tuned.one), (told.two, tuned.two))
            )
            one, two = sides
            ledger.found[place] = (slot, replace(told, one=one, two=two, count=told.count + tuned.count))
            return True
    return False


def _in_headings(number: int, tuned: tuple[str, str], one: HeadingContent, two: HeadingContent) -> bool:
    return tuned == (tuned_to(one.tuning, number), tuned_to(two.tuning, number))


def _tuning(subject: str, before: str, after: str, found: Retuned) -> Difference:
    bars = tuple(tuple(name for _, name in sorted(side.items())) for side in (found.one, found.two))
    return Difference(Kind.TUNING, subject, Side(before, bars=bars[0]), Side(after, bars=bars[1]), count=found.count)


def _whole_instrument(one: HeadingContent, two: HeadingContent) -> int:
    """By how many semitones every course of the second is tuned higher; 0 if they do not all agree."""
    if len(one.tuning) != len(two.tuning) or len(one.tuning) < 2:
        return 0
    steps = {_semitones(after) - _semitones(before) for before, after in zip(one.tuning, two.tuning, strict=True)}
    return steps.pop() if len(steps) == 1 else 0


def _semitones(strings: str) -> int:
    """Of the string that names the course: ``F#2+F#3``."""
    name = strings.partition("+")[0]
    letter, rest = name[0], name[1:]
    octave = rest.lstrip("#b")
    signs = rest[: len(rest) - len(octave)]
    return 12 * int(octave) + SEMITONES[letter] + signs.count("#") - signs.count("b")


def _pairs(ledger: Ledger, kind: Kind, one: tuple[Pair, ...], two: tuple[Pair, ...]) -> None:
    left, right = dict(one), dict(two)
    for name in (*left, *(name for name in right if name not in left)):
        before, after = left.get(name, ""), right.get(name, "")
        if before != after or (name in left) != (name in right):
            ledger.say(kind, name, before or _there(name in left), after or _there(name in right))


def _there(given: bool) -> str:
    """What stands for a name that is there with nothing to say."""
    return "empty" if given else ""


def _line(line: LineContent | None) -> str:
    if line is None:
        return ""
    signature = f"{abs(line.fifths)} {'sharp' if line.fifths > 0 else 'flat'}{'' if abs(line.fifths) == 1 else 's'}"
    parts = (line.title, f"clef {line.clef}" if line.clef else "", signature if line.fifths else "",
             f"moved by {line.moved} semitones" if line.moved else "")  # fmt: skip
    return ", ".join(filter(None, parts)) or "declared"
