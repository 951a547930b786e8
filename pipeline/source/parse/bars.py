"""The words of one bar: events, bar lines, system and page breaks, a printed ditto."""

from __future__ import annotations

import re
from difflib import get_close_matches

from pipeline.findings.codes.syntax import BAR_LINE_INSIDE, DITTO, EMPTY_BAR, SHORTHAND, SYNTAX
from pipeline.model.signs import Event, Label, Signs, Unread
from pipeline.model.tablature import Bar, BarItem, BarKind, Barline, BarlineAct, BarlineKind, Ditto, SourceBreak
from pipeline.model.text import Span
from pipeline.source.parse.cursor import FaultError, check_length
from pipeline.source.parse.events import Shape, placed, placed_head, shape_of, with_courses
from pipeline.source.parse.lines import Line, Word
from pipeline.source.parse.reader import Reader

BAR_STARTS = {kind.value: kind for kind in BarKind}
_BARLINE = re.compile(
    r"""(?:(?P<removed>!)(?P<old>\.\|\|\.|\.\|\||\|\|\.|\|\|\||\|\||\|-\||\|)
        | (?P<kind>\.\|\|\.|\.\|\||\|\|\.|\|\|\||\|\||\|-\||\|)(?P<act>[!?]?))
        (?P<labels>(?:"[a-z])*)""",
    re.VERBOSE,
)
_ACTS = {"": BarlineAct.PRINTED, "!": BarlineAct.ADDED, "?": BarlineAct.DOUBTFUL}
_FOLIO = re.compile(r'&(?P<folio>[^\s&"]*)(?:"[a-z])*')
#: Kinds that may stand inside a bar as printed; a plain line there would begin another bar.
_INSIDE = {
    BarlineKind.DOUBLE,
    BarlineKind.REPEAT_END,
    BarlineKind.REPEAT_START,
    BarlineKind.REPEAT_BOTH,
    BarlineKind.DASHED,
}


def read_bar(reader: Reader, line: Line) -> Bar:
    """bar = ("|" | "|<" | "|>") {event | barline | break} | "|" ditto {break} [barline] ;"""
    first = line.words[0]
    kind = BAR_STARTS.get(first.text)
    words = line.words[1:]
    if kind is None:  # not parted from what follows: kept unread, so that the bar keeps its lines
        hint = "White space separates the bar line from what follows; || stands at the end, opens ||. at the start."
        reader.report(SYNTAX, first.span(reader.file), f"Expected a bar line alone, not “{first.text}”.", hint)
    ditto, unread, words = _ditto(reader, words)
    items, closing = _closed(reader, (*unread, *read_items(reader, words)), first)
    if kind is None:
        items = (Unread(first.text, first.span(reader.file)), *items)
    if ditto is None and not any(isinstance(item, Event | Unread) for item in items):
        message = f"Expected an event after “{first.text}”."
        reader.report(EMPTY_BAR, first.span(reader.file), message, "An empty bar is typed | -")
    if ditto and any(isinstance(item, Event | Unread) for item in items):
        message = "Expected the bar line after ditto: such a bar has no events of its own."
        reader.report(DITTO, line.span(reader.file), message, "Type ditto, or the events.")
    span = line.span(reader.file)
    return Bar(kind or BarKind.MEASURED, span, items, closing, ditto, comment=line.comment)


def read_items(reader: Reader, words: tuple[Word, ...]) -> tuple[BarItem, ...]:
    """{event | barline | break} ;   the course of a stop holds for the shorthand up to the end of the line"""
    items: list[BarItem] = []
    course: int | None = None
    file, signs = reader.file, reader.signs
    for word in words:
        text = word.text
        if "|" in text:
            items.append(read_barline(reader, word))
            continue
        if text[0] == "&":
            items.append(_break(reader, word))
            continue
        shape = shape_of(text, signs)
        if shape.event is None or shape.shorthand:
            item, course = _uncommon(reader, word, shape, course)
            items.append(item)
        else:
            item = placed(shape.event, file, word.line, word.start)
            items.append(item)
            if shape.stops:
                course = shape.course
    return tuple(items)


def _uncommon(reader: Reader, word: Word, shape: Shape, before: int | None) -> tuple[Event | Unread, int | None]:
    """An event with the shorthand, or a word that cannot be read; and the course of its last stop."""
    faults = shape.faults
    if shape.event is not None:
        event, faults = with_courses(shape.event, before)
        if not faults:
            event = placed(event, reader.file, word.line, word.start)
            _report_shorthand(reader, event)
            last = event.stops[-1].reading
            sign = last.edition or last.source
            return event, sign.course if sign else None
    if not reader.likely(word, lambda text: _reads(text, reader.signs)):
        for fault in faults:
            reader.fault(word, fault)
        if any(_reads(word.text, signs) for signs in Signs if signs is not reader.signs):
            reader.other_signs(word)
    head = placed_head(shape.head, reader.file, word.line, word.start) if shape.head else None
    return Unread(word.text, word.span(reader.file), head), None


def _reads(text: str, signs: Signs) -> bool:
    """Whether a word would be an event, with each course named."""
    shape = shape_of(text, signs)
    return shape.event is not None and not shape.shorthand


