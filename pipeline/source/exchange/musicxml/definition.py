"""Which part and staff of a score is the tablature, which parts are sung; tuning, time, key."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field

from pipeline.model.instrument import Course
from pipeline.model.limits import MOST_COURSES, MOST_IN_METRE
from pipeline.model.pitch import SpelledPitch
from pipeline.source.exchange.ledger import line_of
from pipeline.source.exchange.musicxml.tree import Element, note_pitch, number, string_pitch, text, whole

_BASS_WORDS = ("bass", "contin", "b.c", "fundament")
_MAJOR = ("Cb", "Gb", "Db", "Ab", "Eb", "Bb", "F", "C", "G", "D", "A", "E", "B", "F#", "C#")
#: Modes with the distance of their signature from that of the major key on the same tonic.
_MODES = {"major": 0, "ionian": 0, "lydian": 1, "mixolydian": -1, "dorian": -2, "minor": -3, "aeolian": -3,
          "phrygian": -4}  # fmt: skip


@dataclass(slots=True)
class Part:
    """One part. ``role`` is tablature, voice, bass or other; ``staff`` the number of its tablature staff, if any."""

    ident: str
    element: Element
    title: str
    instrument: str = ""
    role: str = "other"
    staff: str = ""
    name: str = ""


@dataclass(slots=True)
class Tuned:
    """A tuning as a score tells it: pitches by the number of the line from the bottom, and by that of the string."""

    lines: dict[int, SpelledPitch] = field(default_factory=dict)
    strings: dict[int, SpelledPitch] = field(default_factory=dict)
    at: int = 1
    count: int = 0


def parts_of(root: Element) -> list[Part]:
    """The parts of a score, each with what it is for."""
    named = {part.get("id") or "": part for part in root.iterfind("part-list/score-part")}
    found = []
    for element in root.iterfind("part"):
        ident = element.get("id") or ""
        listed = named.get(ident)
        part = Part(ident, element, text(listed, "part-name"), text(listed, "score-instrument/instrument-name"))
        part.staff = _tab_staff(element)
        if part.staff:
            part.role = "tablature"
        elif element.find("measure/note/lyric") is not None:
            part.role = "voice"
        elif element.find("measure/figured-bass") is not None or any(
            word in part.title.lower() for word in _BASS_WORDS
        ):
            part.role = "bass"
        elif part.title and element.find("measure/note/notations/technical/string") is None:
            part.role = "voice" if element.find("measure/attributes/staves") is None else "other"
        found.append(part)
    if not any(part.role == "tablature" for part in found):
        for part in found:
            if any(place_of(note) is not None for note in part.element.iterfind("measure/note")):
                part.role, part.staff = "tablature", _fretted_staff(part.element)
                break
    voices = [part for part in found if part.role == "voice"]
    for place, part in enumerate(voices[:9]):
        part.name = "v" if not place else f"v{place + 1}"
    for part in [part for part in found if part.role == "bass"][:1]:
        part.name = "b"
    return found


def _tab_staff(part: Element) -> str:
    """The staff whose clef is that of a tablature."""
    for clef in part.iterfind("measure/attributes/clef"):
        if text(clef, "sign").upper() == "TAB":
            return clef.get("number") or "1"
    return ""


def _fretted_staff(part: Element) -> str:
    counts = Counter(text(note, "staff") or "1" for note in part.iterfind("measure/note") if place_of(note) is not None)
    return counts.most_common(1)[0][0]


def tuned_by(attributes: Element, staff: str) -> Tuned | None:
    """``staff-details`` of a staff; None if there is none with a tuning."""
    for details in attributes.iterfind("staff-details"):
        if (details.get("number") or "1") != staff:
            continue
        tuned = Tuned(at=line_of(details), count=whole(text(details, "staff-lines"), MOST_COURSES) or 0)
        for line in details.iterfind("staff-tuning"):
            place, pitch = whole(line.get("line") or "", MOST_COURSES), string_pitch(line)
            if place and pitch is not None:
                tuned.lines[place] = pitch
        return tuned
    return None


def courses_of(tuned: Tuned, notes: list[tuple[int, int, SpelledPitch]]) -> tuple[tuple[Course, ...], bool]:
    """The courses of a tuning, and whether course 1 is the upper line. ``notes`` are strings, frets and pitches of the
    score: the standard counts lines from below and strings from the highest, but a tablature whose lowest line is
    course 1 counts both from below, so the notes decide. No courses where the tuning has gaps."""
    top = max(tuned.lines, default=0)
    votes: Counter[bool] = Counter()
    for string, fret, pitch in notes:
        for above, line in ((True, top + 1 - string), (False, string)):
            if line in tuned.lines and tuned.lines[line].semitones + fret == pitch.semitones:
                votes[above] += 1
    above = votes[True] >= votes[False]
    made = {(top + 1 - line if above else line): pitch for line, pitch in tuned.lines.items()} | tuned.strings
    if not made or set(made) != set(range(1, len(made) + 1)):
        return (), above
    return tuple(Course(place, (made[place],)) for place in sorted(made)), above


def tabbed_notes(part: Part) -> list[tuple[int, int, SpelledPitch]]:
    """String, fret and pitch of every note of the tablature."""
    found = []
    for note in part.element.iterfind("measure/note"):
        pitch, place = note_pitch(note), place_of(note)
        if pitch is not None and place is not None and (text(note, "staff") or "1") == part.staff:
            found.append((*place, pitch))
    return found


def place_of(note: Element) -> tuple[int, int] | None:
    """The string and the fret of a note."""
    for technical in note.iterfind("notations/technical"):
        string, fret = whole(text(technical, "string"), 99), whole(text(technical, "fret"), 99)
        if string and fret is not None:
            return string, fret
    return None


def metre_typed(attributes: Element) -> str | None:
    """``time`` as a metre is typed; None where none is told."""
    time = attributes.find("time")
    if time is None:
        return None
    if time.find("senza-misura") is not None:
        return "none"
    beats, unit = whole(text(time, "beats"), MOST_IN_METRE), whole(text(time, "beat-type"), 32)
    if not beats or unit not in (1, 2, 4, 8, 16, 32):
        return None
    symbol = time.get("symbol")
    if symbol in ("common", "cut"):
        typed, usual = ("C", (4, 4)) if symbol == "common" else ("C|", (2, 2))
        return typed if (beats, unit) == usual else f"{typed} = {beats}/{unit}"
    if time.get("print-object") == "no":
        return f"none = {beats}/{unit}"
    if symbol == "single-number":
        usual = (2, 2) if beats == 2 else (beats, 4)
        return str(beats) if (beats, unit) == usual else f"{beats} = {beats}/{unit}"
    return f"{beats}/{unit}"


def key_typed(attributes: Element) -> tuple[str, int | None]:
    """``key`` as it is typed, where its mode is told; its signature, where it has one."""
    key = attributes.find("key")
    said = text(key, "fifths")
    told = number(said)
    if key is None or told is None or told.denominator > 1 or abs(told) > 7:
        return "", None
    fifths, mode = int(told), text(key, "mode").lower()
    if mode not in _MODES or not 0 <= fifths - _MODES[mode] + 7 < len(_MAJOR):
        return "", fifths
    tonic = _MAJOR[fifths - _MODES[mode] + 7]
    return (f"{tonic} {mode}" if len(tonic) < 3 else ""), fifths
