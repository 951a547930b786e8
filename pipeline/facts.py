"""What is written and what sounds, with every finding on the way: the first half of the flow, light to load."""

from __future__ import annotations

from pipeline.checks import run_checks
from pipeline.diagnostics import Diagnostic, Outcome
from pipeline.model.sounding import SoundingPiece
from pipeline.source import SourceText
from pipeline.stages.declare import declare
from pipeline.stages.parse import parse
from pipeline.stages.resolve import resolve


def sounding_piece(source: SourceText, inherited: tuple[SourceText, ...] = ()) -> Outcome[SoundingPiece]:
    """The facts of a piece; ``inherited`` are its folders' headings, outermost first."""
    tablature = parse(source, inherited)
    heading = declare(tablature.value)
    sounding = resolve(tablature.value, heading.value)
    found = (*tablature.diagnostics, *heading.diagnostics, *sounding.diagnostics)
    return Outcome(sounding.value, _in_order((*found, *run_checks(sounding.value))))


def check_piece(source: SourceText, inherited: tuple[SourceText, ...] = ()) -> tuple[Diagnostic, ...]:
    """Every finding on a piece, in order of place; nothing is written."""
    return sounding_piece(source, inherited).diagnostics


def _in_order(found: tuple[Diagnostic, ...]) -> tuple[Diagnostic, ...]:
    return tuple(sorted(found, key=lambda finding: (finding.span, finding.code.slug, finding.message)))
