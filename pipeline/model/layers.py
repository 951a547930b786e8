"""Other layers of a bar as typed: voices, basses, chord letters, words."""

from __future__ import annotations

from enum import Enum

from pipeline.model.record import Record
from pipeline.model.signs import Group, Label, MarkGroup, Reading, Unread
from pipeline.model.text import Span
from pipeline.model.time import Value


class LayerPitch(Record, frozen=True):
    """Rule ``pitch`` of a voice or bass line: letter, accidental as printed (``#``, ``b``, ``n`` or empty),
    octave as typed or None where the one before holds."""

    step: str
    accidental: str
    octave: int | None


class LayerNote(Record, frozen=True):
    """Rule ``note``: one word of a ``v`` or ``b`` line. ``pitch`` is None for a rest.

    ``figures`` are figured-bass columns in order of time, each stacked from the top; ``group`` stands over the note.
    """

    span: Span
    value: Reading[Value] | None
    value_marks: tuple[MarkGroup, ...]
    pitch: Reading[LayerPitch] | None
    joined: bool = False
    figures: tuple[tuple[str, ...], ...] = ()
    figures_typed: str = ""
    labels: tuple[Label, ...] = ()
    group: Group | None = None


class LayerKind(Enum):
    VOICE = "v"
    BASS = "b"
    CHORDS = "c"
    TEXT = "1"


class LayerLine(Record, frozen=True):
    """One line of another layer of the bar above.

    ``name`` is the first token (``v``, ``v2``, ``b``, ``c``, ``1``); ``over`` is the name of the note line
    that a chord or text line belongs to (empty: the tablature). Notes for voices and basses, ``words``
    (with spans) for chords and text; words may also be ``-`` (none) and ``_`` (melisma). ``word_labels`` runs
    beside ``words``: the labels typed behind each, which are no part of it.
    """

    kind: LayerKind
    name: str
    over: str
    span: Span
    notes: tuple[LayerNote | Unread, ...] = ()
    words: tuple[tuple[str, Span], ...] = ()
    word_labels: tuple[tuple[Label, ...], ...] = ()
    comment: str = ""
