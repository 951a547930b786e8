"""Questions to the editor that follow from the reading."""

from __future__ import annotations

from collections.abc import Iterator

from pipeline.edition.diapasons import ReadDiapason, read_diapasons
from pipeline.edition.lead.lost_pins import lost_pins
from pipeline.findings.codes import reading
from pipeline.model.diagnostics import Diagnostic, Related
from pipeline.model.pitch import SpelledPitch, from_fifths
from pipeline.model.sounding import SoundingPiece
from pipeline.model.text import Span
from pipeline.model.voiced import LedNote, LedPiece

#: So many questions of octaves are asked in a piece, the likeliest; all doubtful notes are marked in the proof.
_MOST = 8
#: A message names no more pitches of a run.
_NAMED = 6
_CHROMATIC = (0, 7, 2, -3, 4, -1, 6, 1, 8, 3, -2, 5)


def questions(led: LedPiece) -> tuple[Diagnostic, ...]:
    """Doubtful octaves, pins that cannot be followed, and the bass scale where none is declared."""
    return (*_octaves(led), *_pins(led), *lost_pins(led.sounding), *_scale(led.sounding))


def _octaves(led: LedPiece) -> Iterator[Diagnostic]:
    labels = _labels(led.sounding)
    runs = sorted(_runs(led), key=lambda run: -_likely(run))[:_MOST]
    for run in sorted(runs, key=lambda run: run[0].onset):
        first, *others = run
        low, high = (_named(run, up) for up in (0, 12))
        octave = "the octave" if others else high
        how = "Label these stops alike and pin them in each bar" if others else "Label the stop and pin it"
        yield Diagnostic(
            reading.OCTAVE_DOUBTFUL,
            first.stop.stop.span,
            f"Does the line mean {low}, as it sounds, or {high}? The reading finds {octave} "
            f"{round(100 * _likely(run))} % likely.",
            f'{how}: "a > octave up, or "a > octave kept for {low}.',
            tuple(Related(note.stop.stop.span, f"and {_plain(note.stop.pitch)} here") for note in others),
            labels.get(first.id.partition("e")[0], ""),
        )


def _runs(led: LedPiece) -> list[list[LedNote]]:
    """The doubtful notes, those together that follow one another in a voice; of one that sounds again where its bar is
    typed as the same, only the first."""
    runs: dict[tuple[str, int], list[LedNote]] = {}
    seen: set[Span] = set()
    for note in led.notes:
        if note.restored is None or not note.restored.asked or note.stop.stop.span in seen:
            continue
        seen.add(note.stop.stop.span)
        run = runs.get((_event(note.follows), note.voice), [])
        run.append(note)
        runs[_event(note.id), note.voice] = run
    return list({id(run): run for run in runs.values()}.values())


def _event(stop: str) -> str:
    return stop.partition("c")[0]


def _named(run: list[LedNote], up: int) -> str:
    """The pitches of a run, ``up`` semitones above their sound; of a long one the first."""
    names = [_plain(note.stop.pitch + up) for note in run[:_NAMED]]
    return f"{' '.join(names)}{' …' if len(run) > _NAMED else ''}"


def _likely(run: list[LedNote]) -> float:
    """The mean chance of the octave."""
    return sum(note.restored.confidence for note in run if note.restored is not None) / len(run)


def _pins(led: LedPiece) -> Iterator[Diagnostic]:
    by_id: dict[str, LedNote] = {note.id: note for note in led.notes}
    labels = _labels(led.sounding)
    seen: set[Span] = set()
    for stop, why in led.refused:
        span = by_id[stop].stop.stop.span
        if span in seen:  # where its bar is typed as the same again
            continue
        seen.add(span)
        yield Diagnostic(
            reading.PIN_IMPOSSIBLE,
            span,
            f"The pin at this stop cannot be followed: {why}.",
            "Shorten it, or look at the stop that it runs into.",
            bar=labels.get(stop.partition("e")[0], ""),
        )


def _scale(piece: SoundingPiece) -> Iterator[Diagnostic]:
    for read in read_diapasons(piece):
        if read.differs:
            yield _suggestion(read)


def _suggestion(read: ReadDiapason) -> Diagnostic:
    note = read.note
    where = ", ".join(dict.fromkeys(bar.label for bar, _ in read.strokes if bar.label))
    new, old = _plain(note.pitch), _plain(read.now)
    bar, stop = read.strokes[0]
    return Diagnostic(
        reading.SCALE_QUESTION,
        stop.stop.span,
        f"Is course {note.course} tuned to {new} here, not {old}? It is struck in bars {where}; the fretted notes "
        f"have the pitch class of {new} {note.fretted} times, that of {old} {note.against} times.",
        f"If so, declare it in the heading: diapasons {note.course} = {new}.",
        bar=bar.label,
    )


def _plain(pitch: int) -> str:
    """A pitch by its usual name, for a message: F#2, Bb1."""
    name: SpelledPitch = from_fifths(_CHROMATIC[pitch % 12], pitch)
    return name.name


def _labels(piece: SoundingPiece) -> dict[str, str]:
    return {f"b{bar.index + 1}": bar.label for bar in piece.bars}
