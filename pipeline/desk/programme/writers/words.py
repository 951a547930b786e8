"""What a retuning sheet says, whatever it is written on."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from pipeline.desk.programme.sheet import (
    Changeover,
    Inside,
    Known,
    Method,
    Move,
    Programme,
    ProgrammePiece,
    Standard,
    Strain,
    TunedCourse,
)
from pipeline.model.gut import BREAKING_HZ_M, breaking_hertz

TITLE = "Retuning sheet"
NOTHING = "Nothing to retune."
CAUTIONS = (
    "Tune up slowly, in small steps, and never further than the pitch that the string was chosen for.",
    "Mind your eyes: keep your face away from a string that you tune up.",
    "A string that was retuned keeps drifting. Let it settle, then tune it again before you play.",
    "This sheet knows nothing of your strings. Ask a maker which gauges suit these pitches.",
)
_STEPS = {1: "a semitone", 2: "a whole tone"}


@dataclass(frozen=True, slots=True)
class Line:
    """One thing to do: the course, its pitch before and after (``F#2``; ``F#2+F#3`` where both strings of a course go
    the same way), how far, the frequencies, and what to mind (or nothing)."""

    course: int
    before: str
    after: str
    way: str
    hertz: str
    note: str


def lines(moves: Sequence[Move], piece: ProgrammePiece) -> Iterator[Line]:
    """The strings to move, those of one course on one line where they go the same way."""
    for _, together in groupby(moves, lambda move: (move.course, move.tenths)):
        same = list(together)
        first = same[0]
        yield Line(
            first.course,
            "+".join(move.before.pitch.name for move in same),
            "+".join(move.after.pitch.name for move in same),
            way(first.tenths),
            f"{'+'.join(_hertz(move.before.hertz) for move in same)} → "
            f"{'+'.join(_hertz(move.after.hertz) for move in same)} Hz",
            _note(same, piece),
        )


def renamed(change: Changeover) -> tuple[Move, ...]:
    """The strings that do more than follow the pitch standard."""
    return tuple(move for move in change.moves if move.semitones)


def _note(moves: Sequence[Move], piece: ProgrammePiece) -> str:
    first = moves[0]
    said = []
    if len(moves) < first.strings:
        said.append("octave string" if first.string else "first string only")
    if not first.struck:
        said.append("not struck in this piece")
    worst = max((move.after.strain for move in moves), key=_GRAVITY.index)
    if piece.lengths is not None and first.tenths > 0 and worst in (Strain.NEAR, Strain.BEYOND):
        length = piece.lengths[any(course.number == first.course for course in piece.diapasons)]
        breaking = f"where plain gut of {length:g} cm breaks, about {breaking_hertz(length):.0f} Hz"
        said.append(f"beyond {breaking}: leave it, and ask a maker" if worst is Strain.BEYOND else f"near {breaking}")
    return "; ".join(said)


_GRAVITY = (Strain.UNKNOWN, Strain.FAR, Strain.NEAR, Strain.BEYOND)


def way(tenths: int) -> str:
    """``down a semitone``, ``up 3 semitones``, ``up 101 cents``."""
    direction = "up" if tenths > 0 else "down"
    semitones, rest = divmod(abs(tenths), 1000)
    if rest:
        cents = round(abs(tenths) / 10)
        return f"{direction} {cents} cent{'' if cents == 1 else 's'}" if cents else f"{direction} less than a cent"
    return f"{direction} {_STEPS.get(semitones, f'{semitones} semitones')}"


def pitches(course: TunedCourse) -> str:
    """``G2``, or ``G2+G3`` of a course in octaves."""
    return "+".join(string.pitch.name for string in course.strings)


def hertz(course: TunedCourse) -> str:
    """``92.4``, or ``92.4+184.9``."""
    return "+".join(_hertz(string.hertz) for string in course.strings)


def _hertz(frequency: float) -> str:
    return f"{frequency:.1f}"


def in_print(text: str) -> str:
    """Pitch names with printed signs: ``F♯2``, ``B♭1``."""
    return text.replace("#", "♯").replace("b", "♭")


# --- sentences --------------------------------------------------------------------------------------------


def name_of(piece: ProgrammePiece) -> str:
    """The title, or the file where there is none."""
    return piece.title or piece.name


def instrument_of(piece: ProgrammePiece, programme: Programme) -> str:
    """``theorbo in A, A4 = 415 Hz``."""
    return f"{programme.instruments[piece.instrument]}, A4 = {piece.a4:g} Hz"


def how_known(piece: ProgrammePiece) -> str:
    """Which diapasons are declared, which are only as usual, and of which of these another tuning may be meant."""
    by_known = {
        known: [course for course in piece.diapasons if course.known is known]
        for known in (Known.DECLARED, Known.ASKED, Known.USUAL)
    }
    if not piece.diapasons:
        return "No diapasons."
    if len(by_known[Known.USUAL]) == len(piece.diapasons):
        return "Not declared: the usual tuning of this instrument."
    said = [f"Declared: {_numbers(by_known[Known.DECLARED])}."] if by_known[Known.DECLARED] else []
    for course in by_known[Known.ASKED]:
        asked = course.asked.name if course.asked is not None else ""
        said.append(
            f"Is course {course.number} meant to be {asked}? Nothing is declared; the fretted notes ask for it "
            f"({min(course.chance, 0.99):.0%} likely). Ask the editor, or look at the source, before you tune."
        )
    if by_known[Known.USUAL]:
        said.append(f"As usual on this instrument: {_numbers(by_known[Known.USUAL])}.")
    return " ".join(said)


def _numbers(courses: Sequence[TunedCourse]) -> str:
    """``7, 9 to 14``."""
    runs: list[list[int]] = []
    for course in courses:
        if runs and course.number == runs[-1][-1] + 1:
            runs[-1].append(course.number)
        else:
            runs.append([course.number])
    return ", ".join(f"{run[0]} to {run[-1]}" if len(run) > 2 else ", ".join(map(str, run)) for run in runs)


def standard_said(piece: ProgrammePiece) -> str:
    """Where a pitch standard is from that the piece does not declare; empty where it does, or the player asked."""
    if piece.standard is Standard.OTHERS:
        return f"No pitch standard is declared; A4 = {piece.a4:g} Hz is taken from the other pieces."
    if piece.standard is Standard.NONE:
        return f"No pitch standard is declared; the frequencies are for A4 = {piece.a4:g} Hz."
    return ""


def standard_change(change: Changeover) -> str:
    """What a change of the pitch standard means; empty where there is none."""
    if change.standard is None:
        return ""
    before, after = change.standard
    return (
        f"The pitch standard changes from A4 = {before:g} to {after:g} Hz: with it every string goes "
        f"{way(change.moves[0].tenths - 1000 * change.moves[0].semitones)}. Is that intended? --pitch {before:g} "
        "sets one "
        "standard for all pieces."
    )


def before(place: int, change: Changeover) -> str:
    """The head of a change: ``Before 3``; ``Before 9 (last played: 3)`` where other instruments came between."""
    since = change.since
    return f"Before {place}" if since is None or since == place - 2 else f"Before {place} (last played: {since + 1})"


def stopped(piece: ProgrammePiece) -> str:
    """The open strings over the fingerboard: ``Courses 1 to 6: A3 E3 …``."""
    return f"Courses 1 to {len(piece.stopped)}: {' '.join(map(pitches, piece.stopped))}"


def where(inside: Inside) -> str:
    """``Within the piece: at Maggiore, bar 22``."""
    part = f"at {inside.section}" if inside.begins else ""
    bar = f"bar {inside.bar}" if inside.bar else "a bar without number"
    return f"Within the piece, {part}, {bar}" if part else f"Within the piece, before {bar}"


def going_back(piece: ProgrammePiece) -> str:
    """What is said of a piece that goes back after a retuning; empty for others."""
    if not piece.goes_back:
        return ""
    return (
        "After that the piece goes back to an earlier part: check which tuning it needs there. The sheet counts "
        "on the last one."
    )


def counts(programme: Programme) -> str:
    """How many strings move, and what is known of the order."""
    inside = sum(len(one.moves) for piece in programme.pieces for one in piece.inside)
    within = f" Within pieces: {inside}." if inside else ""
    if programme.method is Method.GIVEN:
        return f"Strings that move between pieces: {programme.moved}.{within}"
    best = (
        "No order has fewer"
        if programme.method is Method.PROVEN
        else "The best order found by search; it is not proven that none is better"
    )
    return (
        f"Strings that move between pieces: {programme.moved}; in the order given: {programme.as_given}. {best}."
        f"{within}"
    )


def apart(programme: Programme) -> str:
    """What is said where more than one instrument is played; empty for one."""
    if len(programme.instruments) < 2:
        return ""
    return (
        f"{len(programme.instruments)} instruments: {'; '.join(programme.instruments)}. Each keeps the tuning of its "
        "last piece; none is retuned into another."
    )


def limits(programme: Programme) -> Iterator[str]:
    """Where plain gut breaks on the declared lengths; nothing where none is declared."""
    said = []
    for number, name in enumerate(programme.instruments):
        lengths = {length for piece in programme.pieces if piece.instrument == number for length in piece.lengths or ()}
        if lengths:
            breaking = ", ".join(f"{breaking_hertz(length):.0f} Hz on {length:g} cm" for length in sorted(lengths))
            said.append(f"{name}: {breaking}")
    if said:
        yield (
            f"Roughly where plain gut breaks, whatever its gauge ({'; '.join(said)}). Frequency × length = "
            f"{BREAKING_HZ_M:g} Hz·m; from a society's page, read second-hand. No string is safe there: most are made "
            "for far less, and pull too hard on the instrument long before. Leave the last word to a maker."
        )
