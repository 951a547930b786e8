"""The heading of a moved piece: instrument, scale, key and lines anew, the rest as typed."""

from __future__ import annotations

from collections.abc import Iterator

from pipeline.desk.move.record import Asked, There, Tunings
from pipeline.desk.move.rewrite.losses import NOT_CARRIED_OVER, Losses
from pipeline.edition.transpose import transposed_key, transposed_signature
from pipeline.model.heading import Heading, Key, Layer
from pipeline.model.instrument import Course, Instrument
from pipeline.model.interval import UNISON, Interval
from pipeline.model.presets import find_preset
from pipeline.model.record import replace
from pipeline.model.tablature import CommentLine, HeadingLine, Tablature, UnreadLine
from pipeline.model.text import Span
from pipeline.source.declare import read_key
from pipeline.source.declare.book import BOOK_KEYS

#: Lines that speak of the strings of one instrument.
_OF_STRINGS = frozenset({"course", "stopped", "frets", "strings"})
#: Lines that may be given more than once, each with a name of its own, but for remarks.
_REMARK = "remark"
Lines = tuple[HeadingLine | CommentLine | UnreadLine, ...]


def heading_lines(
    tablature: Tablature,
    heading: Heading,
    asked: Asked,
    tunings: Tunings,
    origin: str,
    editor: str,
    there: There,
    losses: Losses,
) -> Lines:
    """The heading lines of the moved piece. ``origin`` is a remark on where it comes from, ``editor`` the initials that
    sign the notes of the moving, empty for none. Lines of folders' headings that the moved text does not inherit
    ``there`` are carried over."""
    carried = tuple(
        line for line in tablature.inherited if line.span.file not in there.shared and not _of_the_book(line)
    )
    lines = _once((*carried, *tablature.heading))
    other = asked.changes(heading.instrument)
    found: list[HeadingLine | CommentLine | UnreadLine] = []
    for line in lines:
        if not isinstance(line, HeadingLine):
            found.append(line)
        elif not (line.key in ("instrument", "signs", "diapasons") or _of_diapason(line, heading)):
            moved = _line(line, heading, asked, there, losses)
            found += [moved] if moved is not None else []
    signs = asked.signs or heading.signs
    name = asked.preset.name if asked.preset is not None else heading.instrument.name
    base = asked.preset.instrument if other and asked.preset is not None else heading.instrument
    added = [("instrument", "", name), ("signs", "", signs.value), (_REMARK, "", origin)]
    if editor:
        added.append(("editor", editor, "the moving to this key and instrument"))
    scale = _scale(base, tunings.after[0], declared=heading.scale_declared)
    if scale:
        added.append(("diapasons", "", scale))
    where = Span(tablature.name, 1, 1, 1)
    return (*found, *(HeadingLine(key, name, value, where, where) for key, name, value in added))


def _once(lines: Lines) -> Iterator[HeadingLine | CommentLine | UnreadLine]:
    """Without what a later line says anew; the piece's own remarks before those of its folders."""
    last = {(line.key, line.name): line for line in lines if isinstance(line, HeadingLine)}
    for line in lines:
        if not isinstance(line, HeadingLine):
            yield line
        elif line.key == _REMARK and line.inherited:
            continue
        elif line.key == _REMARK or last[line.key, line.name] is line:
            yield replace(line, inherited=False)
    yield from (
        replace(line, inherited=False)
        for line in lines
        if isinstance(line, HeadingLine) and line.key == _REMARK and line.inherited
    )


def _of_the_book(line: HeadingLine | CommentLine | UnreadLine) -> bool:
    """A line of the folder alone, which no piece may have."""
    return isinstance(line, HeadingLine) and line.key in BOOK_KEYS


def _of_diapason(line: HeadingLine, heading: Heading) -> bool:
    return line.key == "course" and int(line.name) > heading.instrument.stopped


