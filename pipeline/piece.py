"""One piece, from its text to all its artefacts. This module is the diagram of the program.

text ─parse→ Tablature ─resolve→ SoundingPiece ─lead, spell→ VoicedPiece ─notate→ Score ─write→ bytes
                                      └─sing→ Song ─────────── reduce ──────┘
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from pipeline.copies import Plan, copy_of
from pipeline.diagnostics import Diagnostic
from pipeline.engrave import A4, LETTER, engrave
from pipeline.facts import NO_FILES, Files, in_order, reading_of, song_of, sounding_piece
from pipeline.model.score import Score
from pipeline.options import Options, Sheet
from pipeline.source import SourceText
from pipeline.stages.notate import notate
from pipeline.stages.perform import perform
from pipeline.stages.spell import spell
from pipeline.writers.events import write_events
from pipeline.writers.findings import write_findings
from pipeline.writers.mei import write_mei
from pipeline.writers.midi import write_midi
from pipeline.writers.musicxml import write_musicxml

Artefact = tuple[str, bytes]
_PAPERS = {Sheet.A4: A4, Sheet.LETTER: LETTER}


@dataclass(frozen=True, slots=True)
class PieceResult:
    """All that was made of one piece. ``artefacts`` are (file name, content) pairs in a fixed order;
    ``notation_warnings`` is what the engraver had to say."""

    name: str
    diagnostics: tuple[Diagnostic, ...]
    artefacts: tuple[Artefact, ...]
    notation_warnings: tuple[str, ...] = ()


def build_piece(
    source: SourceText, inherited: tuple[SourceText, ...], options: Options, files: Files = NO_FILES
) -> PieceResult:
    """Make every artefact of a piece. Faults become findings; what could be read is still made.

    ``files`` are the notation files that its heading names.
    """
    sounding = sounding_piece(source, inherited)
    song = song_of(sounding.value, files)
    led = reading_of(sounding.value)
    voiced = spell(led.value)
    score = notate(voiced)
    plan = copy_of(voiced, song.value, options) if options.copy else Plan(None)
    found = in_order((*sounding.diagnostics, *led.diagnostics, *song.diagnostics, *plan.diagnostics))
    printed = [_printed("edition", score, options)]
    if plan.score is not None:
        printed.append(_printed("reduction", plan.score, options))
    artefacts = [artefact for one in printed for artefact in one.artefacts]
    if options.midi:
        artefacts.append(("practice.mid", write_midi(perform(voiced, song.value))))
    artefacts.append(("events.xml", write_events(voiced, score, song.value)))
    artefacts.append(("findings.json", write_findings(source.name, found)))
    warnings = tuple(warning for one in printed for warning in one.warnings)
    return PieceResult(source.name, found, tuple(artefacts), warnings)


@dataclass(frozen=True, slots=True)
class _Printed:
    """One score in all its forms."""

    artefacts: tuple[Artefact, ...]
    warnings: tuple[str, ...]


def _printed(name: str, score: Score, options: Options) -> _Printed:
    mei = write_mei(score)
    engraved = engrave(mei, score, _PAPERS[options.paper])
    pages = [(f"{name}-{number:03d}.svg", page.encode()) for number, page in enumerate(engraved.pages, start=1)]
    papers = _pdf(name, engraved.pages, score, options.paper) if options.pdf else ()
    return _Printed(
        ((f"{name}.musicxml", write_musicxml(score)), (f"{name}.mei", mei), *pages, *papers), engraved.warnings
    )


def _pdf(name: str, pages: tuple[str, ...], score: Score, sheet: Sheet) -> Iterator[Artefact]:
    # Imported late: the PDF library is heavy and seldom asked for.
    from pipeline.writers.pdf import Paper, write_pdf  # noqa: PLC0415

    yield f"{name}.pdf", write_pdf(pages, score.credits.title, Paper[sheet.name]).content
