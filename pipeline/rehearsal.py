"""A set for the rehearsal, from one piece: what each person plays or sings from, in one key, and a cover sheet.

read ─→ lead, spell ─┬─ transpose → the singer's copy, the bass part
                     └─ move → the new tablature, read again → the player's part, the practice file
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from pipeline.desk.cover.cover import Set, cover_of
from pipeline.desk.cover.record import Person
from pipeline.desk.cover.writers.page import cover_page
from pipeline.desk.cover.writers.pdf import cover_pdf
from pipeline.desk.move.moving import move
from pipeline.desk.move.record import Asked, There
from pipeline.desk.move.wish import Kept, Wish, asked_of, interval_for
from pipeline.edition.apparatus import apparatus
from pipeline.edition.bass import bass_of
from pipeline.edition.copies import copy_of, moved_as_asked
from pipeline.edition.leading import led
from pipeline.edition.part import part_of
from pipeline.edition.perform import perform
from pipeline.edition.spell import spell
from pipeline.edition.transpose import signatures, transposed, transposed_song
from pipeline.findings.codes.moving import SET_NOT_MADE
from pipeline.findings.text import counted
from pipeline.model.artefacts import BASS, COPY, MIDI, PART, Form
from pipeline.model.diagnostics import Diagnostic, Severity
from pipeline.model.interval import UNISON, Refused, fitted
from pipeline.model.notes import StaffEvent
from pipeline.model.options import Options, Part
from pipeline.model.performance import Manner
from pipeline.model.record import replace
from pipeline.model.score import Measure, Score
from pipeline.model.signs import Signs
from pipeline.model.song import Song
from pipeline.model.text import SourceText, Span
from pipeline.model.voiced import VoicedPiece
from pipeline.piece import Artefact, PieceResult, Printed, printed, unprinted
from pipeline.source.read import NO_IMAGES, Files, Images, Read, read_piece
from pipeline.writers.midi import write_midi

#: The folders of a set.
SINGER, KEYBOARD, PLAYER, BASSIST = "singer", "keyboard", "player", "bass"
FOLDERS = (SINGER, KEYBOARD, PLAYER, BASSIST)
COVER_PAGE, COVER_PDF = "cover.html", "cover.pdf"
#: What the scores of a set are written as.
FORMS = (Form.MUSICXML, Form.SVG, Form.PDF)


@dataclass(frozen=True, slots=True)
class Setting:
    """What sets are asked to be: ``wish`` says key, instrument and signs, ``options`` how the copy is, on which paper,
    and in which forms scores are written (usually :data:`FORMS`); ``keep`` is an earlier moving that the player has
    changed."""

    wish: Wish
    options: Options
    keep: Kept | None = None


def rehearse_piece(
    source: SourceText,
    inherited: tuple[SourceText, ...],
    files: Files,
    setting: Setting,
    before: tuple[Diagnostic, ...] = (),
    images: Images = NO_IMAGES,
) -> PieceResult:
    """The set of a piece: artefacts by their paths, ``singer/reduction.pdf``. Of a piece with errors, or that cannot be
    moved as wished, none: one finding more says so. Arguments as for ``build_piece``."""
    read = read_piece(source, inherited, files, images)
    found = read.settled(*before)
    grave = sum(one.severity is Severity.ERROR for one in found)
    if grave:
        return _none(source, found, f"the piece has {counted(grave, 'error')}", "Correct the piece first.")
    interval = interval_for(read, setting.wish)
    if isinstance(interval, Refused):
        hint = f"{interval.hint[:1].upper()}{interval.hint[1:]}."
        return _none(source, found, f"{interval.message[:1].lower()}{interval.message[1:]}", hint)
    asked = asked_of(read, setting.wish, interval, setting.keep)
    if isinstance(asked, str):
        return _none(source, found, f"--keep: {asked}", "")
    return _Maker(source, read, files, setting, asked, before).made()


def _none(source: SourceText, found: tuple[Diagnostic, ...], why: str, hint: str) -> PieceResult:
    message = f"No set for the rehearsal was made: {why}."
    return PieceResult(source.name, (*found, Diagnostic(SET_NOT_MADE, Span(source.name, 1, 1, 1), message, hint)), ())


@dataclass(frozen=True, slots=True)
class _Played:
    """What the player has: the piece as read from its own tablature, and what the moving could not keep. ``moved`` says
    in words what was done, empty if it is the source's tablature."""

    voiced: VoicedPiece
    song: Song
    lost: tuple[Diagnostic, ...] = ()
    moved: str = ""