def _line(line: HeadingLine, heading: Heading, asked: Asked, there: There, losses: Losses) -> HeadingLine | None:
    if asked.changes(heading.instrument) and line.key in _OF_STRINGS:
        what = f"“{line.key} {line.name or line.value}” is left out: it speaks of the other instrument"
        losses.apart(NOT_CARRIED_OVER, line.span, what)
        return None
    if line.key == "facsimile":
        path = there.path(line.value)
        if path is None:
            losses.apart(
                NOT_CARRIED_OVER, line.span, f"“facsimile {line.name}” is left out: no path leads to the image"
            )
            return None
        return replace(line, value=path)
    if line.key == "systems":
        image = next((each for each in heading.facsimiles if each.folio == line.name), None)
        return None if image is not None and there.path(image.file) is None else line  # told of its image
    if line.key == "key" and asked.interval != UNISON:
        return replace(line, value=moved_key(line.value, line.value_span, asked.interval))
    layer = next((layer for layer in heading.layers if layer.name == line.name), None) if line.key == "layer" else None
    return _layer(line, layer, asked, there, losses) if layer is not None else line


def _layer(line: HeadingLine, layer: Layer, asked: Asked, there: There, losses: Losses) -> HeadingLine:
    """A voice or bass in the new key; one that is taken from a file is not touched, but for the way to it."""
    if not layer.file:
        if asked.interval == UNISON:
            return line
        moved = signature(transposed_signature(layer.fifths, asked.interval))
        return replace(line, value=f"{layer.title}, clef {layer.clef}, {moved}")
    path = there.path(layer.file)
    if path is None:
        losses.apart(NOT_CARRIED_OVER, line.span, f"no path leads from the moved text to {layer.file}")
        return line
    if asked.interval != UNISON:
        what = (
            f"line {layer.name} is taken from {layer.file}, which is not moved: a build moves the voice, if it can tell"
        )
        losses.apart(NOT_CARRIED_OVER, line.span, what)
    return replace(line, value=line.value.replace(f"from {layer.file}", f"from {path}"))


def moved_key(text: str, span: Span, interval: Interval) -> str:
    """A key as typed, moved: with its signature where that is not the usual one of the mode."""
    key = transposed_key(read_key(text, span).value, interval)
    if key is None:
        return text
    typed = f"{key.tonic} {key.mode}"
    usual: Key | None = read_key(typed, span).value
    if usual is not None and usual.fifths == key.fifths and "," not in text:
        return typed
    return f"{typed}, {signature(key.fifths)}"


def signature(fifths: int) -> str:
    """A key signature as typed."""
    if not fifths:
        return "no accidentals"
    return f"{abs(fifths)} {'sharp' if fifths > 0 else 'flat'}{'s' if abs(fifths) > 1 else ''}"


# --- strings --------------------------------------------------------------------------------------------------


def tuned(course: Course) -> str:
    """``8 = F#2``, as typed after ``diapasons`` or ``retune``."""
    return f"{course.number} = {'+'.join(string.name for string in course.strings)}"


def _scale(base: Instrument, instrument: Instrument, *, declared: bool) -> str:
    """The diapasons that are tuned otherwise than the instrument's name says; all, where the source declares its own
    and none would be left to say so."""
    name = usual_of(base)
    diapasons = instrument.courses[instrument.stopped :]
    differ = [course for course in diapasons if name.course(course.number) != course]
    if not differ and declared:
        differ = list(diapasons)
    return ", ".join(tuned(course) for course in differ)


def usual_of(instrument: Instrument) -> Instrument:
    """The instrument as its name alone says."""
    preset = find_preset(instrument.name)
    return preset.instrument if preset is not None else replace(instrument, courses=())


def retuned(before: Instrument, after: Instrument) -> str:
    """The courses that a retuning moves, as typed; empty if none."""
    return ", ".join(tuned(new) for old, new in zip(before.courses, after.courses, strict=True) if old != new)
