"""Probable misprints for the reader at a terminal or behind a pipe."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import groupby

from rich.text import Text

from pipeline.desk.misprints.proposal import Proposal
from pipeline.findings.printing import printable
from pipeline.findings.text import INDENT, excerpt
from pipeline.model.text import SourceText


def proposal_lines(proposals: Iterable[Proposal], source: SourceText) -> Iterator[Text]:
    """Place by place: where it is, the line with the sign underlined, then each way to mend it with its name, what
    is typed, what would be typed, how sure it is, and why."""
    for _, group in groupby(proposals, key=lambda one: one.suspicion.place):
        ways = list(group)
        first = ways[0].suspicion
        bar = f"bar {first.label}" if first.label else "upbeat"
        span = first.marked or first.span
        yield Text.assemble(
            (f"{printable(span.file)}:{span.line}:{span.start}", "bold"), f"  {bar}  ", (first.slip.value, "bold cyan")
        )
        yield from excerpt(span, {source.name: source}, "bold cyan")
        for way in ways:
            yield from _way(way)


def _way(proposal: Proposal) -> Iterator[Text]:
    suspicion = proposal.suspicion
    yield Text.assemble(
        INDENT,
        (proposal.id, "bold green"),
        f"  {printable(suspicion.typed)}  ->  ",
        (printable(suspicion.proposed), "bold"),
        f"  {sureness(suspicion.chance)}",
    )
    under = INDENT + " " * (len(proposal.id) + 2)
    for reason in suspicion.reasons:
        yield Text(f"{under}{reason}")
    if suspicion.by_hand:
        yield Text(f"{under}type it by hand: {suspicion.by_hand}")


def sureness(chance: float) -> str:
    """A chance in words, and in per cent, never called certain."""
    word = "almost certain" if chance >= 0.9 else "likely" if chance >= 0.5 else "possible"
    return f"{word} ({min(99, max(1, round(100 * chance)))} %)"
