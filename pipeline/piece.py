"""One piece, from its text to all its artefacts. This module is the diagram of the program.

text ─parse→ Tablature ─resolve→ SoundingPiece ─lead, spell→ VoicedPiece ─notate→ Score ─write→ bytes
"""

from __future__ import annotations

from dataclasses import dataclass

from pipeline.checks import run_checks
from pipeline.diagnostics import Diagnostic, Outcome
from pipeline.engrave import engrave
from pipeline.model.sounding import SoundingPiece
from pipeline.options import Options
from pipeline.source import SourceText
from pipeline.stages.declare import declare
from pipeline.stages.lead import lead
from pipeline.stages.notate import notate
from pipeline.stages.parse import parse
from pipeline.stages.resolve import resolve
from pipeline.stages.spell import spell
from pipeline.writers.events import write_events
from pipeline.writers.findings import write_findings
from pipeline.writers.mei import write_mei
from pipeline.writers.musicxml import write_musicxml


@dataclass(frozen=True, slots=True)
class PieceResult:
    """All that was made of one piece. ``artefacts`` are (file name, content) pairs in a fixed order;
    ``notation_warnings`` is what the engraver had to say."""

    name: str
    diagnostics: tuple[Diagnostic, ...]
    artefacts: tuple[tuple[str, bytes], ...]
    notation_warnings: tuple[str, ...] = ()


def sounding_piece(source: SourceText, inherited: tuple[SourceText, ...] = ()) -> Outcome[SoundingPiece]:
    """The facts: what is written and what sounds, with every finding on the way."""
    tablature = parse(source, inherited)
    heading = declare(tablature.value)
    sounding = resolve(tablature.value, heading.value)
    found = (*tablature.diagnostics, *heading.diagnostics, *sounding.diagnostics)
    return Outcome(sounding.value, _in_order((*found, *run_checks(sounding.value))))


def check_piece(source: SourceText, inherited: tuple[SourceText, ...] = ()) -> tuple[Diagnostic, ...]:
    """Every finding on a piece, in order of place; nothing is written."""
    return sounding_piece(source, inherited).diagnostics


def build_piece(source: SourceText, inherited: tuple[SourceText, ...], options: Options) -> PieceResult:
    """Make every artefact of a piece. Faults become findings; what could be read is still made."""
    sounding = sounding_piece(source, inherited)
    voiced = spell(lead(sounding.value))
    score = notate(voiced)
    mei = write_mei(score)
    engraved = engrave(mei, score)
    pages = [(f"edition-{number:03d}.svg", page.encode()) for number, page in enumerate(engraved.pages, start=1)]
    artefacts = (
        ("edition.musicxml", write_musicxml(score)),
        ("edition.mei", mei),
        *pages,
        ("events.xml", write_events(voiced)),
        ("findings.json", write_findings(source.name, sounding.diagnostics)),
    )
    return PieceResult(source.name, sounding.diagnostics, artefacts, engraved.warnings)


def _in_order(found: tuple[Diagnostic, ...]) -> tuple[Diagnostic, ...]:
    return tuple(sorted(found, key=lambda finding: (finding.span, finding.code.slug, finding.message)))
