"""What is said of the sign at a place: what sounds, on which string, in which voice, how long, and why."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from pipeline.desk.converse.at import Here, dittos_at, head_at, here, label_at, layer_at, note_at, within, written_out
from pipeline.desk.converse.look import Look
from pipeline.desk.converse.record import Insight, NoteSaid, Told
from pipeline.desk.misprints.listing import sureness
from pipeline.desk.misprints.proposal import Proposal
from pipeline.edition.readings import AT_STOP, OVER, course_said, value_said
from pipeline.model.heading import Heading
from pipeline.model.instrument import Course, Instrument
from pipeline.model.record import replace
from pipeline.model.signs import Act, FretState, MarkGroup, Stop
from pipeline.model.song import SungNote
from pipeline.model.sounding import SoundingEvent, SoundingStop
from pipeline.model.tablature import HeadingLine
from pipeline.model.text import Span
from pipeline.model.time import WHOLE, Ticks, Value, show

#: What is said where the voices have not been read yet.
UNREAD = "Its voice and length are still being read."
_TUNES = frozenset({"instrument", "course", "diapasons", "stopped"})
_VALUES = {Value(unit, dots).ticks: Value(unit, dots) for unit in (0, 1, 2, 4, 8, 16, 32, 64) for dots in (0, 1, 2)}


def hover(
    look: Look,
    names: Mapping[str, str],
    insight: Insight | None,
    line: int,
    column: int,
    proposals: Sequence[Proposal] = (),
) -> Told | None:
    """All that is known of what stands at a place; None for nothing. ``names`` are the pitches as ``pitches.names``
    has them; ``insight`` is None while the reading lasts."""
    told = _label(look, line, column) or _sign(look, names, insight, line, column)
    told = told or _ditto(look, line, column) or _sung(look, line, column) or _heading(look, line)
    if told is None:
        return None
    return replace(told, says=(*told.says, *_misprints(told.span, proposals)))


# --- signs of the tablature -------------------------------------------------------------------------------


def _sign(look: Look, names: Mapping[str, str], insight: Insight | None, line: int, column: int) -> Told | None:
    found = here(look.piece, line, column)
    if found is None:
        return None
    heading = look.piece.heading
    if found.typed is None:
        return _event(found, heading, names, line, column)
    stop = found.typed
    said = [_what(found.bar.instrument, stop, found.stop, names, look)]
    if found.stop is not None and not found.stop.held:
        said += _reading(found.stop, insight)
    said += _marks(stop.marks, AT_STOP, heading)
    said.append(_where(found))
    return Told(stop.span, tuple(one for one in said if one))


def _what(
    instrument: Instrument, stop: Stop, sounding: SoundingStop | None, names: Mapping[str, str], look: Look
) -> str:
    if sounding is None:
        return _silent(stop, instrument)
    name = names.get(sounding.id, "")
    course = instrument.course(sounding.course)
    string = _string(course, sounding) if course is not None else ""
    if sounding.held:
        return f"A hold line: **{name}** goes on sounding{string and f', {string}'}."
    octaves = [pitch - sounding.pitch for pitch in sounding.strings[1:]]
    doubled = "" if not octaves else f" with its {'octave' if any(octaves) else 'unison'}"
    how = ", slurred from the note before on its course" if sounding.slurred else ""
    source = f" In the source: `{look.source.at(stop.span)}`." if stop.reading.act is not Act.PRINTED else ""
    return f"**{name}**{doubled}: {string}{how}.{source}"


def _string(course: Course, stop: SoundingStop) -> str:
    strings = "+".join(str(string) for string in course.strings)
    fret = f"fret {stop.fret}" if stop.fret else "open"
    return f"{fret} on the {course_said(course.number)}, tuned {strings}"


def _silent(stop: Stop, instrument: Instrument) -> str:
    reading = stop.reading
    if reading.act is Act.REMOVED:
        return "The source has it, the edition leaves it out: nothing sounds."
    if reading.act in (Act.ILLEGIBLE, Act.LOST):
        return f"{'Illegible' if reading.act is Act.ILLEGIBLE else 'Lost'}: nothing sounds."
    sign = reading.edition
    if sign is not None and sign.state in (FretState.ILLEGIBLE, FretState.LOST):
        where = f" on the {course_said(sign.course)}" if sign.course else ""
        return f"A stop{where} whose fret cannot be read: nothing sounds."
    if not instrument.courses:
        return "No pitch is claimed: the tuning of the instrument is not known."
    return "It does not sound here; see the finding."


def _reading(stop: SoundingStop, insight: Insight | None) -> list[str]:
    if insight is None:
        return [UNREAD]
    note = next((one for one in insight.notes if one.stop == stop.id), None)
    if note is None:
        return []
    return [f"{_voice(note)}, lasts {_length(note.length)}.", " ".join(note.why)]


def _voice(note: NoteSaid) -> str:
    return f"Voice {note.voice} of {note.voices}" if note.voices > 1 else "The only voice"


def _length(ticks: Ticks) -> str:
    """``a dotted crotchet (3/8)``; lengths that no single sign has as a share of a semibreve."""
    value = _VALUES.get(ticks)
    share = show(ticks)
    if value is None:
        return f"{share} of a semibreve"
    return f"a {value_said(value)}" + (f" ({share})" if ticks != WHOLE else "")


def _event(found: Here, heading: Heading, names: Mapping[str, str], line: int, column: int) -> Told:
    event = found.event
    head = event.event.head
    span = head.span if head is not None and head_at(event.event, line, column) else event.event.span
    said = []
    if event.left_out:
        said.append("The edition leaves this event out; it takes no time.")
    elif event.sign is not None:
        own = "printed here" if event.drawn else "from a sign before"
        said.append(f"**{value_said(event.sign)[:1].upper()}{value_said(event.sign)[1:]}**, {own}: {_takes(event)}.")
    else:
        said.append(f"No value is in force: {_takes(event)}.")
    if event.rest:
        said.append("A rest.")
    if event.repeated:
        said.append(f"The chord before again: {' '.join(names.get(stop.id, '') for stop in event.stops)}.")
    said += _marks(head.marks if head is not None else (), OVER, heading)
    said.append(_where(found))
    return Told(span, tuple(said))


def _takes(event: SoundingEvent) -> str:
    group = f", one of {event.tuplet.notes} in the time of {event.tuplet.time}" if event.tuplet is not None else ""
    return f"it takes {show(event.length)} of a semibreve in the edition{group}"


def _where(found: Here) -> str:
    number = next(at for at, event in enumerate(found.bar.events, start=1) if event is found.event)
    bar = f"Bar {found.bar.label}" if found.bar.label else "Upbeat"
    after = found.event.onset - found.bar.onset
    begins = f", {show(after)} after its beginning" if after else ""
    return f"{bar}, event {number}{begins}."


def _marks(groups: Sequence[MarkGroup], known: Mapping[str, str], heading: Heading) -> Iterator[str]:
    for group in groups:
        for reading in group.marks:
            letter = reading.edition or reading.source
            if letter is None:
                continue
            declared = heading.mark(letter)
            meaning = known.get(letter) or (f"{declared.printed}: {declared.meaning}" if declared is not None else "")
            if meaning:
                yield f"`'{letter}` {meaning}."


# --- everything else --------------------------------------------------------------------------------------


def _label(look: Look, line: int, column: int) -> Told | None:
    found = label_at(look.piece, line, column)
    if found is None or not found[1].span.start < column:
        return None
    owner, label = found
    notes = [look.source.at(note.span) for note in owner.notes if note.label == label.letter]
    return Told(label.span, tuple(f"`{note}`" for note in notes)) if notes else None


def _ditto(look: Look, line: int, column: int) -> Told | None:
    bars = dittos_at(look.piece, line, column)
    if not bars or bars[0].bar.ditto is None:
        return None
    said = []
    for bar in bars:
        source = written_out(look.piece, bar)
        said.append(f"Bar {bar.label} is the same as bar {source.label}: `{look.source.at(source.bar.span)}`")
    return Told(bars[0].bar.ditto.span, tuple(said))


def _sung(look: Look, line: int, column: int) -> Told | None:
    if layer_at(look.piece, line) is None:
        return None
    for sung in look.song.lines:
        for note in sung.notes:
            if note.span.file == look.name and within(note.span, line, column):
                return Told(note.span, tuple(_note_said(sung.title or sung.name, note)))
            for syllable in note.syllables:
                if within(syllable.span, line, column):
                    return Told(syllable.span, (f"“{syllable.text}” on {note.pitch}", *_note_said(sung.title, note)))
    return None


def _note_said(title: str, note: SungNote) -> Iterator[str]:
    what = f"**{note.pitch}**" if note.pitch is not None else "A rest"
    tied = ", tied to the note before" if note.tied else ""
    yield f"{title}: {what}, {_length(note.length)}{tied}."
    if note.figures:
        yield f"Figures: {' '.join(', '.join(figure.rows) for figure in note.figures)}."


def _heading(look: Look, line: int) -> Told | None:
    for item in look.piece.tablature.heading:
        if isinstance(item, HeadingLine) and item.span.line == line and item.key in _TUNES:
            return Told(item.span, _tuned(look.piece.heading.instrument))
    found = note_at(look.piece, line)
    return (
        Told(found[1].span, ("The editor's own reading; the rest is read around it.",))
        if found and found[1].pin
        else None
    )


def _tuned(instrument: Instrument) -> tuple[str, ...]:
    if not instrument.courses:
        return ("No tuning is known: the signs are read, and no pitch is claimed.",)
    over = [course for course in instrument.courses if course.number <= instrument.over_fingerboard]
    beside = instrument.courses[len(over) :]
    said = [f"**{instrument.name}**", f"Over the fingerboard: {_courses(over)}"]
    return (*said, f"Beside it: {_courses(beside)}") if beside else tuple(said)


def _courses(courses: Sequence[Course]) -> str:
    return ", ".join(f"{course.number} {'+'.join(str(string) for string in course.strings)}" for course in courses)


def _misprints(span: Span, proposals: Sequence[Proposal]) -> Iterator[str]:
    for proposal in proposals:
        one = proposal.suspicion
        if one.rank == 1 and one.span.line == span.line and one.span.start < span.end and span.start < one.span.end:
            why = ", ".join(one.reasons)
            yield f"Perhaps a misprint ({one.slip.value}): `{one.proposed}`, {sureness(one.chance)}: {why}."
