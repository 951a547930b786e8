"""What is wished for pieces of any key and instrument, and what that asks of one of them."""

from __future__ import annotations

from dataclasses import dataclass

from pipeline.desk.move.record import Asked
from pipeline.findings.codes.song import RANGE_TOO_NARROW
from pipeline.model.chordletters import Letters
from pipeline.model.diagnostics import Diagnostic, Severity
from pipeline.model.interval import UNISON, Interval, Refused, best_transposition
from pipeline.model.pitch import SpelledPitch
from pipeline.model.presets import Preset
from pipeline.model.record import replace
from pipeline.model.signs import Signs
from pipeline.model.sounding import SoundingPiece
from pipeline.model.text import SourceText, Span
from pipeline.source.read import Read, sounding_piece
from pipeline.source.songchecks.letters import what_letters_name


@dataclass(frozen=True, slots=True)
class Wish:
    """What pieces are moved to. ``letters`` says what chord letters name; without it the tablature may tell.
    ``voice_range``, in place of ``interval``, moves each piece to where its sung lines suit a voice."""

    interval: Interval = UNISON
    preset: Preset | None = None
    signs: Signs | None = None
    letters: Letters | None = None
    voice_range: tuple[SpelledPitch, SpelledPitch] | None = None


@dataclass(frozen=True, slots=True)
class Kept:
    """An earlier moving, changed by the player, whose places are to be kept: its text and the headings it inherits,
    outermost first. ``usable`` is false where they cannot be read as text."""

    text: SourceText
    inherited: tuple[SourceText, ...] = ()
    usable: bool = True


def interval_for(read: Read, wish: Wish) -> Interval | Refused:
    """By how much a piece is moved: as asked, or to where its sung lines suit a voice."""
    if wish.voice_range is None:
        return wish.interval
    sung = [note.pitch for line in read.song.lines if not line.bass for note in line.notes if note.pitch is not None]
    if not sung:
        return Refused("No line of the piece is sung", "Say the interval: --transpose")
    low, high = (end(sung, key=lambda pitch: pitch.semitones) for end in (min, max))
    key = read.sounding.heading.key
    return best_transposition(low, high, *wish.voice_range, key.fifths if key is not None else 0)


def suits_no_voice(name: str, refused: Refused) -> Diagnostic:
    """The finding on a piece that cannot be moved into the range of a voice."""
    hint = f"{refused.hint[:1].upper()}{refused.hint[1:]}"
    return Diagnostic(RANGE_TOO_NARROW, Span(name, 1, 1, 1), f"{refused.message}.", hint)


def asked_of(read: Read, wish: Wish, interval: Interval, keep: Kept | None) -> Asked | str:
    """What is asked of this piece: where nothing but the signs changes, every stop stays on its course. Or why the text
    to be kept cannot be."""
    instrument = read.sounding.heading.instrument
    letters = wish.letters or what_letters_name(read.sounding, read.song)
    asked = Asked(interval, wish.preset, wish.signs, None, letters if read.song.chords else None)
    if keep is not None:
        there = wish.preset.name if wish.preset is not None else instrument.name
        kept = _kept(keep, there)
        return kept if isinstance(kept, str) else replace(asked, keep=kept)
    if interval == UNISON and not asked.changes(instrument):
        return replace(asked, keep=read.sounding)
    return asked


def _kept(keep: Kept, instrument: str) -> SoundingPiece | str:
    """The text to be kept, or why it cannot be: it has errors, or is for another instrument."""
    name = keep.text.name
    found = sounding_piece(keep.text, keep.inherited) if keep.usable else None
    if found is None or any(one.severity is Severity.ERROR for one in found.diagnostics):
        return f"{name} has errors; longneck check shows them"
    other = found.value.heading.instrument.name
    return found.value if other == instrument else f"{name} is for {other}, not for {instrument}"
