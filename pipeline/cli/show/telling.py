"""The findings of a run: errors at once, the rest in full where there is little of it, and otherwise only by kind."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from rich.console import Console

from pipeline.cli.show.terminal import show_findings, show_lines
from pipeline.findings.text import INDENT, counted
from pipeline.model.diagnostics import Diagnostic, Severity
from pipeline.model.text import SourceText

#: More warnings and notes on a folder than this are told by their kinds alone.
MOST_SHOWN = 20

_Sources = Mapping[str, SourceText]


@dataclass(slots=True)
class Kind:
    """One kind of finding: where it occurs first, how often, and in how many pieces."""

    first: Diagnostic
    count: int = 0
    pieces: int = 0


@dataclass(slots=True)
class Teller:
    """Tells the findings of so many pieces, one piece after another. ``everything``: nothing is folded."""

    target: Console
    pieces: int
    everything: bool = False
    _held: list[tuple[Diagnostic, _Sources]] = field(default_factory=list)
    _kinds: dict[tuple[Severity, str], Kind] = field(default_factory=dict)
    _count: int = 0

    def take(self, found: Sequence[Diagnostic], sources: _Sources) -> None:
        """Show the errors of a piece, and keep the rest for the end."""
        graver = [finding for finding in found if finding.severity is Severity.ERROR]
        others = [finding for finding in found if finding.severity is not Severity.ERROR]
        show_findings(self.target, graver, sources)
        if self.everything or self.pieces == 1:
            show_findings(self.target, others, sources)
            return
        for finding in others:
            self._kinds.setdefault((finding.severity, finding.code.slug), Kind(finding)).count += 1
        for key in {(finding.severity, finding.code.slug) for finding in others}:
            self._kinds[key].pieces += 1
        self._count += len(others)
        if self._count > MOST_SHOWN:
            self._held.clear()
        else:
            self._held += [(finding, sources) for finding in others]

    def end(self) -> None:
        """Show the rest, or how much there is of each kind."""
        for finding, sources in self._held:
            show_findings(self.target, [finding], sources)
        if self._count > MOST_SHOWN:
            show_lines(self.target, self._folded())

    def _folded(self) -> Iterator[str]:
        yield f"{self._count} warnings and notes, by kind (--all shows each, and so does a single piece):"
        order = list(Severity)
        for (severity, slug), kind in sorted(
            self._kinds.items(), key=lambda one: (order.index(one[0][0]), -one[1].count, one[0][1])
        ):
            place = f"{kind.first.span.file}:{kind.first.span.line}:{kind.first.span.start}"
            said = f"{kind.count:5}  {severity.value} {slug}"
            yield f"{INDENT}{said:44}  in {counted(kind.pieces, 'piece')}, first at {place}"
