"""What may be a misprint, and what it should say: a proposal to the editor, never applied by itself."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from pipeline.model.text import Span


class Slip(Enum):
    """What may have gone wrong in the print, or in the typing; the value is how a list names it."""

    SIGN_MISSING = "rhythm sign missing"
    SIGN_WRONG = "rhythm sign wrong"
    SIGN_EXTRA = "superfluous rhythm sign"
    BAR_LINE_MISSING = "bar line missing"
    BAR_LINE_EXTRA = "superfluous bar line"
    LINE_OFF = "one line off"
    FIGURE_CONFUSED = "figure confused"
    DIAPASON_CONFUSED = "diapason confused"
    PRINTS_DIFFER = "another source of the piece differs"


#: Slips of rhythm and bar lines; the others concern stops.
OF_TIME = frozenset({Slip.SIGN_MISSING, Slip.SIGN_WRONG, Slip.SIGN_EXTRA, Slip.BAR_LINE_MISSING, Slip.BAR_LINE_EXTRA})
#: Slips that the music of the piece itself shows.
OF_MUSIC = frozenset(Slip) - {Slip.PRINTS_DIFFER}


@dataclass(frozen=True, slots=True)
class Edit:
    """One change of the encoding: at ``span`` stands ``before`` (empty: something is inserted), ``after`` comes in
    its place. A label and the rest of the sign, ``tail``, may follow. A line feed in them begins a new line."""

    span: Span
    before: str
    after: str
    tail: str = ""


@dataclass(frozen=True, slots=True)
class Suspicion:
    """One suspicious place with one way to mend it.

    ``bar`` counts the typed bars from 0, ``label`` is the number printed for it; ``event`` and ``stop`` are ids as in
    the sounding piece (``b3e2``, ``b3e2c5``; empty where a bar line or an event is meant). ``typed`` is what the
    encoding has at ``span``, ``proposed`` what it would have. ``chance`` is how surely this is the right mend, from
    0 to 1, all other explanations weighed. ``reasons`` are whole sentences without a full stop. ``place`` numbers
    the places of the piece from 0, ``rank`` the ways to mend one place from 1. ``by_hand`` says why the change
    cannot be written by the program (``edits`` then only show what is meant); empty if it can. ``marked`` is the sign
    alone where ``span`` has grown to the whole word.
    """

    slip: Slip
    bar: int
    label: str
    event: str
    stop: str
    span: Span
    typed: str
    proposed: str
    edits: tuple[Edit, ...]
    chance: float
    reasons: tuple[str, ...] = ()
    place: int = 0
    rank: int = 1
    by_hand: str = ""
    marked: Span | None = None


@dataclass(frozen=True, slots=True)
class Proposal:
    """A suspicion with the name it is called by. ``id`` follows from the bar as typed and from the change, so that
    it stays the same while other bars change."""

    id: str
    suspicion: Suspicion
