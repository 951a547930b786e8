"""What a file says of pitch, held against its tuning note for note."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from fractions import Fraction

from pipeline.findings.codes.exchange import NO_TUNING, PITCH_AGAINST_TUNING
from pipeline.model.diagnostics import Diagnostic, Related
from pipeline.model.instrument import Course
from pipeline.source.exchange.drafts import EventDraft, Heard, PieceDraft, StopDraft
from pipeline.source.exchange.ledger import Ledger

#: Contradictions that are listed one by one.
MOST_LISTED = 200


def check_pitches(piece: PieceDraft, ledger: Ledger) -> None:
    """A finding for every figure whose pitch in the file is not the one of its course and fret; where all differ by
    the same interval, one for all of them. A tuning that lacks a course that is played counts as not told."""
    if not piece.courses:
        ledger.add(
            NO_TUNING,
            1,
            "The file does not say how the instrument is tuned: no pitch is claimed.",
            "Name the instrument in the heading.",
        )
        return
    highest = max((stop.figure.course or 0 for _, stop, _ in _stops(piece) if stop.figure is not None), default=0)
    if highest > len(piece.courses):
        message = (
            f"Course {highest} is played, and the tuning ends with course {len(piece.courses)}: no pitch is claimed."
        )
        ledger.add(NO_TUNING, piece.tuning_line, message, "Declare every course in the heading.")
        piece.courses = ()
        return
    _check_staves(piece, ledger)
    wrong, right = [], 0
    for name, stop, courses in _stops(piece):
        off = _off(stop, courses)
        if off:
            wrong.append((name, stop, off))
        elif off == 0:
            right += 1
    shifts = Counter(off for _, _, off in wrong)
    common = shifts.most_common(1)[0] if shifts else (0, 0)
    if common[1] > 2 and not right and len(shifts) == 1:
        way = "higher" if common[0] > 0 else "lower"
        message = f"Every pitch in the file is {abs(common[0])} semitones {way} than course and fret on its tuning."
        ledger.add(
            PITCH_AGAINST_TUNING, piece.tuning_line, message, "A guitar is often written an octave above its sound."
        )
        return
    for name, stop, _ in wrong[:MOST_LISTED]:
        _say(name, stop, piece, ledger)
    if len(wrong) > MOST_LISTED:
        ledger.add(PITCH_AGAINST_TUNING, 1, f"{len(wrong) - MOST_LISTED} more pitches contradict the tuning.")


def _check_staves(piece: PieceDraft, ledger: Ledger) -> None:
    """Where staves show the same music, what they strike with an event against what its figures sound. Only a pitch
    that takes the place of another is a contradiction: a staff may leave notes out, or have its own."""
    courses = piece.courses
    wrong: list[tuple[str, Heard, int]] = []
    agreed = False
    for bar in piece.bars:
        courses = bar.courses or courses
        at: dict[Fraction, list[Heard]] = {}
        for each in bar.heard:
            at.setdefault(each.onset, []).append(each)
        for event in bar.events:
            heard = at.get(event.onset, [])
            sounds = _sounding(event, courses)
            if not heard or sounds is None:
                continue
            first = {strings[0] for strings in sounds}
            extra = [each for each in heard if all(each.pitch.semitones not in strings for strings in sounds)]
            missing = sorted(first - {each.pitch.semitones for each in heard})
            agreed = agreed or not extra
            pairs = zip(sorted(extra, key=lambda each: each.pitch.semitones), missing, strict=False)
            wrong += [(bar.name, each, sound) for each, sound in pairs]
    shifts = {each.pitch.semitones - sound for _, each, sound in wrong}
    if len(wrong) > 2 and len(shifts) == 1 and not agreed:
        shift = shifts.pop()
        way = "higher" if shift > 0 else "lower"
        message = f"The staves stand {abs(shift)} semitones {way} than the tablature on its tuning throughout."
        ledger.add(PITCH_AGAINST_TUNING, piece.tuning_line, message)
        return
    for name, each, sound in wrong[:MOST_LISTED]:
        message = (
            f"Measure {name}, {each.place}: the staves have {each.pitch.name}, where the tablature on its tuning sounds"
            f" {abs(each.pitch.semitones - sound)} semitones {'lower' if each.pitch.semitones > sound else 'higher'}."
        )
        related = (Related(ledger.at(piece.tuning_line), "the tuning is told here"),)
        hint = "One of the two is wrong."
        ledger.extend((Diagnostic(PITCH_AGAINST_TUNING, ledger.at(each.line), message, hint, related),))


def _sounding(event: EventDraft, courses: tuple[Course, ...]) -> list[list[int]] | None:
    """The strings that sound in an event, course by course; None where one cannot be told."""
    found = []
    for stop in event.stops:
        figure = stop.edition
        if figure is None or figure.fret is None or not figure.course or figure.course > len(courses):
            return None
        found.append([string.semitones + figure.fret for string in courses[figure.course - 1].strings])
    return found or None


def _stops(piece: PieceDraft) -> Iterator[tuple[str, StopDraft, tuple[Course, ...]]]:
    """Every figure with the name of its measure and the tuning in force."""
    courses = piece.courses
    for bar in piece.bars:
        courses = bar.courses or courses
        for event in bar.events:
            for stop in event.stops:
                yield bar.name, stop, courses


def _off(stop: StopDraft, courses: tuple[Course, ...]) -> int | None:
    """By how many semitones the file's pitch is off; None where it says none."""
    figure = stop.edition
    if stop.pitch is None or figure is None or not figure.course or figure.fret is None:
        return None
    if figure.course > len(courses):
        return None
    offs = [stop.pitch.semitones - string.semitones - figure.fret for string in courses[figure.course - 1].strings]
    return min(offs, key=abs)


def _say(name: str, stop: StopDraft, piece: PieceDraft, ledger: Ledger) -> None:
    figure, pitch = stop.edition, stop.pitch
    assert figure is not None and pitch is not None and figure.course and figure.fret is not None
    course = piece.courses[figure.course - 1]
    message = (
        f"Measure {name}, {stop.place}: the file says {pitch.name}, but fret {figure.fret} on course {figure.course}"
        f" ({course.pitch.name}) is something else."
    )
    related = (Related(ledger.at(piece.tuning_line), f"course {figure.course} is tuned to {course.pitch.name} here"),)
    ledger.extend(
        (Diagnostic(PITCH_AGAINST_TUNING, ledger.at(stop.line), message, "One of the two is wrong.", related),)
    )
