"""Heading lines: the version, ``key value`` before the music, and what a folder's headings pass on."""

from __future__ import annotations

import re
from difflib import get_close_matches

from pipeline.findings.codes.syntax import HEADING_FORM, UNKNOWN_LINE, VERSION
from pipeline.model.record import replace
from pipeline.model.signs import Signs
from pipeline.model.tablature import HEADING_KEYS, HeadingLine
from pipeline.model.text import Span
from pipeline.source.parse.events import shape_of
from pipeline.source.parse.lines import Line
from pipeline.source.parse.reader import Reader

#: Keys that carry a name, its pattern, and an example.
NAMED = {
    "part": (r'[^\s&"]+', "part songs = Songs to the theorbo"),
    "source": (r"[A-Z][A-Za-z0-9]*", "source A = Trial book, f. 3v"),
    "facsimile": (r'[^\s&"]+', "facsimile 4r = images/4r.jpg"),
    "canvas": (r'[^\s&"]+', "canvas 4r = https://example.org/iiif/book/canvas/4r"),
    "systems": (r'[^\s&"]+', "systems 4r = 8-20, 24-36, 40-52"),
    "editor": (r"[A-Z][A-Za-z0-9]*", "editor EB = E. B."),
    "course": (r"[1-9][0-9]?", "course 7 = G2+G3"),
    "mark": (r"[A-Z]", 'mark T = "t" trill, after'),
    "layer": (r"v[2-9]?|b", "layer v = Canto, clef C1, 1 flat"),
    "severity": (r"[a-z0-9]+(?:-[a-z0-9]+)*", "severity bar-too-short = warning"),
}
#: A piece's own instrument begins anew: what its folder says of another instrument's strings lapses.
OF_INSTRUMENT = {"stopped", "frets", "course", "diapasons", "strings"}
#: What a nearer heading says of them leaves the lines of the outer ones standing.
ADDING_UP = {"remark", "severity", "imprint"}


def is_version(line: Line) -> bool:
    """Whether a line means to name the version."""
    return bool(line.words) and line.first.lstrip("\ufeff").lower().startswith("longneck")


def read_version(reader: Reader, line: Line | None) -> int:
    """version = "longneck" "1" ;   0, with a finding, if the first line is another"""
    hint = "The first line names the version of the encoding: longneck 1"
    if line is None:
        reader.report(VERSION, Span(reader.file, 1, 1, 1), "Expected “longneck 1” on the first line.", hint)
        return 0
    texts = [word.text for word in line.words]
    if not texts:
        span = reader.source.whole(line.numbers[0])
        reader.report(VERSION, span, "Expected “longneck 1” on the first line, not a comment.", hint)
        return 0
    span = line.span(reader.file)
    if texts[0] != "longneck":
        message = f"Expected “longneck 1” on the first line, not “{texts[0]}”."
        if texts[0].startswith("\ufeff"):
            hint = "The file begins with an invisible byte-order mark: save it as plain UTF-8"
        reader.report(VERSION, span, message, hint)
        return 0
    number = texts[1] if len(texts) == 2 else ""
    if not re.fullmatch(r"[1-9][0-9]{0,3}", number):
        reader.report(VERSION, span, "Expected a version after “longneck”.", hint)
        return 0
    if number != "1":
        message = f"Version {number} of the encoding is not known; the file is read as version 1."
        reader.report(VERSION, span, message, hint)
    return int(number)


def read_heading(reader: Reader, line: Line) -> HeadingLine | None:
    """heading = key value | named name "=" value ;

    named = "part" | "source" | "facsimile" | "canvas" | "systems" | "editor" | "course" | "mark" | "layer"
          | "severity" ;
    """
    key = line.first
    span = line.span(reader.file)
    if key not in HEADING_KEYS:
        near = get_close_matches(key.lower(), HEADING_KEYS, 1)
        hint = f"Perhaps {near[0]}" if near else f"Known are: {' '.join(HEADING_KEYS)}"
        if key == "longneck":
            hint = "The version stands on the first line only."
        elif not key.isalpha() and any(shape_of(key, signs).event for signs in Signs):
            hint = "A bar begins with |, and a line that continues it with +"
        place = line.words[0].span(reader.file)
        reader.report(UNKNOWN_LINE, place, f"Expected a heading line or music, not “{key}”.", hint)
        return None
    skipped, name = 1, ""
    if key in NAMED:
        pattern, example = NAMED[key]
        name = line.words[1].text if len(line.words) > 1 else ""
        if not re.fullmatch(pattern, name) or len(line.words) < 3 or line.words[2].text != "=":
            message = f"Expected a name and = after “{key}”."
            if re.fullmatch(pattern, name):
                message = f"Expected = after “{key} {name}”."
            elif len(line.words) > 2 and line.words[2].text == "=":
                message = f"“{name}” cannot be the name that stands after “{key}”."
            reader.report(HEADING_FORM, line.rest_span(reader.file), message, f"For example: {example}")
            return None
        skipped = 3
    value = line.rest_text(skipped)
    place = line.rest_span(reader.file, skipped)
    if not value:
        typed = " ".join(word.text for word in line.words)
        reader.report(HEADING_FORM, place, f"Expected a value after “{typed}”.")
        return None
    return HeadingLine(key, name, value, span, place, False, line.comment)


def effective(layers: tuple[tuple[HeadingLine, ...], ...], own: tuple[HeadingLine, ...]) -> tuple[HeadingLine, ...]:
    """What a piece inherits, outermost folder first: the lines that no inner heading and no line of its own
    says anew. Remarks always add up, and so do severities: a line holds for the findings in its own file too."""
    kept: list[HeadingLine] = []
    for lines in (*layers, own):
        said = {(line.key, line.name) for line in lines if line.key not in ADDING_UP}
        instrument = ("instrument", "") in said
        kept = [
            line
            for line in kept
            if (line.key, line.name) not in said and not (instrument and line.key in OF_INSTRUMENT)
        ]
        if lines is not own:
            kept.extend(replace(line, inherited=True) for line in lines)
    return tuple(kept)


def signs_of(lines: tuple[HeadingLine, ...]) -> Signs:
    """The system of signs that the first ``signs`` line names; Italian if there is none that can be read."""
    for line in lines:
        if line.key == "signs":
            return Signs.FRENCH if line.value == "french" else Signs.ITALIAN
    return Signs.ITALIAN