def _report_shorthand(reader: Reader, event: Event) -> None:
    for stop in event.stops:
        for sign in (stop.reading.edition, stop.reading.source):
            if sign and sign.shorthand:
                message = f"The course is left out; course {sign.course} is assumed, as in the stop before."
                reader.report(SHORTHAND, stop.span, message, "longneck tidy writes it out.")
                break


# --- bar lines and breaks -------------------------------------------------------------------------------


def read_barline(reader: Reader, word: Word) -> Barline | Unread:
    """barline = ( "!" line | line ["!" | "?"] ) {label} ;
    line = "|" | "||" | "|||" | ".||" | "||." | ".||." | "|-|" ;"""
    span = word.span(reader.file)
    try:
        check_length(word.text)
    except FaultError as error:
        reader.fault(word, error.fault)
        return Unread(word.text, span)
    match = _BARLINE.fullmatch(word.text)
    if match is None:
        hint = "Bar lines are | || ||| .|| ||. .||. |-|, with ! after it if added, before it if removed."
        reader.report(SYNTAX, span, f"Expected an event or a bar line, not “{word.text}”.", hint)
        return Unread(word.text, span)
    act = BarlineAct.REMOVED if match["removed"] else _ACTS[match["act"]]
    kind = BarlineKind(match["old"] or match["kind"])
    start = match.start("labels")
    labels = tuple(Label(word.text[at + 1], span.part(at, at + 2)) for at in range(start, len(word.text), 2))
    return Barline(kind, span, act, labels)


def _closed(reader: Reader, items: tuple[BarItem, ...], first: Word) -> tuple[tuple[BarItem, ...], Barline]:
    """The items and the bar line that closes them: the last one typed, or else a plain printed one."""
    last = items[-1] if items else None
    if isinstance(last, Barline) and last.act is not BarlineAct.REMOVED:
        items, closing = items[:-1], last
        if closing.kind is BarlineKind.SINGLE and closing.act is BarlineAct.PRINTED and not closing.labels:
            closing = Barline(closing.kind, closing.span, typed=False)
    else:
        span = last.span if last else first.span(reader.file)
        closing = Barline(BarlineKind.SINGLE, Span(span.file, span.line, span.end, span.end), typed=False)
    for place, item in enumerate(items):
        if isinstance(item, Barline):
            _check_inside(reader, item, last=place == len(items) - 1)
    return items, closing


def _check_inside(reader: Reader, barline: Barline, *, last: bool) -> None:
    if barline.act is BarlineAct.REMOVED:
        if last:
            message = "Expected an event after a removed bar line: it stands inside its bar."
            hint = "Join the next bar to this line: | 2=1:0 !| 2:0"
            reader.report(BAR_LINE_INSIDE, barline.span, message, hint)
    elif barline.kind not in _INSIDE:
        message = f"Expected no “{barline.kind.value}” inside a bar: one bar is one line."
        reader.report(BAR_LINE_INSIDE, barline.span, message, "Begin a new line with |")


def _break(reader: Reader, word: Word) -> SourceBreak | Unread:
    """break = "&" [folio] {label} ;"""
    span = word.span(reader.file)
    match = _FOLIO.fullmatch(word.text)
    if match is None:
        message = f"Expected a folio after “&”, not “{word.text[1:]}”."
        reader.report(SYNTAX, span, message, "A new system is &, a new page &4r")
        return Unread(word.text, span)
    start = match.end("folio")
    labels = tuple(Label(word.text[at + 1], span.part(at, at + 2)) for at in range(start, len(word.text), 2))
    return SourceBreak(match["folio"], span, labels)


def _means_ditto(text: str, signs: Signs) -> bool:
    """Whether a word that is no event is ditto with a slip in it."""
    return bool(get_close_matches(text.lower(), ["ditto"], 1, 0.75)) and not _reads(text, signs)


def _ditto(reader: Reader, words: tuple[Word, ...]) -> tuple[Ditto | None, tuple[Unread, ...], tuple[Word, ...]]:
    """ditto = "ditto" [n | section n] ;   its words unread if they make no sense; and the words left"""
    if not words or not (words[0].text == "ditto" or _means_ditto(words[0].text, reader.signs)):
        return None, (), words
    end = 1
    while end < len(words) and "|" not in words[end].text and words[end].text[0] != "&":
        end += 1
    if words[0].text != "ditto":
        meant = " ".join(["ditto", *(word.text for word in words[1:end])])
        message = f"Expected “ditto”, not “{words[0].text}”."
        reader.report(DITTO, words[0].span(reader.file), message, f"Perhaps {meant}")
        return None, tuple(Unread(word.text, word.span(reader.file)) for word in words[:end]), words[end:]
    said = [word.text for word in words[1:end]]
    span = words[0].span(reader.file)
    if words[end - 1].line == words[0].line:
        span = span.to(words[end - 1].span(reader.file))
    typed = " ".join(said)
    number = int(said[-1]) if said and said[-1].isdecimal() and said[-1].isascii() and len(said[-1]) < 5 else 0
    if said and not number:
        message = f"Expected a number of bars after “ditto”, not “{typed}”."
        reader.report(
            DITTO, span, message, "Type ditto, or ditto 2 (the two bars before), or ditto Prima 3 (bar 3 of Prima)."
        )
        return None, tuple(Unread(word.text, word.span(reader.file)) for word in words[:end]), words[end:]
    section = " ".join(said[:-1])
    bars = 1 if section or not said else number
    return Ditto(bars, section, number if section else 0, typed, span), (), words[end:]
