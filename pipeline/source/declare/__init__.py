"""Declare: what the heading lines mean. A line that cannot be read counts as absent, with a finding."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from difflib import get_close_matches
from fractions import Fraction
from typing import TypeVar

from pipeline.findings.codes.heading import HEADING_REPEATED, HEADING_VALUE, TUNING
from pipeline.model.diagnostics import Diagnostic, Outcome, Related
from pipeline.model.heading import (
    ArpeggioOrder,
    DeclaredMark,
    DeclaredSeverity,
    Facsimile,
    Heading,
    Key,
    Layer,
    Systems,
    Witness,
)
from pipeline.model.instrument import Instrument
from pipeline.model.signs import Signs
from pipeline.model.tablature import HeadingLine, Tablature, UnreadLine
from pipeline.model.text import Span
from pipeline.model.time import Metre
from pipeline.source.declare.book import misplaced, read_book, read_canvases, read_issue, read_licence
from pipeline.source.declare.fields import Field
from pipeline.source.declare.layers import FILE_ENDINGS, files_named, read_layer
from pipeline.source.declare.measure import read_key, read_metre, read_values
from pipeline.source.declare.severities import read_severity
from pipeline.source.declare.systems import read_systems
from pipeline.source.declare.tuning import read_instrument, retune

__all__ = ["declare", "files_named", "read_key", "read_metre", "retune"]

T = TypeVar("T")

_ARPEGGIO = re.compile(r"(?P<order>fingers|rising)(?P<first>, ?first written out)?")
_LINES = re.compile(r"(?P<count>[56])?(?:(?:(?<=[56]), ?|^)(?P<above>course 1 above))?(?<=.)")
_MARK = re.compile(r'"(?P<printed>[^"]+)" (?P<meaning>.+), (?P<place>before|after|above|below)')
#: Endings of the images that a browser shows; a drawing with script in it is none.
IMAGE_ENDINGS = (".png", ".jpg", ".jpeg", ".webp")
_CENTIMETRES = re.compile(r"(\d{2,3}(?:\.\d+)?) ?cm")
_HERTZ = re.compile(r"(\d{3}(?:\.\d+)?)(?: ?Hz)?")


def declare(tablature: Tablature) -> Outcome[Heading]:
    """Interpret the heading lines of a piece, its own and those it inherits.

    Errors stand at the value; the value then falls back to its default: the theorbo in A, no pitch standard, no
    string lengths, values 1:1, a plain stem for a minim, no metre, no key, the order of the fingers in arpeggios.
    """
    return _Declaration(tablature).read()


class _Declaration:
    """The heading lines by key and name, and the findings on them as they turn up."""

    def __init__(self, tablature: Tablature) -> None:
        own = tuple(line for line in tablature.heading if isinstance(line, HeadingLine))
        self.found: list[Diagnostic] = []
        self.start = Span(tablature.name, 1, 1, 1)
        firsts = [line.text.split(maxsplit=1)[0] for line in tablature.heading if isinstance(line, UnreadLine)]
        self._instrument_spoilt = bool(get_close_matches("instrument", [first.lower() for first in firsts], 1, 0.75))
        self.lines = self._once(tablature.inherited) + self._once(own)
        self.by_key: dict[str, list[HeadingLine]] = {}
        for line in self.lines:
            self.by_key.setdefault(line.key, []).append(line)

    def _once(self, lines: tuple[HeadingLine, ...]) -> tuple[HeadingLine, ...]:
        """The lines without those that say again what an earlier one of the same file says."""
        first: dict[tuple[str, str, str], HeadingLine] = {}
        kept = []
        for line in lines:
            before = first.setdefault((line.key, line.name, line.span.file), line)
            if before is line or line.key in ("remark", "imprint"):
                kept.append(line)
                continue
            said = f"{line.key} {line.name}".strip()
            related = (Related(before.span, "given first here"),)
            message = f"Expected one “{said}” in the heading: the first holds."
            self.found.append(Diagnostic(HEADING_REPEATED, line.span, message, "", related))
        return tuple(kept)

    def _remarks(self) -> tuple[str, ...]:
        """The piece's own remarks before those of its folder."""
        lines = self.by_key.get("remark", ())
        return tuple(line.value for line in sorted(lines, key=lambda line: line.inherited))

    def read(self) -> Outcome[Heading]:
        values = self._values()
        signs = self._signs()
        tuned = self._tuned()
        instrument = self._take(
            read_instrument(
                self._field("instrument"),
                tuned,
                self._field("stopped"),
                self._field("frets"),
                self.start,
                spoilt=self._instrument_spoilt,
            )
        )
        self._check_diapasons(instrument)
        arpeggio, written_out = self._arpeggio()
        lines, above = self._lines()
        heading = Heading(
            title=self._text("title"),
            composer=self._text("composer"),
            remarks=self._remarks(),
            witnesses=tuple(Witness(line.name, line.value) for line in self.by_key.get("source", ())),
            editors=tuple((line.name, line.value) for line in self.by_key.get("editor", ())),
            instrument=instrument,
            signs=signs,
            pitch=self._pitch(),
            strings=self._strings(),
            values=values,
            plain_stem=self._plain_stem(),
            metre=self._metre(values),
            key=self._key(),
            marks=self._marks(),
            layers=self._layers(),
            scale_declared=any(number > instrument.stopped for number, _ in tuned),
            places=tuple((f"{line.key} {line.name}".strip(), line.span) for line in self.lines),
            voices=self._voices(),
            arpeggio=arpeggio,
            written_out=written_out,
            facsimiles=self._facsimiles(),
            systems=tuple(self._systems()),
            tuned=tuple(sorted(number for number, _ in tuned)),
            severities=self._severities(),
            lines=lines,
            course_1_above=above or signs is Signs.FRENCH,
            issue=read_issue(self._field("edition"), self._wrong),
            licence=read_licence(self._field("licence"), self._wrong),
            book=read_book(self.by_key, self._wrong),
            canvases=read_canvases(self.by_key.get("canvas", ()), self._wrong),
        )
        self.found.extend(misplaced(self.by_key))
        return Outcome(heading, tuple(sorted(self.found, key=lambda finding: finding.span)))

    def _take(self, outcome: Outcome[T]) -> T:
        self.found.extend(outcome.diagnostics)
        return outcome.value

    def _field(self, key: str) -> Field | None:
        """The value of a key that is said once."""
        lines = self.by_key.get(key)
        return Field(lines[-1].value, lines[-1].value_span) if lines else None

    def _text(self, key: str) -> str:
        field = self._field(key)
        return field.text if field else ""

    def _wrong(self, field: Field, what: str, hint: str) -> None:
        message = f"Expected {what}, not “{field.text}”."
        self.found.append(field.wrong(HEADING_VALUE, message, hint))

    # --- strings ------------------------------------------------------------------------------------------

    def _tuned(self) -> tuple[tuple[int, Field], ...]:
        """Every course that the heading tunes: ``course`` and ``diapasons`` lines; the former win."""
        tuned: dict[int, Field] = {}
        diapasons = self._field("diapasons")
        for part in diapasons.split(",") if diapasons else ():
            match = re.fullmatch(r"([1-9][0-9]?) ?= ?(\S+)", part.text)
            if match is None:
                self._wrong(part, "a diapason and its pitch", "For example: diapasons 8 = F#2, 11 = C#2")
                continue
            tuned[int(match[1])] = part.part(*match.span(2))
        for line in self.by_key.get("course", ()):
            tuned[int(line.name)] = Field(line.value, line.value_span)
        return tuple(tuned.items())

    def _check_diapasons(self, instrument: Instrument) -> None:
        """A ``diapasons`` line tunes courses beside the fingerboard only."""
        field = self._field("diapasons")
        for part in field.split(",") if field else ():
            number = part.text.partition("=")[0].strip()
            if number.isdecimal() and 0 < int(number) <= instrument.stopped:
                message = f"Course {number} is not a diapason: it runs over the fingerboard."
                self.found.append(part.wrong(TUNING, message, f"Type course {number} = …"))

    def _pitch(self) -> float | None:
        """pitch = hertz ["Hz"] ;   of A4, from 300 to 600"""
        field = self._field("pitch")
        if field is None:
            return None
        match = _HERTZ.fullmatch(field.text)
        if match and 300 <= float(match[1]) <= 600:
            return float(match[1])
        self._wrong(field, "the pitch of A4 in hertz", "For example: pitch 415")
        return None

    def _strings(self) -> tuple[float, float] | None:
        """strings = length "cm" ["," length "cm"] ;   of stopped strings and diapasons; one length for both"""
        field = self._field("strings")
        if field is None:
            return None
        matches = [_CENTIMETRES.fullmatch(part.text) for part in field.split(",")]
        lengths = [float(match[1]) for match in matches if match and 20 <= float(match[1]) <= 250]
        if len(lengths) != len(matches) or len(lengths) > 2:
            self._wrong(field, "string lengths in centimetres", "For example: strings 84 cm, 160 cm")
            return None
        return lengths[0], lengths[-1]

    # --- signs and time -----------------------------------------------------------------------------------

    def _signs(self) -> Signs:
        field = self._field("signs")
        if field is None:
            return Signs.ITALIAN
        if field.text not in {"italian", "french"}:
            self._wrong(field, "italian or french", "Italian signs are assumed.")
        return Signs.FRENCH if field.text == "french" else Signs.ITALIAN

    def _lines(self) -> tuple[int, bool]:
        """lines = ("5" | "6") [", course 1 above"] | "course 1 above" ;   how many, and which is the upper one"""
        field = self._field("lines")
        match = _LINES.fullmatch(field.text) if field is not None else None
        if field is not None and match is None:
            self._wrong(field, "5 or 6 lines", "For example: lines 5, or lines 6, course 1 above")
        if match is None:
            return 0, False
        return int(match["count"] or 0), match["above"] is not None

    def _values(self) -> Fraction:
        field = self._field("values")
        return (self._take(read_values(field)) if field else None) or Fraction(1)

    def _plain_stem(self) -> int:
        """stems = "plain" "=" value ;"""
        field = self._field("stems")
        if field is None:
            return 2
        match = re.fullmatch(r"plain ?= ?(1|2|4|8|16)", field.text)
        if match is None:
            self._wrong(field, "the value of a hookless stem", "For example: stems plain = 2")
        return int(match[1]) if match else 2

    def _metre(self, values: Fraction) -> Metre | None:
        field = self._field("metre")
        return self._take(read_metre(field.text, field.span, values)) if field else None

    def _key(self) -> Key | None:
        field = self._field("key")
        return self._take(read_key(field.text, field.span)) if field else None

    def _voices(self) -> int | None:
        """voices = n ;"""
        field = self._field("voices")
        if field is None:
            return None
        if re.fullmatch("[1-6]", field.text):
            return int(field.text)
        self._wrong(field, "a number of voices from 1 to 6", "For example: voices 3")
        return None

    def _arpeggio(self) -> tuple[ArpeggioOrder, bool]:
        """arpeggio = ("fingers" | "rising") ["," "first" "written" "out"] ;"""
        field = self._field("arpeggio")
        match = _ARPEGGIO.fullmatch(field.text) if field is not None else None
        if field is not None and match is None:
            hint = "fingers: a fixed order of courses; rising: from the lowest pitch up; add: , first written out"
            self._wrong(field, "fingers or rising", hint)
        if match is None:
            return ArpeggioOrder.FINGERS, False
        return ArpeggioOrder(match["order"]), match["first"] is not None

    # --- marks and layers ---------------------------------------------------------------------------------

    def _marks(self) -> tuple[DeclaredMark, ...]:
        """mark = '"' printed '"' meaning "," ("before" | "after" | "above" | "below") ;"""
        marks = []
        for line in self.by_key.get("mark", ()):
            match = _MARK.fullmatch(line.value)
            if match is None:
                hint = f'As in: mark {line.name} = "t" trill, after (or before, above, below).'
                self._wrong(Field(line.value, line.value_span), "the printed sign, its meaning and its place", hint)
                continue
            marks.append(DeclaredMark(line.name, match["printed"], match["meaning"], match["place"]))
        return tuple(marks)

    def _facsimiles(self) -> tuple[Facsimile, ...]:
        """facsimile = path ;   of an image, told from other files by its ending here, by its content when read"""
        made = []
        for line in self.by_key.get("facsimile", ()):
            if not line.value.lower().endswith(IMAGE_ENDINGS):
                field = Field(line.value, line.value_span)
                self._wrong(
                    field, f"an image file ({', '.join(IMAGE_ENDINGS)})", "For example: facsimile 4r = images/4r.jpg"
                )
                continue
            made.append(Facsimile(line.name, line.value, line.span, line.inherited))
        return tuple(made)

    def _systems(self) -> Iterator[Systems]:
        for line in self.by_key.get("systems", ()):
            read = self._take(read_systems(line))
            if read is not None:
                yield replace(read, inherited=line.inherited)

    def _severities(self) -> tuple[DeclaredSeverity, ...]:
        read = [self._take(read_severity(line)) for line in self.by_key.get("severity", ())]
        return tuple(line for line in read if line is not None)

    def _layers(self) -> tuple[Layer, ...]:
        layers = []
        for line in self.by_key.get("layer", ()):
            field = Field(line.value, line.value_span)
            layer = read_layer(line.name, field)
            if layer is None:
                hint = f"For example: layer {line.name} = Canto, clef C1, 1 flat"
                if "from " in field.text:
                    hint += f", from canto.musicxml (or {', '.join(FILE_ENDINGS[1:])}), part 1"
                self._wrong(field, "a title, a clef and a signature", hint)
                continue
            layers.append(layer)
        return tuple(layers)
