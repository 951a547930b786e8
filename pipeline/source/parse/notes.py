"""Lines that begin with a double quote: reasons, printed words, other sources, pins."""

from __future__ import annotations

import re

from pipeline.findings.codes.syntax import NOTE_FORM
from pipeline.model.tablature import NoteKind, NoteLine, Pin
from pipeline.model.time import Value
from pipeline.source.parse.cursor import Cursor, FaultError
from pipeline.source.parse.heads import read_value
from pipeline.source.parse.lines import Line
from pipeline.source.parse.reader import Reader

#: First words of note lines.
NOTE = re.compile(r'"[a-z]?')
#: First words of lines that give a whole bar as a source has it.
WITNESS = re.compile(r"!(?:[A-Z][A-Za-z0-9]*)?")

_WHO = re.compile(r"[A-Z][A-Za-z0-9]*:")
_FORMS = 'A note is "a EB: reason, "a : printed word, "a !B reading of source B, or "a > voice 2'
_OCTAVES = {"up": 1, "kept": 0, "down": -1}


def read_note(reader: Reader, line: Line) -> NoteLine | None:
    """note line = '"' [letter] ( initials ":" words | ":" words | "!" siglum words | ">" pins ) ;

    None, with a finding, if it is none of these.
    """
    label = line.first[1:]
    span = line.span(reader.file)
    said = line.words[1].text if len(line.words) > 1 else ""
    text = line.rest_text(2)
    if said == ">":
        pin = _pin(reader, line)
        return NoteLine(NoteKind.PIN, label, span, "", text, pin, line.comment) if pin else None
    kind, who = None, ""
    if said == ":":
        kind = NoteKind.PRINTED_WORD
    elif _WHO.fullmatch(said):
        kind, who = NoteKind.REASON, said[:-1]
    elif len(said) > 1 and WITNESS.fullmatch(said):
        kind, who = NoteKind.WITNESS, said[1:]
    if kind is None:
        place = line.words[1].span(reader.file) if said else line.rest_span(reader.file)
        found = f", not “{said}”" if said else ""
        reader.report(NOTE_FORM, place, f"Expected who says it, or : ! > after “{line.first}”{found}.", _FORMS)
        return None
    if not text:
        message = f"Expected words after “{line.first} {said}”."
        reader.report(NOTE_FORM, line.rest_span(reader.file, 2), message, _FORMS)
        return None
    return NoteLine(kind, label, span, who, text, None, line.comment)


# --- pins -----------------------------------------------------------------------------------------------


def _pin(reader: Reader, line: Line) -> Pin | None:
    """pins = pin {"," pin} ;"""
    voice: int | None = None
    octave: int | None = None
    lasts: Value | None = None
    lasts_to = ""
    said: set[str] = set()
    for part in line.rest_text(2).split(","):
        words = part.split()
        key = words[0] if words else ""
        found = _pin_part(words)
        if found is None or key in said:
            message = f"Expected a pin after “>”, not “{part.strip()}”." if words else "Expected a pin after “>”."
            if key in said and found is not None:
                message = f"Expected one “{key}” in a pin, not two."
            hint = "Pins are voice 2 · octave up, octave down, octave kept · lasts 2. · lasts to b"
            reader.report(NOTE_FORM, line.rest_span(reader.file, 2), message, hint)
            return None
        said.add(key)
        match key, found:
            case "voice", int(number):
                voice = number
            case "octave", int(number):
                octave = number
            case "lasts", Value():
                lasts = found
            case _, label:
                lasts_to = str(label)
    return Pin(voice, octave, lasts, lasts_to)


def _pin_part(words: list[str]) -> int | Value | str | None:
    """pin = "voice" n | "octave" ("up" | "down" | "kept") | "lasts" (value | "to" letter) ;"""
    match words:
        case ["voice", number] if re.fullmatch("[1-9]", number):
            return int(number)
        case ["octave", way] if way in _OCTAVES:
            return _OCTAVES[way]
        case ["lasts", "to", letter] if re.fullmatch("[a-z]", letter):
            return letter
        case ["lasts", value]:
            return _value(value)
        case _:
            return None


def _value(text: str) -> Value | None:
    cursor = Cursor(text)
    try:
        value = read_value(cursor)
    except FaultError:
        return None
    return value if cursor.done else None
