"""Findings as they are reported: in order, no more than are listed, as grave as the headings declare them."""

from __future__ import annotations

from pipeline.findings.codes.limits import FINDINGS_CUT_OFF, TOO_MUCH
from pipeline.model.diagnostics import Diagnostic, Severity
from pipeline.model.heading import Heading
from pipeline.model.limits import MOST_FINDINGS, MOST_WORDS
from pipeline.model.record import replace
from pipeline.model.text import SourceText


def in_order(found: tuple[Diagnostic, ...]) -> tuple[Diagnostic, ...]:
    """Findings by their place."""
    return tuple(sorted(found, key=lambda finding: (finding.span, finding.code.slug, finding.message)))


def settled(found: tuple[Diagnostic, ...], heading: Heading, texts: tuple[SourceText, ...]) -> tuple[Diagnostic, ...]:
    """The findings on a piece as they are told: in order, no more than are listed, as grave as its headings declare
    them. ``texts`` as of ``weighed``."""
    return weighed(listed(in_order(found)), heading, texts)


def listed(found: tuple[Diagnostic, ...]) -> tuple[Diagnostic, ...]:
    """Findings in order of place, no more than are listed, and no message longer than anybody reads. The last one
    then says that there are more: an error, for there may be errors among them."""
    short = tuple(_shortened(one) if max(len(one.message), len(one.hint)) > MOST_WORDS else one for one in found)
    known = tuple(one for one in short if one.code is not FINDINGS_CUT_OFF)
    kept, left = known[:MOST_FINDINGS], known[MOST_FINDINGS:]
    if not left and len(known) == len(short):
        return short
    grave = tuple(one for one in left if one.code is TOO_MUCH)
    message = f"There are more than {MOST_FINDINGS:,} findings on this piece; the others are not listed."
    return (
        *kept,
        *grave,
        Diagnostic(FINDINGS_CUT_OFF, short[-1].span, message, "Correct the first ones and run again."),
    )


def _shortened(one: Diagnostic) -> Diagnostic:
    return replace(one, message=_ends(one.message), hint=_ends(one.hint))


def _ends(text: str) -> str:
    """Long words stand in messages as they were typed; of a very long text its two ends are kept."""
    half = MOST_WORDS // 2
    return text if len(text) <= MOST_WORDS else f"{text[:half]} … {text[-half:]}"


def weighed(found: tuple[Diagnostic, ...], heading: Heading, texts: tuple[SourceText, ...]) -> tuple[Diagnostic, ...]:
    """The findings as grave as the headings declare them. ``texts`` are the folders' headings, outermost first, and the
    piece: a line holds for the findings in its own text and in those after it, a later line before an earlier."""
    if not heading.severities:
        return found
    order = {text.name: number for number, text in enumerate(texts)}
    innermost = len(texts)
    lines: dict[str, list[tuple[int, Severity]]] = {}
    for line in heading.severities:
        at = order.get(line.span.file, innermost)
        lines.setdefault(line.finding, []).append((at, Severity(line.severity)))
    return tuple(_weighed(one, lines.get(one.code.slug, []), order.get(one.span.file, innermost)) for one in found)


def _weighed(one: Diagnostic, lines: list[tuple[int, Severity]], place: int) -> Diagnostic:
    declared = [severity for at, severity in lines if at <= place]
    if not declared or declared[-1] is one.code.severity:
        return one
    return replace(one, declared=declared[-1])
