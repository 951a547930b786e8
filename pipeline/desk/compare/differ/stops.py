"""The stops of two events, course by course, and what is read into them."""

from __future__ import annotations

from collections.abc import Sequence

from pipeline.desk.compare.content import NoteReading, StopContent
from pipeline.desk.compare.differ.ledger import Ledger
from pipeline.desk.compare.differ.words import heard, length_words, slur_words
from pipeline.desk.compare.difference import Kind

_OCTAVES = {1: "an octave higher", -1: "an octave lower"}


def compare_stops(ledger: Ledger, one: Sequence[StopContent], two: Sequence[StopContent]) -> None:
    """Everything about the stops of an event, apart from the order in which they are struck."""
    left, right = _by_course(one), _by_course(two)
    for key, stop in left.items():
        if key in right:
            _pair(ledger, stop, right[key])
    _unmatched(
        ledger,
        [stop for key, stop in left.items() if key not in right],
        [stop for key, stop in right.items() if key not in left],
    )


def compare_sounds(ledger: Ledger, one: Sequence[StopContent], two: Sequence[StopContent]) -> None:
    """Only what follows: tuning and readings, of stops that are written alike. Stops that sound again without being
    written may differ; what they repeat has been told then."""
    for left, right in zip(one, two, strict=False):
        if left.reading is not right.reading and left.reading != right.reading:
            continue
        if left.strings != right.strings:
            ledger.sounds_otherwise(left, right)
        if left.read != right.read and left.read is not None and right.read is not None:
            _readings(ledger, left, right, left.read, right.read)


def _by_course(stops: Sequence[StopContent]) -> dict[tuple[str, int], StopContent]:
    """A course stands once in an event; where it does not, the first goes with the first, and so on."""
    found: dict[tuple[str, int], StopContent] = {}
    for stop in stops:
        number = 0
        while (stop.course, number) in found:
            number += 1
        found[stop.course, number] = stop
    return found


def _unmatched(ledger: Ledger, left: list[StopContent], right: list[StopContent]) -> None:
    """Stops on courses that the other side does not use: moved to another course if the fret is the same or they are
    the only ones left, else there on one side only."""
    moved: list[tuple[StopContent, StopContent]] = []
    for stop in list(left):
        same = next((other for other in right if _fret(other) == _fret(stop)), None)
        if same is not None:
            moved.append((stop, same))
            left.remove(stop)
            right.remove(same)
    if len(left) == len(right) == 1:
        moved.append((left.pop(), right.pop()))
    for stop, other in moved:
        words = ledger.hand_one.placed(stop), ledger.hand_two.placed(other)
        ledger.say(Kind.STOP, "", *words, (stop.span, other.span), (heard(stop), heard(other)))
        _beside(ledger, stop, other, "the moved stop")
    for stop in left:
        ledger.say(Kind.STOP, "", ledger.hand_one.placed(stop), "", (stop.span, None), (heard(stop), ""))
    for stop in right:
        ledger.say(Kind.STOP, "", "", ledger.hand_two.placed(stop), (None, stop.span), ("", heard(stop)))


def _fret(stop: StopContent) -> object:
    sign = stop.reading.edition or stop.reading.source
    return (sign.fret, sign.state) if sign is not None else None


def _pair(ledger: Ledger, one: StopContent, two: StopContent) -> None:
    """Two stops on one course."""
    subject = ledger.hand_one.course(one.course)
    spans = (one.span, two.span)
    if one.reading != two.reading:
        sounds = (heard(one), heard(two)) if one.strings != two.strings else ("", "")
        ledger.say(Kind.STOP, subject, ledger.hand_one.stop(one), ledger.hand_two.stop(two), spans, sounds)
    elif one.strings != two.strings:
        ledger.sounds_otherwise(one, two)
    if one != two:
        _beside(ledger, one, two, subject)
    if one.read != two.read and one.read is not None and two.read is not None:
        _readings(ledger, one, two, one.read, two.read)


def _beside(ledger: Ledger, one: StopContent, two: StopContent, subject: str) -> None:
    """Slur, marks and note lines."""
    spans = (one.span, two.span)
    if one.slur is not two.slur:
        ledger.say(Kind.SLUR, subject, slur_words(one.slur), slur_words(two.slur), spans)
    if one.marks != two.marks:
        ledger.marks(subject, one.marks, two.marks, spans, over=False)
    ledger.notes(subject, one.notes, two.notes, spans)


def _readings(ledger: Ledger, one: StopContent, two: StopContent, left: NoteReading, right: NoteReading) -> None:
    """What is read into two notes."""
    subject = ledger.hand_one.course(one.course)
    spans = (one.span, two.span)
    pairs = (
        (Kind.VOICE, _voice(left), _voice(right)),
        (Kind.LENGTH, _length(left), _length(right)),
        (Kind.OCTAVE, _octave(left), _octave(right)),
        (Kind.READING, _across(left), _across(right)),
    )
    for kind, before, after in pairs:
        if before != after:
            ledger.say(kind, subject, before, after, spans)
    if one.strings == two.strings and left.spelling != right.spelling:
        ledger.say(Kind.SPELLING, subject, f"spelled {left.spelling}", f"spelled {right.spelling}", spans)


def _voice(read: NoteReading) -> str:
    pinned = ", pinned" if read.decided == "editor" else ""
    return f"voice {read.voice} ({read.part}){pinned}"


def _length(read: NoteReading) -> str:
    words = length_words(read.length)
    return f"lasts {words if words[0].isdigit() else f'a {words}'}" if read.length else "lasts no time"


def _octave(read: NoteReading) -> str:
    if not read.octaves:
        return f"meant as it sounds{', pinned' if read.octaves_decided == 'editor' else ''}"
    where = _OCTAVES.get(read.octaves, f"{read.octaves} octaves off")
    if read.asked:
        return f"asked whether it is meant {where}"
    return f"meant {where}{', pinned' if read.octaves_decided == 'editor' else ''}"


def _across(read: NoteReading) -> str:
    return f"a scale across courses {read.across.replace('endsbegins', 'ends and begins')} here" if read.across else ""
