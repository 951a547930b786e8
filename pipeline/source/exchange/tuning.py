"""A tuning as heading lines: the instrument that it is, or comes nearest to, and the courses that differ."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from pipeline.model.instrument import Course, Instrument
from pipeline.model.pitch import SpelledPitch
from pipeline.model.presets import PRESETS, find_preset
from pipeline.model.record import replace

#: Tunings that MEI names instead of listing them (MEI 5.1, data.COURSETUNING): those of the lutes as the presets have
#: them, those of the guitar by common practice, no source. One whose octaves differ between authors is not among them.
_GUITARS = {
    "guitar.standard": "E4 B3 G3 D3 A2 E2",
    "guitar.drop.D": "E4 B3 G3 D3 A2 D2",
    "guitar.open.A": "E4 C#4 A3 E3 A2 E2",
    "guitar.open.D": "D4 A3 F#3 D3 A2 D2",
    "guitar.open.G": "D4 B3 G3 D3 G2 D2",
}
_LUTES = {"lute.renaissance.6": "lute in G, 6 courses", "lute.baroque.d.minor": "lute in D minor, 13 courses"}
#: A preset that differs in more courses than this is not called by its name.
MOST_OTHER = 4
#: What the heading calls an instrument whose tuning is not told.
UNTUNED = "of unknown tuning"


def _pitch(name: str) -> SpelledPitch:
    return SpelledPitch(name[0], name.count("#") - name[1:].count("b"), int(name[-1]))


def standard_tuning(name: str) -> tuple[Course, ...]:
    """The courses of a tuning that MEI names; empty if the name is not known."""
    if name in _LUTES:
        preset = find_preset(_LUTES[name])
        return preset.instrument.courses if preset is not None else ()
    pitches = _GUITARS.get(name, "").split()
    return tuple(Course(number, (_pitch(pitch),)) for number, pitch in enumerate(pitches, start=1))


def instrument_lines(courses: Sequence[Course], named: str, highest: int) -> Iterator[tuple[str, str, str]]:
    """Heading lines (key, name, value) that declare these courses. ``named`` is what the file calls the instrument,
    ``highest`` the highest fret that is stopped."""
    if not courses:
        yield "instrument", "", _unlike_any(named, UNTUNED)
        yield "severity", "unknown-instrument", "note"
        return
    base = _nearest(courses, named)
    if base is None:
        yield "instrument", "", _unlike_any(named, f"of {len(courses)} courses")
        for course in courses:
            yield "course", str(course.number), _strings(course)
        allowed = 12
    else:
        yield "instrument", "", base.name
        other = [course for course in courses if base.course(course.number) != course]
        diapasons = [course for course in other if course.number > base.stopped and len(course.strings) == 1]
        for course in other:
            if course not in diapasons:
                yield "course", str(course.number), _strings(course)
        if diapasons:
            yield "diapasons", "", ", ".join(f"{course.number} = {_strings(course)}" for course in diapasons)
        allowed = base.highest_fret
    if highest > allowed:
        yield "frets", "", f"8, {highest}"


def _nearest(courses: Sequence[Course], named: str) -> Instrument | None:
    """The preset with the fewest other courses: all that the left hand stops agree in their first string. One that the
    file names comes first, then one with as many courses."""
    best: tuple[int, int, int] | None = None
    found: Instrument | None = None
    for place, preset in enumerate(PRESETS):
        whole = preset.instrument
        if len(whole.courses) < len(courses) or not _same_neck(whole, courses):
            continue
        other = sum(1 for course in courses if whole.course(course.number) != course)
        if other > MOST_OTHER:
            continue
        if not _may_be(preset.name, named):
            continue
        mine = preset.name.casefold() == named.casefold()
        rank = (0 if mine else 1 + len(whole.courses) - len(courses), other, place)
        if best is None or rank < best:
            best, found = rank, _shortened(whole, len(courses))
    return found


def _may_be(preset: str, named: str) -> bool:
    """Whether an instrument that the file calls so may be this one: a guitar is no mandora, though tuned alike."""
    called = [word for word in named.casefold().split() if len(word) > 3 and word.isalpha()]
    return not called or any(word in preset.casefold() for word in called) or preset.split(maxsplit=1)[0] in called


def _same_neck(whole: Instrument, courses: Sequence[Course]) -> bool:
    own = whole.courses[: whole.stopped]
    return len(courses) >= len(own) and all(
        mine.pitch == theirs.pitch for mine, theirs in zip(own, courses, strict=False)
    )


def _shortened(whole: Instrument, count: int) -> Instrument:
    if count == len(whole.courses):
        return whole
    return replace(whole, name=f"{whole.name}, {count} courses", courses=whole.courses[:count])


def _unlike_any(named: str, otherwise: str) -> str:
    """The name that a heading gives an instrument which no preset comes near: never that of a preset."""
    plain = " ".join(named.split()).replace("|", " ")
    base = plain.rpartition(", ")[0] or plain
    known = any(find_preset(each) is not None for each in (plain, base))
    return plain if plain and not known else otherwise


def _strings(course: Course) -> str:
    return "+".join(string.name for string in course.strings)
