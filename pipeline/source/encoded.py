"""Each sign as it is typed: the grammar of words, written. For the canonical layout, and for proposals."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from pipeline.model.layers import LayerNote, LayerPitch
from pipeline.model.signs import Act, Body, Event, FretState, Group, Head, Label, MarkGroup, Reading, Sign, Signs, Stop
from pipeline.model.tablature import Barline, BarlineAct, Pin
from pipeline.model.time import Value

T = TypeVar("T")

STATES = {FretState.ILLEGIBLE: "?", FretState.LOST: "*", FretState.HOLD: "-"}
_BARLINE_ACTS = {BarlineAct.PRINTED: "", BarlineAct.ADDED: "!", BarlineAct.DOUBTFUL: "?"}
_OCTAVES = {1: "up", 0: "kept", -1: "down"}


def edited(reading: Reading[T], show: Callable[[T], str]) -> str:
    """ed(S) = S ["?"] ["!" [S ["?"] | "?" | "*"]] | "!" S ["?"] | "?" | "*" ;"""
    edition = "" if reading.edition is None else show(reading.edition) + "?" * reading.doubtful
    match reading.act:
        case Act.PRINTED:
            return edition
        case Act.ADDED:
            return f"{edition}!"
        case Act.EMENDED | Act.REMOVED:
            source = "" if reading.source is None else show(reading.source) + "?" * reading.source_doubtful
            return f"{edition}!{source}"
        case Act.SUPPLIED_ILLEGIBLE:
            return f"{edition}!?"
        case Act.SUPPLIED_LOST:
            return f"{edition}!*"
        case Act.ILLEGIBLE:
            return "?"
        case Act.LOST:
            return "*"


def labels(typed: tuple[Label, ...]) -> str:
    """{label} ;"""
    return "".join(f'"{label.letter}' for label in typed)


def marks(groups: tuple[MarkGroup, ...]) -> str:
    """{marks} ;   plain ones under one tick (figures, small letters, capitals), those with a label of their own
    next, edited ones last"""
    plain: list[str] = []
    labelled: list[str] = []
    others: list[str] = []
    for group in groups:
        letters = [edited(reading, str) for reading in group.marks]
        if any(len(letter) > 1 or letter in "?*" for letter in letters):
            others.append(f"'{''.join(letters)}{labels(group.labels)}")
        elif group.labels:
            labelled.append(f"'{''.join(sorted(letters, key=_mark_class))}{labels(group.labels)}")
        else:
            plain.extend(letters)
    first = f"'{''.join(sorted(plain, key=_mark_class))}" if plain else ""
    return first + "".join(labelled) + "".join(others)


def _mark_class(mark: str) -> int:
    return 0 if mark.isdecimal() else 1 if mark.islower() else 2


def barline(line: Barline) -> str:
    """barline = ( "!" line | line ["!" | "?"] ) {label} ;"""
    if line.act is BarlineAct.REMOVED:
        return f"!{line.kind.value}{labels(line.labels)}"
    return f"{line.kind.value}{_BARLINE_ACTS[line.act]}{labels(line.labels)}"


# --- events -----------------------------------------------------------------------------------------------


def event(item: Event, signs: Signs) -> str:
    """event = [head "="] ( "-" | "=" | stop {("," | ">") stop} ) ;"""
    over = f"{head(item.head)}=" if item.head else ""
    if item.body is not Body.STOPS:
        return f"{over}{item.body.value}"
    typed = "".join(
        f"{'' if not place else '>' if each.after else ','}{stop(each, signs)}"
        for place, each in enumerate(_in_order(item.stops))
    )
    return over + typed


def _in_order(stops: tuple[Stop, ...]) -> tuple[Stop, ...]:
    """From the highest course number to 1, if all are struck together and every course is known."""
    courses = [_course(each.reading) for each in stops]
    if any(each.after for each in stops) or None in courses:
        return stops
    return tuple(sorted(stops, key=lambda each: -(_course(each.reading) or 0)))


def _course(reading: Reading[Sign]) -> int | None:
    sign = reading.edition or reading.source
    return sign.course if sign else None


def head(item: Head) -> str:
    """head = {label} ["_"] [ed(value) [group] {label} | pair {label} | group {label}] {marks} ;"""
    value = edited(item.value, value_name) if item.value else ""
    over = group(item.group) if item.group else ""
    over = f"+{item.second.name}" if item.second else over
    beam = "_" if item.beamed else ""
    return f"{labels(item.opening_labels)}{beam}{value}{over}{labels(item.labels)}{marks(item.marks)}"


def group(item: Group) -> str:
    """group = "/" n [":" m] ["!"] ;"""
    time = "" if item.typed_time is None else f":{item.typed_time}"
    return f"/{item.notes}{time}{'!' if item.added else ''}"


def stop(item: Stop, signs: Signs) -> str:
    """stop = [slur] ed(sign) {label} {marks} ;"""
    slur = item.slur.value if item.slur else ""
    return f"{slur}{edited(item.reading, _SHOWN[signs])}{labels(item.labels)}{marks(item.marks)}"


def sign(item: Sign, signs: Signs) -> str:
    """A figure or letter with its course and its dots; never by the shorthand that leaves the course out."""
    return _SHOWN[signs](item)


def _italian(sign: Sign) -> str:
    if sign.bare:
        return _bare(sign)
    course = sign.course_sign or str(sign.course)
    return f"{course}:{STATES.get(sign.state, sign.typed)}{'.' * sign.dots}"


def _french(sign: Sign) -> str:
    if sign.bare:
        return _bare(sign)
    if sign.course_sign or sign.state is not FretState.READ:
        return _italian(sign)
    return f"{sign.course}{sign.typed}{'.' * sign.dots}"


def _bare(sign: Sign) -> str:
    return f"{sign.typed}{'-' if sign.state is FretState.HOLD else '.' * sign.dots}"


_SHOWN: dict[Signs, Callable[[Sign], str]] = {Signs.ITALIAN: _italian, Signs.FRENCH: _french}


# --- other layers and notes -------------------------------------------------------------------------------


def layer_note(note: LayerNote) -> str:
    """note = [[ed(value)] [group] {marks} "="] ( "-" | ["_"] ed(pitch) ["'" figures] {label} ) ;"""
    value = edited(note.value, value_name) if note.value else ""
    over = value + (group(note.group) if note.group else "") + marks(note.value_marks)
    over = f"{over}=" if over else ""
    if note.pitch is None:
        return f"{over}-"
    figures = f"'{note.figures_typed}" if note.figures_typed else ""
    return f"{over}{'_' if note.joined else ''}{edited(note.pitch, _pitch)}{figures}{labels(note.labels)}"


def pin(item: Pin) -> str:
    """pins = pin {"," pin} ;"""
    parts = []
    if item.voice is not None:
        parts.append(f"voice {item.voice}")
    if item.octave is not None:
        parts.append(f"octave {_OCTAVES[item.octave]}")
    if item.lasts is not None:
        parts.append(f"lasts {value_name(item.lasts)}")
    if item.lasts_to:
        parts.append(f"lasts to {item.lasts_to}")
    return ", ".join(parts)


def value_name(value: Value) -> str:
    """value = "1" | "2" | "4" … {"."} ;"""
    return value.name


def _pitch(pitch: LayerPitch) -> str:
    return f"{pitch.step}{pitch.accidental}{'' if pitch.octave is None else pitch.octave}"
