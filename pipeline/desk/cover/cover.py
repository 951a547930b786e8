"""From a piece and its moving to the cover sheet of its set."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from pipeline.desk.cover.record import Cover, Person, Tuned
from pipeline.desk.programme.plan import programme
from pipeline.desk.programme.plan.moves import between
from pipeline.desk.programme.writers import words
from pipeline.edition.bass import has_typed_figures
from pipeline.edition.notate.front import instrument_word
from pipeline.edition.notate.voices import compass_line, signature
from pipeline.edition.transpose import transposed_key, transposed_signature
from pipeline.findings.codes.moving import NOT_CARRIED_OVER, OCTAVE_CHANGED, OTHER_FINGERING, STOP_LEFT_OUT
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.interval import UNISON, Interval
from pipeline.model.presets import find_preset
from pipeline.model.record import replace
from pipeline.model.signs import Signs
from pipeline.model.song import Song
from pipeline.model.sounding import SoundingPiece
from pipeline.model.voiced import VoicedPiece

_SIGNS = {Signs.FRENCH: "French letters", Signs.ITALIAN: "Italian figures"}
#: What is said of the bars in which the player's part differs, by the kind of finding.
_TOLD = {
    OCTAVE_CHANGED: "In another octave than in the source, for want of a string or of reach: a note of the {} in {}.",
    STOP_LEFT_OUT: "Left out, for want of a string or of reach: a note of the {} in {}.",
    OTHER_FINGERING: "Another fingering of the {} would be as good in {}.",
}


@dataclass(frozen=True, slots=True)
class Set:
    """All that a cover sheet is made from: the source as read, what is sung in the key of the set, the interval, the
    piece that the player has, its signs, what the moving could not keep, who has what, and whether there is a bass
    part."""

    source: VoicedPiece
    song: Song
    interval: Interval
    played: SoundingPiece
    signs: Signs
    lost: tuple[Diagnostic, ...]
    persons: tuple[Person, ...]
    bass: bool = True


def cover_of(made: Set) -> Cover:
    """The cover sheet. What is as in the source is not said again."""
    heading = made.source.sounding.heading
    return Cover(
        heading.title,
        heading.composer,
        tuple(_facts(made)),
        made.persons,
        _tuned(made),
        tuple(_decided(made.lost, instrument_word(made.played.heading).lower())),
    )


# --- facts ------------------------------------------------------------------------------------------------------


def _facts(made: Set) -> Iterator[tuple[str, str]]:
    before, after = made.source.sounding.heading, made.played.heading
    yield "Key", _key(made)
    pitch = f"A4 = {before.pitch:g} Hz" if before.pitch is not None else "not declared: agree on it"
    yield "Pitch", pitch
    compass = compass_line(made.song)
    if compass:
        yield "Voices" if " · " in compass else "Voice", compass
    name = after.instrument.name
    moved = f" (source: {before.instrument.name})" if name != before.instrument.name else ""
    yield "Tablature", f"{name}{moved}"
    if made.signs is not before.signs:
        yield "Signs", f"{_SIGNS[made.signs]} (source: {_SIGNS[before.signs]})"
    if made.bass:
        yield "Bass", _bass(made.song)


def _key(made: Set) -> str:
    key = made.source.sounding.heading.key
    if key is None:
        told = signature(transposed_signature(made.source.fifths, made.interval))
        source = signature(made.source.fifths)
    else:
        new = transposed_key(key, made.interval)
        told, source = (f"{words.in_print(one.tonic)} {one.mode}" if one is not None else "" for one in (new, key))
    if made.interval == UNISON:
        return f"{told}, as in the source"
    return f"{told}, {made.interval.words} (source: {source})"


def _bass(song: Song) -> str:
    lines = [line for line in song.lines if line.bass and any(note.pitch is not None for note in line.notes)]
    if not lines:
        return "read from the tablature; figures worked out"
    typed = all(map(has_typed_figures, lines))
    return f"of the source; figures {'of the source' if typed else 'worked out'}"


# --- strings ----------------------------------------------------------------------------------------------------


def _tuned(made: Set) -> Tuned:
    """The tuning of the set, and what moves for it: from that of the source or, on another instrument, from the usual
    one."""
    source, played = made.source.sounding, made.played
    name = played.heading.title
    alone = programme([(name, played)])
    other = played.heading.instrument.name != source.heading.instrument.name
    preset = find_preset(played.heading.instrument.name)
    if other and preset is not None:
        usual = replace(played.heading, instrument=preset.instrument, tuned=(), scale_declared=False)
        before = replace(played, heading=usual, bars=())
    else:
        before = source
    both = programme([(name, before), (name, played)])
    moves = between(both.pieces[0], both.pieces[1])
    since = "the usual tuning" if other else "the tuning of the source"
    known = words.how_known(alone.pieces[0]) if played is source else ""
    return Tuned(since, moves, alone, known)


# --- decisions --------------------------------------------------------------------------------------------------


def _decided(lost: Sequence[Diagnostic], instrument: str) -> Iterator[str]:
    """What the moving decided, each kind once, with its bars."""
    for code, said in _TOLD.items():
        bars = list(dict.fromkeys(one.bar or "upbeat" for one in lost if one.code is code))
        if bars:
            yield said.format(instrument, f"bar{'s' if len(bars) > 1 else ''} {', '.join(bars)}")
    messages = (one.message for one in lost if one.code is NOT_CARRIED_OVER)
    yield from dict.fromkeys(messages)
