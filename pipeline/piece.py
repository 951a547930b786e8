"""One piece, from its text to all its artefacts. This module is the diagram of the program.

text ─parse→ Tablature ─resolve→ SoundingPiece ─lead, spell→ VoicedPiece ─notate→ Score ─write→ bytes
                                      └─sing→ Song            │  └─ reduce ─────┘
                                                              └─ apparatus, perform → report, proof page, sound
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from pipeline.desk.misprints.proposals import proposals_of
from pipeline.desk.proof.proofs import proof_of
from pipeline.desk.proof.reading import bar_texts, marks_found, progress_of, write_progress
from pipeline.desk.proof.record import View
from pipeline.desk.proof.writers import write_proof
from pipeline.edition.apparatus import apparatus
from pipeline.edition.casting import cast_off
from pipeline.edition.copies import copy_of, moved_as_asked
from pipeline.edition.layouts import layouts_not_followed
from pipeline.edition.leading import led
from pipeline.edition.notate import notate
from pipeline.edition.part import part_of
from pipeline.edition.perform import perform
from pipeline.edition.spell import spell
from pipeline.findings.document import write_findings
from pipeline.model.apparatus import Apparatus
from pipeline.model.artefacts import (
    CALLED,
    COPY,
    EDITION,
    EVENTS,
    FINDINGS,
    MIDI,
    PART,
    PROGRESS,
    PROOF,
    REPORT,
    REPORT_TABLE,
    Form,
    page_name,
)
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.facsimile import Folio, FolioImage
from pipeline.model.layout import NO_PAGES
from pipeline.model.options import Options, Sheet
from pipeline.model.performance import Manner
from pipeline.model.score import Score
from pipeline.model.staves import Staves
from pipeline.model.text import SourceText
from pipeline.model.voicefile import VoiceFile
from pipeline.source.facsimile import folios_of
from pipeline.source.read import NO_FILES, NO_IMAGES, Files, Images, read_piece
from pipeline.writers.engrave import A4, LETTER, typeset
from pipeline.writers.engrave.paper import STAFF_MM
from pipeline.writers.events import write_events
from pipeline.writers.faces import lettered, lost_characters
from pipeline.writers.mei import write_mei_forms
from pipeline.writers.midi import write_midi
from pipeline.writers.musicxml import write_musicxml
from pipeline.writers.report import write_report, write_table

Artefact = tuple[str, bytes]
_PAPERS = {Sheet.A4: A4, Sheet.LETTER: LETTER}


@dataclass(frozen=True, slots=True)
class PieceResult:
    """All that was made of one piece. ``artefacts`` are (file name, content) pairs in a fixed order;
    ``notation_warnings`` is what the engraver had to say; ``images`` belong beside the proof page, copied from the
    source's own."""

    name: str
    diagnostics: tuple[Diagnostic, ...]
    artefacts: tuple[Artefact, ...]
    notation_warnings: tuple[str, ...] = ()
    title: str = ""
    images: tuple[FolioImage, ...] = ()


def build_piece(
    source: SourceText,
    inherited: tuple[SourceText, ...],
    options: Options,
    files: Files = NO_FILES,
    images: Images = NO_IMAGES,
    home: str = "",
    before: tuple[Diagnostic, ...] = (),
    marks: VoiceFile | None = None,
) -> PieceResult:
    """Make every artefact of a piece. Faults become findings; what could be read is still made. ``files`` are the
    notation files that its heading names, ``images`` those of the source; ``home`` leads to the page of all pieces;
    ``before`` is what was found while its bytes became text; ``marks`` are those of whoever proof-reads it."""
    read = read_piece(source, inherited, files, images)
    reading = led(read.sounding, read.song)
    voiced = spell(reading.value)
    score = notate(voiced, read.song)
    acts = apparatus(voiced)
    moved = moved_as_asked(voiced, read.song, options)
    shown = score if options.staves is Staves.ALL else notate(voiced, read.song, options.staves)
    scores = (
        (EDITION, shown),
        (PART, part_of(voiced, read.song, options.part)),
        (COPY, copy_of(moved, options) if options.copy else None),
    )
    on_page = read.images if options.wants(Form.PROOF) else ()
    folios = {EDITION: folios_of(read.sounding, on_page)}
    prints = [printed(name, one, acts, options, folios.get(name, ())) for name, one in scores if one is not None]
    unset = unprinted(prints, tuple(reversed(read.texts)))
    unfollowed = layouts_not_followed(read.sounding, prints[0].unfollowed)
    marked = marks_found(source, marks if options.wants(Form.PROOF) else None)
    said = (*marked.diagnostics, *reading.diagnostics, *moved.diagnostics, *unset, *unfollowed)
    found = read.settled(*before, *said)
    artefacts = [artefact for one in prints for artefact in one.artefacts]
    if options.wants(Form.MIDI):
        manner = Manner(options.tempo, options.count_in, moved.words)
        artefacts.append((MIDI, write_midi(perform(moved.voiced, moved.song, manner))))
    if options.wants(Form.EVENTS):
        artefacts.append((EVENTS, write_events(voiced, score, read.song)))
    artefacts.append((FINDINGS, write_findings(source.name, found)))
    artefacts += _report(acts, source.name, options, home)
    if options.wants(Form.PROOF):
        texts, names = (source, *inherited), tuple(name for name, _ in artefacts)
        slips = proposals_of(source, read.sounding) if options.misprints else None
        views, played = _views(prints), perform(voiced, read.song)
        proof = proof_of(
            texts, voiced, acts, read.song, played, views, found, read.images, slips, names, home, marked.value
        )
        artefacts.append((PROOF, write_proof(proof, live=options.live)))
        if marked.value is not None:
            artefacts.append((PROGRESS, write_progress(progress_of(bar_texts(source), marked.value))))
    warnings = tuple(warning for one in prints for warning in one.warnings)
    return PieceResult(source.name, found, tuple(artefacts), warnings, score.credits.title, on_page)


