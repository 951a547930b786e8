"""Laws of reading and writing the encoding, over texts of every kind."""

from __future__ import annotations

from collections import Counter
from typing import Any

from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from pipeline.model.diagnostics import Diagnostic
from pipeline.model.signs import Event, MarkGroup, Sign
from pipeline.model.tablature import Bar, Barline, CommentLine, Directive, NoteLine, Pin, SourceBar, Tablature
from pipeline.model.text import SourceText, Span
from pipeline.source.declare import declare
from pipeline.source.encoding import write_encoding
from pipeline.source.parse import parse
from tests.ebnf import Grammar
from tests.records import is_record, names, parts

ENCODING = Grammar.of_encoding()
PIECES = [
    *("|", "|<", "|>", "+", "&", "&4r", ";", "; c", '"a', '"', "!", "!B", "v", "v2", "b", "c", "1", "2", "=", ":"),
    *(",", ">", "_", "'", "?", "*", "-", ".", "3:2", "4=", "8", "X", "12", "/3", "T", "p", "ditto", "||", "|||"),
    *(".||", "|!", "!|", "|-|", "section A", "again A", "ending 1", "gap 3 bars", "opens ||.", "metre C", "a", "4c"),
    *("retune 8 = F2", "key D minor", "stanza 4 x", "longneck 1", "title A", "source A = x", "course 7 = G2", "j"),
    *("signs french", 'mark T = "t" y, after', "layer v = C, clef C1", "instrument theorbo in A", "EB:", "> voice 2"),
    *("lasts to b", "//a", "D5", "#6", "\n", "\n", "\n", " ", " ", " ", "\t", "\x0b", "\u2028", "\ufeff", "\r", "é"),
]
#: Any text; texts made of the encoding's own pieces; sentences of the grammar with a few characters changed.
SCRAPS = st.lists(st.sampled_from(PIECES), max_size=60).map("".join)
SLIPS = st.tuples(ENCODING.sentences("file"), st.integers(0, 400), st.sampled_from(PIECES), st.integers(0, 4)).map(
    lambda slip: slip[0][: slip[1]] + slip[2] + slip[0][slip[1] + slip[3] :]
)
TEXTS = st.one_of(st.text(max_size=300), SCRAPS, SCRAPS.map(lambda scraps: f"longneck 1\n{scraps}"), SLIPS)
MANY = settings(
    max_examples=400, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large]
)


def read(text: str) -> tuple[Tablature, tuple[Diagnostic, ...]]:
    outcome = parse(SourceText.of("trial.intav", text))
    return outcome.value, outcome.diagnostics


def spans(found: tuple[Diagnostic, ...]) -> list[Span]:
    return [span for each in found for span in (each.span, *(other.span for other in each.related))]


def all_spans(record: Any) -> list[Span]:
    """Every span inside a record."""
    if isinstance(record, Span):
        return [record]
    if isinstance(record, tuple):
        return [span for part in record for span in all_spans(part)]
    if is_record(record):
        return [span for part in parts(record) for span in all_spans(part)]
    return []


@MANY
@given(TEXTS)
@example("")
@example("longneck 1\r\r\n| 3:2")
def test_any_text_is_read_and_all_spans_lie_inside_it(text: str) -> None:
    source = SourceText.of("trial.intav", text)
    tablature, found = read(text)
    declared = declare(tablature)
    for span in (*spans(found + declared.diagnostics), *all_spans(tablature), *all_spans(declared.value)):
        assert span.file == "trial.intav"
        assert 1 <= span.line <= max(1, len(source.lines))
        assert 1 <= span.start <= span.end <= len(source.line(span.line)) + 1


@MANY
@given(TEXTS)
def test_no_character_is_lost(text: str) -> None:
    """Every character but white space comes back at least as often as it was typed."""
    tablature, found = read(text)
    lost = _letters(text) - _letters(write_encoding(tablature))
    if any(each.code.slug == "shorthand" for each in found):
        del lost[":"]  # French ``:a`` is written out as ``3a``
    assert not lost


def _letters(text: str) -> Counter[str]:
    # A plain bar line at the end of its bar, the + of a line that goes on, and the tick of marks that now share one
    # may go: they are set anew wherever they mean something.
    return Counter(char for char in text if not char.isspace() and char not in "|+'")


@MANY
@given(TEXTS)
def test_writing_twice_changes_nothing(text: str) -> None:
    tablature, _ = read(text)
    once = write_encoding(tablature)
    again, _ = read(once)
    assert write_encoding(again) == once


@MANY
@given(TEXTS)
def test_writing_never_changes_the_meaning(text: str) -> None:
    tablature, found = read(text)
    again, found_again = read(write_encoding(tablature))
    assert meaning(again) == meaning(tablature)
    assert slugs(found_again) == [slug for slug in slugs(found) if slug != "shorthand"]


def slugs(found: tuple[Diagnostic, ...]) -> list[str]:
    return sorted(each.code.slug for each in found)


# --- meaning ------------------------------------------------------------------------------------------------


def meaning(record: Any) -> Any:
    """A record without its places, and without what the canonical layout may change: the order of stops struck
    together, of marks, of heading lines, of a bar's lines; comments among them; the shorthand."""
    match record:
        case Tablature():
            body = [item for item in record.body if not isinstance(item, CommentLine)]
            comments = sorted(item.text for item in (*record.heading, *record.body) if isinstance(item, CommentLine))
            heading = sorted(repr(meaning(line)) for line in record.heading if not isinstance(line, CommentLine))
            return heading, comments, meaning(tuple(body)), record.signs, record.version, record.comment
        case Event(head=head, body=body, stops=stops):
            typed = [meaning(stop) for stop in stops]
            together = not any(stop.after for stop in stops)
            return "event", meaning(head), body, sorted(typed, key=repr) if together else typed
        case Bar() | Directive():
            found = {name: meaning(getattr(record, name)) for name in names(record) if "span" not in name}
            for name in {"layers", "notes"} & set(found):
                found[name] = sorted(found[name], key=repr)
            return found
        case SourceBar():
            return record.witness, meaning(record.items), record.comment
        case Sign():
            return [getattr(record, name) for name in names(record) if name != "shorthand"]
        case NoteLine(pin=Pin()):
            return record.label, meaning(record.pin), record.comment
        case Barline():
            return record.kind, record.act, meaning(record.labels)
        case (MarkGroup(), *_):
            return sorted(
                (repr(meaning(reading)), meaning(group.labels)) for group in record for reading in group.marks
            )
        case Span():
            return None
        case tuple():
            return [meaning(part) for part in record]
    if is_record(record):
        return type(record).__name__, [meaning(part) for part in parts(record)]
    return record