class _Maker:
    """Makes the set of one piece that can have one."""

    def __init__(
        self,
        source: SourceText,
        read: Read,
        files: Files,
        setting: Setting,
        asked: Asked,
        before: tuple[Diagnostic, ...],
    ) -> None:
        self._source, self._read, self._files, self._setting = source, read, files, setting
        self._before = before
        self._reading = led(read.sounding, read.song)
        self._voiced = spell(self._reading.value)
        interval = asked.interval
        self._interval = UNISON if interval == UNISON else fitted(interval, signatures(self._voiced, read.song))
        self._options = replace(setting.options, transpose=self._interval)
        instrument = read.sounding.heading.instrument
        stays = self._interval == UNISON and not asked.changes(instrument) and setting.keep is None
        self._played = _Played(self._voiced, read.song) if stays else self._moved(asked)

    def _moved(self, asked: Asked) -> _Played:
        """The tablature in its new key and on its new instrument, read as any other piece."""
        name = self._source.name
        known = {one.code.slug for one in self._read.settled(*self._before, *self._reading.diagnostics)}
        moved = move(self._reading.value, asked, name, There(files=self._files))
        again = read_piece(SourceText.of(name, moved.text), (), self._files)
        reading = led(again.sounding, again.song)
        own = (one for one in again.settled(*reading.diagnostics) if one.code.slug not in known)
        lost = (*moved.diagnostics, *(self._at_source(one) for one in own))
        heading = again.sounding.heading
        shown = replace(again.sounding, heading=replace(heading, remarks=self._read.sounding.heading.remarks))
        return _Played(spell(replace(reading.value, sounding=shown)), again.song, lost, self._told(asked))

    def _at_source(self, found: Diagnostic) -> Diagnostic:
        """A finding on the moved tablature, which is no file that could be looked into."""
        message = f"In the tablature as moved: {found.message}"
        return replace(found, span=Span(self._source.name, 1, 1, 1), message=message, related=())

    def _told(self, asked: Asked) -> str:
        heading = self._read.sounding.heading
        what = [self._interval.words] if self._interval != UNISON else []
        if asked.changes(heading.instrument):
            what.append(f"from {heading.instrument.name}")
        moved = ", ".join(what)
        return f"{moved[:1].upper()}{moved[1:]}; fingered anew" if moved else "Fingered anew"

    def made(self) -> PieceResult:
        acts = apparatus(self._played.voiced)
        scores = list(self._scores())
        prints = [(folder, printed(name, score, acts, self._options)) for folder, name, score in scores]
        artefacts = [(f"{folder}/{name}", data) for folder, one in prints for name, data in one.artefacts]
        options = self._options
        manner = Manner(options.tempo, options.count_in, self._moved_words)
        played = perform(self._played.voiced, self._played.song, manner)
        artefacts.append((f"{self._practises}/{MIDI}", write_midi(played)))
        artefacts.extend(self._cover([folder for folder, _, _ in scores]))
        return PieceResult(
            self._source.name,
            self._found([one for _, one in prints]),
            tuple(artefacts),
            tuple(warning for _, one in prints for warning in one.warnings),
            self._read.sounding.heading.title,
        )

    def _found(self, prints: list[Printed]) -> tuple[Diagnostic, ...]:
        unset = unprinted(prints, tuple(reversed(self._read.texts)))
        return self._read.settled(*self._before, *self._reading.diagnostics, *self._played.lost, *unset)

    @property
    def _sung(self) -> bool:
        return any(not line.bass for line in self._read.song.lines)

    @property
    def _practises(self) -> str:
        """Whose folder has the practice file."""
        return SINGER if self._sung else PLAYER

    def _scores(self) -> Iterator[tuple[str, str, Score]]:
        """Folder, name and score of everything that is printed."""
        sung = moved_as_asked(self._as_sung(), self._read.song, self._options)
        copy = copy_of(sung, self._options)
        yield SINGER if self._sung else KEYBOARD, COPY, _unsigned(copy) if self._played.moved else copy
        played = self._played
        part = part_of(played.voiced, played.song, self._part, played.moved, self._mover)
        if part is not None:
            yield PLAYER, PART, part
        voiced, song = self._in_key()
        bass = bass_of(voiced, song, self._moved_words)
        if bass is not None:
            yield BASSIST, BASS, bass

    @property
    def _moved_words(self) -> str:
        return f"Transposed {self._interval.words} from the source" if self._interval != UNISON else ""

    def _as_sung(self) -> VoicedPiece:
        """The piece in the key of the source, under the name of the instrument that will be played."""
        sounding = self._voiced.sounding
        heading = replace(sounding.heading, instrument=self._played.voiced.sounding.heading.instrument)
        return replace(self._voiced, led=replace(self._voiced.led, sounding=replace(sounding, heading=heading)))

    def _in_key(self) -> tuple[VoicedPiece, Song]:
        if self._interval == UNISON:
            return self._voiced, self._read.song
        return transposed(self._voiced, self._interval), transposed_song(self._read.song, self._interval)

    @property
    def _mover(self) -> str:
        """The initials that sign what the moving has to say: no editor of the source has them."""
        own = {initials for initials, _ in self._read.sounding.heading.editors}
        signing = (initials for initials, _ in self._played.voiced.sounding.heading.editors if initials not in own)
        return next(signing, "")

    @property
    def _part(self) -> Part:
        return {None: Part.SOURCE, Signs.ITALIAN: Part.ITALIAN, Signs.FRENCH: Part.FRENCH}[self._setting.wish.signs]

    def _cover(self, folders: list[str]) -> Iterator[Artefact]:
        played = self._played.voiced.sounding
        made_for = {
            SINGER: ("Singer", COPY, "the copy with the words"),
            KEYBOARD: ("Keyboard", COPY, "a reduction for two hands"),
            PLAYER: ("Player", PART, "the tablature"),
            BASSIST: ("Bass", BASS, "the bass with its figures"),
        }
        persons = []
        for folder in folders:
            name, score, what = made_for[folder]
            practice = ((f"{folder}/{MIDI}", "the practice file"),) if folder == self._practises else ()
            persons.append(Person(name, ((f"{folder}/{score}.pdf", what), *practice)))
        made = Set(
            self._voiced,
            self._in_key()[1],
            self._interval,
            played,
            self._setting.wish.signs or self._read.sounding.heading.signs,
            self._played.lost,
            tuple(persons),
            BASSIST in folders,
        )
        cover = cover_of(made)
        yield COVER_PAGE, cover_page(cover)
        yield COVER_PDF, cover_pdf(cover, self._options.paper)


def _unsigned(copy: Score) -> Score:
    """A copy without the signs of restored octaves: they say what sounds on the source's courses, and the player has
    others now."""

    def without(measure: Measure) -> Measure:
        layers = (replace(layer, events=tuple(map(_plain, layer.events))) for layer in measure.layers)
        return replace(measure, layers=tuple(layers))

    measures = tuple(map(without, copy.measures))
    return replace(copy, measures=measures, legend=tuple(entry for entry in copy.legend if entry.sign != "8"))


def _plain(event: StaffEvent) -> StaffEvent:
    if not any(head.octave is not None for head in event.heads):
        return event
    return replace(event, heads=tuple(replace(head, octave=None) for head in event.heads))
