"""Comparisons for the reader at a terminal or behind a pipe."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import groupby

from rich.text import Text

from pipeline.desk.compare.difference import Comparison, Verified
from pipeline.desk.compare.sound import Sounded
from pipeline.desk.compare.writers import words
from pipeline.desk.compare.writers.words import Line, Place
from pipeline.findings.printing import printable
from pipeline.findings.text import INDENT, counted

#: Columns that the places may take before what differs; longer ones push on.
_WIDEST = 40


def comparison_lines(comparison: Comparison) -> Iterator[Text]:
    """Two of a piece: bar by bar what differs, what is beside the music in one line each, and the sum."""
    yield Text(printable(f"{comparison.one} → {comparison.two}"), "bold")
    yield from _body(comparison, words.FIRST_AND_SECOND)
    yield Text(INDENT + words.verdict(comparison))


def sounded_lines(sounded: Sounded) -> Iterator[Text]:
    """Two pieces by their sound: bar by bar the notes that are not the same, and the sum."""
    yield Text(printable(f"{sounded.one} → {sounded.two}"), "bold")
    for name, group in groupby(sounded.apart, lambda apart: apart.bar):
        found = list(group)
        yield Text.assemble(
            INDENT, (name[0].upper() + name[1:], "bold cyan"), (f"  (line {found[0].span.line})", "dim")
        )
        yield from (Text(f"{INDENT * 2}{words.sounded_words(apart)}") for apart in found)
    yield Text(INDENT + words.sounded_verdict(sounded))


def verified_lines(verified: Verified) -> Iterator[Text]:
    """A piece that is not as kept: its bars, then its files."""
    comparison = verified.comparison
    yield Text.assemble(
        (printable(comparison.one), "bold"), f"  {printable(verified.folder)}  {words.verified_verdict(verified)}"
    )
    yield from _body(comparison, words.KEPT_AND_BUILT)
    for said in words.file_lines(verified):
        yield Text(INDENT + printable(said))


def sum_of_verified(pieces: Iterable[Verified], removed: int) -> str:
    """One sentence over a whole run."""
    every = list(pieces)
    changed = sum(not one.same for one in every)
    gone = (
        f" {removed} kept for {'a piece that no longer exists' if removed == 1 else 'pieces that no longer exist'}."
        if removed
        else ""
    )
    if not changed:
        return f"{counted(len(every), 'piece')}, all unchanged.{gone}"
    music = sum(words.counts(one.comparison.differences) > 0 for one in every)
    unbuilt = sum(one.unbuilt for one in every)
    said = [f"{changed - unbuilt} changed, {music} of them in the music"] if changed > unbuilt else []
    said += [f"{unbuilt} could not be built"] if unbuilt else []
    return f"{counted(len(every), 'piece')}: {'; '.join(said)}.{gone}"


def _body(comparison: Comparison, sides: tuple[str, str]) -> Iterator[Text]:
    for remark in comparison.remarks:
        yield Text(INDENT + printable(remark), "yellow")
    for place in words.places(comparison, sides, beside=False):
        yield _head(place)
        width = max((len(_where(line)) for line in place.lines if len(_where(line)) <= _WIDEST), default=0)
        yield from (_line(line, width) for line in place.lines)
    beside = list(words.places(comparison, sides, beside=True))
    if beside:
        yield Text(f"{INDENT}Apart from the music", "dim")
    for place in beside:
        for line in place.lines:
            where = ", ".join(filter(None, (place.name if place.name != words.HEADING else "", line.where)))
            yield Text(printable(f"{INDENT * 2}{where}: {_both(line)}"), "dim")


def _head(place: Place) -> Text:
    lines = ""
    if place.one and place.two and place.one != place.two:
        lines = f"  (line {place.one}, there {place.two})"
    elif place.one or place.two:
        lines = f"  (line {place.one or place.two})"
    return Text.assemble(INDENT, (printable(place.name[0].upper() + place.name[1:]), "bold cyan"), (lines, "dim"))


def _where(line: Line) -> str:
    return printable(line.where or line.kind.value)


def _line(line: Line, width: int) -> Text:
    text = Text(f"{INDENT * 2}{_where(line).ljust(width)}  ")
    text.append(printable(line.one) if line.one else words.NOTHING, "red" if line.one else "dim")
    text.append(" → ")
    text.append(printable(line.two) if line.two else words.NOTHING, "green" if line.two else "dim")
    if line.means:
        text.append(f"   {printable(line.means)}", "dim")
    return text


def _both(line: Line) -> str:
    return f"{line.one or words.NOTHING} → {line.two or words.NOTHING}"
