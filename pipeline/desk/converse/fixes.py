"""What may be changed at a place: what the hints of findings say, probable misprints, pins.

A change that follows from a hint is tried before it is offered: the text is read with it, and the finding must be gone
and no error more.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Sequence

from pipeline.desk.converse.look import Look, look_at
from pipeline.desk.converse.pins import answers, pins_at
from pipeline.desk.converse.record import Fix, FixKind, Insight, TextChange
from pipeline.desk.converse.rewriting import applied, rewritten
from pipeline.desk.misprints.accepting import NotAcceptedError, accepted, initials_for
from pipeline.desk.misprints.listing import sureness
from pipeline.desk.misprints.proposal import Proposal
from pipeline.findings.codes import heading as of_heading
from pipeline.findings.codes import music, reading, syntax
from pipeline.findings.codes.bars import BAR_TOO_LONG, BAR_TOO_SHORT, METRE_DIFFERS
from pipeline.findings.text import counted
from pipeline.model.diagnostics import Code, Diagnostic, Severity
from pipeline.model.signs import Event
from pipeline.model.tablature import HEADING_KEYS, HeadingLine
from pipeline.model.text import SourceText, Span
from pipeline.source import encoded

_WORD = re.compile(r"\S+")
_SIGN = re.compile(r"the sign over event (\d+) should be (\S+)=, not (\S+)= \((\S+)= if")
#: Findings whose hints are tried for one answer: each costs a reading of the signs.
MOST_TRIED = 8

Mend = tuple[str, tuple[TextChange, ...]]


def fixes(
    look: Look,
    text: str,
    found: Sequence[Diagnostic],
    insight: Insight | None,
    proposals: Sequence[Proposal],
    first: tuple[int, int],
    last: tuple[int, int],
) -> tuple[Fix, ...]:
    """All changes that are offered between two places (line, column). ``text`` is what the editor holds; ``found`` are
    the findings on it; ``proposals`` the probable misprints; ``insight`` is None while the reading lasts."""
    touched = [one for one in found if one.span.file == look.name and _meets(one.span, first, last)]
    made: list[Fix] = []
    for finding in touched[:MOST_TRIED]:
        made += _hints(look, text, finding)
        made += answers(look, finding)
    made += _misprints(look, text, [one for one in proposals if _meets(one.suspicion.span, first, last)])
    if insight is not None and first == last:
        made += pins_at(look, insight, *first)
    return tuple(dict.fromkeys(made))


def _meets(span: Span, first: tuple[int, int], last: tuple[int, int]) -> bool:
    return (span.line, span.start) <= last and first <= (span.line, span.end)


# --- hints ------------------------------------------------------------------------------------------------


def _hints(look: Look, text: str, finding: Diagnostic) -> Iterator[Fix]:
    mends = [mend for mend in _mends(look, finding) if _mended(look, text, finding, mend[1])]
    for title, changes in mends:
        yield Fix(title, FixKind.HINT, changes, finding.code.slug, finding.span, len(mends) == 1)


def _mended(look: Look, text: str, finding: Diagnostic, changes: Sequence[TextChange]) -> bool:
    after = look_at(SourceText.of(look.name, applied(text, changes).removeprefix("\ufeff")), look.inherited)
    said = (finding.code, finding.message)
    soon = Counter((one.code, one.message) for one in look.found)
    if soon[said] and Counter((one.code, one.message) for one in after.found)[said] >= soon[said]:
        return False
    return _errors(after) <= _errors(look)


def _errors(look: Look) -> int:
    return sum(one.severity is Severity.ERROR for one in look.found)


def _mends(look: Look, finding: Diagnostic) -> Iterator[Mend]:
    """What a hint says, as changes. A hint that asks for what only the editor knows gives none."""
    code, hint = finding.code, finding.hint
    if code is syntax.SHORTHAND:
        yield from _written_out(look)
    elif code is METRE_DIFFERS:
        yield from _metres(look, finding)
    elif code in (BAR_TOO_SHORT, BAR_TOO_LONG):
        yield from _rhythm(look, finding)
    elif code is of_heading.UNKNOWN_INSTRUMENT:
        names = hint.partition("; or")[0].removeprefix("Perhaps ").split(" · ") if hint.startswith("Perhaps ") else []
        yield from (_replaced(finding.span, name) for name in names)
    elif code is of_heading.SEVERITY:
        names = hint.removeprefix("Perhaps ").rstrip(".").split(" or ") if hint.startswith("Perhaps ") else []
        yield from (_second_word(look, finding.span, name) for name in names)
    elif code is syntax.VERSION:
        yield from _version(look)
    elif declared := _declares(code, hint):
        yield _in_heading(look, declared)
    elif hint.startswith("Perhaps the heading should say: "):
        yield _in_heading(look, hint.removeprefix("Perhaps the heading should say: "))
    elif code is syntax.DITTO and hint.startswith("Perhaps "):
        yield _replaced(finding.span, hint.removeprefix("Perhaps ").split()[0])
    elif hint.startswith("Perhaps "):
        yield from _word_for(look, finding, hint.removeprefix("Perhaps "))


def _declares(code: Code, hint: str) -> str:
    """The heading line that a hint tells to type."""
    if code is reading.SCALE_QUESTION:
        return hint.removeprefix("If so, declare it in the heading: ").rstrip(".")
    if code is music.FRETTED_DIAPASON and "type in the heading: " in hint:
        return hint.rpartition("type in the heading: ")[2]
    return ""


def _word_for(look: Look, finding: Diagnostic, meant: str) -> Iterator[Mend]:
    """Another word for the one that a finding stands in."""
    span = _word_at(look, finding.span)
    if span is not None and " " not in meant:
        yield _replaced(span, meant)


def _written_out(look: Look) -> Iterator[Mend]:
    """All words of the piece whose courses are left out, with them: their finding is one for all."""
    bars = look.piece.tablature.bars
    events = [event for bar in bars for event in bar.events if _leaves_course(event)]
    signs = look.piece.heading.signs
    changes = tuple(_replaced(event.span, encoded.event(event, signs))[1][0] for event in events)
    if changes:
        yield (
            f"Write out the courses that are left out ({counted(len(changes), 'word')})",
            changes,
        )


def _leaves_course(event: Event) -> bool:
    signs = [sign for stop in event.stops for sign in (stop.reading.edition, stop.reading.source)]
    return any(sign is not None and sign.shorthand for sign in signs)


def _metres(look: Look, finding: Diagnostic) -> Iterator[Mend]:
    line = look.source.line(finding.span.line)
    words = list(_WORD.finditer(line))
    if finding.span.file != look.name or len(words) < 2 or words[0].group() != "metre":
        return
    value = Span(look.name, finding.span.line, words[1].start() + 1, len(line.rstrip()) + 1)
    for part in finding.hint.removeprefix("Perhaps ").split("; if the source prints "):
        meant = part.rpartition("metre ")[2]
        yield _replaced(value, meant)


def _rhythm(look: Look, finding: Diagnostic) -> Iterator[Mend]:
    """Another rhythm sign: as a slip of the typing, and as one of the source."""
    said = _SIGN.search(finding.hint)
    bar = next((one for one in look.piece.tablature.bars if one.span.line == finding.span.line), None)
    if said is None or bar is None or len(bar.events) < int(said[1]):
        return
    head = bar.events[int(said[1]) - 1].head
    at = look.source.at(head.span).find(said[3]) if head is not None else -1
    if head is not None and at >= 0:
        span = head.span.part(at, at + len(said[3]))
        for meant in (said[2], said[4]):
            yield f"Type {meant}=", _replaced(span, meant)[1]


def _version(look: Look) -> Iterator[Mend]:
    first = look.source.line(1)
    if first.lower().startswith("longneck"):
        yield "First line: longneck 1", (TextChange(1, 1, 1, len(first) + 1, "longneck 1"),)
    else:
        yield "Type longneck 1 above", (TextChange(1, 1, 1, 1, "longneck 1\n"),)


def _in_heading(look: Look, typed: str) -> Mend:
    """A line that goes into the piece's own heading: it takes the place of one that says something else of the same,
    or is added to it; else it stands behind the last line."""
    key, _, value = typed.partition(" ")
    own = [line for line in look.piece.tablature.heading if isinstance(line, HeadingLine)]
    before = next((line for line in own if line.key == key), None)
    if before is not None:
        said = f"{before.value}, {value}" if key == "diapasons" else value
        return f"Heading: {key} {said}", _replaced(before.value_span, said)[1]
    rank = HEADING_KEYS.index(key)
    line = max((one.span.line for one in own if HEADING_KEYS.index(one.key) <= rank), default=1)
    column = len(look.source.line(line)) + 1
    return f"Heading: {typed}", (TextChange(line, column, line, column, f"\n{typed}"),)


def _second_word(look: Look, span: Span, meant: str) -> Mend:
    word = list(_WORD.finditer(look.source.line(span.line)))[1]
    return _replaced(Span(span.file, span.line, word.start() + 1, word.end() + 1), meant)


def _word_at(look: Look, span: Span) -> Span | None:
    for match in _WORD.finditer(look.source.line(span.line)):
        if match.start() < span.start <= match.end() + (span.start == span.end):
            return Span(span.file, span.line, match.start() + 1, match.end() + 1)
    return None


def _replaced(span: Span, text: str) -> Mend:
    return f"Type {text}", (TextChange(span.line, span.start, span.line, span.end, text),)


# --- probable misprints -----------------------------------------------------------------------------------


def _misprints(look: Look, text: str, proposals: Sequence[Proposal]) -> Iterator[Fix]:
    """What ``longneck propose --accept`` would write, for each way to mend a place; nothing for one that must be typed
    by hand."""
    for proposal in proposals:
        one = proposal.suspicion
        try:
            changed = accepted(text, look.inherited, proposal, look.name, initials_for(look.piece, ""))
        except NotAcceptedError:
            continue
        title = (
            f"{one.slip.value[:1].upper()}{one.slip.value[1:]}: {one.typed} → {one.proposed}, {sureness(one.chance)}"
        )
        yield Fix(title, FixKind.MISPRINT, rewritten(text, changed), span=one.span)