def _views(prints: list[Printed]) -> tuple[View, ...]:
    """The scores that a page to prove with shows: the part has nothing that the edition has not."""
    shown = (one for one in prints if one.name != PART)
    return tuple(View(one.name, CALLED[one.name], one.pages, one.faces) for one in shown)


def _report(acts: Apparatus, name: str, options: Options, home: str) -> Iterator[Artefact]:
    if options.wants(Form.REPORT):
        proof, up = (PROOF, home) if options.wants(Form.PROOF) else ("", "")
        yield REPORT, write_report(acts, name.rpartition("/")[2], proof=proof, home=up)
        yield REPORT_TABLE, write_table(acts)


@dataclass(frozen=True, slots=True)
class Printed:
    """One score in all its forms, and its pages as drawings."""

    name: str
    artefacts: tuple[Artefact, ...]
    warnings: tuple[str, ...] = ()
    pages: tuple[str, ...] = ()
    #: Each face with its characters, and those that none has.
    faces: tuple[tuple[str, str], ...] = ()
    missing: frozenset[str] = frozenset()
    #: Measures at which the editor's wish for the layout could not be followed.
    unfollowed: frozenset[str] = frozenset()


def printed(name: str, score: Score, acts: Apparatus, options: Options, folios: Sequence[Folio] = ()) -> Printed:
    """A score in the forms that ``options`` ask for, its files named ``name``; ``acts`` are those of its piece,
    ``folios`` the pages of the source that its MEI names."""
    artefacts: list[Artefact] = []
    on_pages = any(options.wants(form) for form in (Form.SVG, Form.PDF, Form.PROOF))
    size = None if name == PART or options.staff_height is None else options.staff_height / STAFF_MM
    made = typeset(score, _PAPERS[options.paper], size) if on_pages else None
    if options.wants(Form.MUSICXML):
        layout = NO_PAGES if made is None else made.engraved.layout
        artefacts.append((f"{name}.musicxml", write_musicxml(score, acts, layout)))
    if options.wants(Form.MEI):
        cast = cast_off(score, size) if made is None else made.cast
        artefacts.append((f"{name}.mei", write_mei_forms(cast, acts, folios).archive))
    if made is None:
        return Printed(name, tuple(artefacts))
    engraved = made.engraved
    set_pages = [lettered(page) for page in engraved.pages]
    if options.wants(Form.SVG):
        pages = enumerate(set_pages, start=1)
        artefacts += [(page_name(name, number), one.page.encode()) for number, one in pages]
    if options.wants(Form.PDF):
        # Imported late: the PDF library is heavy and seldom asked for.
        from pipeline.writers.pdf import Paper, write_pdf  # noqa: PLC0415

        pdf = write_pdf(engraved.pages, score.credits.title, Paper[options.paper.name], score.heading.composer)
        artefacts.append((f"{name}.pdf", pdf.content))
    missing = frozenset[str]().union(*(one.missing for one in set_pages))
    faces = tuple(face for one in set_pages for face in one.faces)
    unfollowed = frozenset(engraved.unfollowed)
    return Printed(name, tuple(artefacts), engraved.warnings, engraved.pages, faces, missing, unfollowed)


def unprinted(prints: list[Printed], texts: tuple[SourceText, ...]) -> Iterator[Diagnostic]:
    """What the pages cannot print, where it is typed."""
    missing = {character for one in prints for character in one.missing}
    if missing:
        yield from lost_characters(missing, texts)
