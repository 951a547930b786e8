"""One piece, from its text to all its artefacts. This module is the diagram of the program.

text ─parse→ Tablature ─resolve→ SoundingPiece ─lead, spell→ VoicedPiece ─notate→ Score ─write→ bytes
"""

from __future__ import annotations

from dataclasses import dataclass

from pipeline.diagnostics import Diagnostic
from pipeline.engrave import engrave
from pipeline.facts import sounding_piece
from pipeline.options import Options
from pipeline.source import SourceText
from pipeline.stages.lead import lead
from pipeline.stages.notate import notate
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
        ("events.xml", write_events(voiced, score)),
        ("findings.json", write_findings(source.name, sounding.diagnostics)),
    )
    return PieceResult(source.name, sounding.diagnostics, artefacts, engraved.warnings)
