"""Short ways to read lines in tests, and to look at what was read."""

from __future__ import annotations

from pipeline.model.diagnostics import Diagnostic
from pipeline.model.signs import Event, Reading, Sign, Stop
from pipeline.model.tablature import Bar, Directive, Tablature
from pipeline.model.text import SourceText
from pipeline.source.parse import parse

#: Declares every name that the table of the encoding uses.
HEADING = """\
longneck 1
title Trial
source A = Trial book
source B = Trial manuscript
editor EB = E. B.
instrument theorbo in A
signs {signs}
mark T = "t" trill, after
mark M = "x" mordent, before
layer v = Canto, clef C1
layer b = Basso, clef F4

"""
#: The line that music begins on under this heading.
FIRST = HEADING.count("\n") + 1


def read(music: str, signs: str = "italian") -> tuple[Tablature, tuple[Diagnostic, ...]]:
    """The tablature of music lines under the heading, and what was found."""
    outcome = parse(SourceText.of("trial.intav", HEADING.format(signs=signs) + music + "\n"))
    return outcome.value, outcome.diagnostics


def clean(music: str, signs: str = "italian") -> Tablature:
    """The tablature of music that must be read without a fault."""
    tablature, found = read(music, signs)
    assert not found, [finding.message for finding in found]
    return tablature


def bar(music: str, signs: str = "italian") -> Bar:
    """The first bar of music without fault."""
    return clean(music, signs).bars[0]


def events(words: str, signs: str = "italian") -> tuple[Event, ...]:
    """The events of one bar without fault."""
    return bar(f"| {words}", signs).events


def event(word: str, signs: str = "italian") -> Event:
    """One event without fault. Labels get a note line each."""
    letters = sorted({word[at + 1] for at, char in enumerate(word) if char == '"'})
    lines = "".join(f'\n"{letter} EB: reason' for letter in letters)
    (only,) = bar(f"| {word}{lines}", signs).events
    return only


def stop(word: str, signs: str = "italian") -> Stop:
    (only,) = event(word, signs).stops
    return only


def places(item: Event) -> list[tuple[int | None, int | None]]:
    """Course and fret of each stop that the edition reads."""
    return [(each.sign.course, each.sign.fret) for each in item.stops if each.sign]


def where(sign: Sign | None) -> tuple[int | None, int | None] | None:
    return (sign.course, sign.fret) if sign else None


def both(reading: Reading[Sign]) -> tuple[tuple[int | None, int | None] | None, tuple[int | None, int | None] | None]:
    """Course and fret in the edition and in the source."""
    return where(reading.edition), where(reading.source)


def directive(line: str) -> Directive:
    (only,) = clean(f"section Ritornello\n| -\n{line}").body[2:]
    assert isinstance(only, Directive)
    return only


def told(music: str, signs: str = "italian") -> list[tuple[int, int, int, str, str, str]]:
    """Findings as (line of the music from 1, start, end, slug, message, hint)."""
    _, found = read(music, signs)
    return [
        (each.span.line - FIRST + 1, each.span.start, each.span.end, each.code.slug, each.message, each.hint)
        for each in found
    ]
