"""The parser against the grammar in ``schemas/encoding.ebnf``: sentences of the one are read by the other, and every
short word is accepted by both or by neither."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from pipeline.model.text import SourceText
from pipeline.model.time import GROUPS
from pipeline.source.declare import declare
from pipeline.source.parse import parse
from tests.ebnf import Grammar
from tests.source.typed import HEADING

#: Findings on what the grammar says in words only ("Beyond the rules"): agreements between several words.
BEYOND = {
    "course-twice",
    "label-without-note",
    "note-without-label",
    "shorthand",
    "shorthand-unclear",
    "stanza-without-voice",
    "line-repeated",
    "unknown-section",
    "undeclared-source",
    "undeclared-editor",
    "undeclared-layer",
}
ENCODING = Grammar.of_encoding()
SLOW = settings(
    max_examples=100, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large]
)


def faults(text: str) -> list[str]:
    found = parse(SourceText.of("trial.intav", text)).diagnostics
    return [f"{each.span.line}:{each.span.start} {each.message}" for each in found if each.code.slug not in BEYOND]


def test_the_grammar_is_whole() -> None:
    used, defined = ENCODING.names_used(), set(ENCODING.rules)
    assert used <= defined, "a rule is used and not defined"
    assert defined - used == {"file", "folder-heading", "bar-line"}, "a rule is defined and not used"


def test_groups_of_the_grammar_are_those_that_can_be_counted() -> None:
    members = ENCODING.pattern("members")
    assert {n for n in range(100) if members.fullmatch(str(n))} == GROUPS


@SLOW
@given(ENCODING.sentences("file"))
@example("longneck 1\n| ditto\nv\n")
def test_every_sentence_is_read(text: str) -> None:
    # That a heading names the file of a line without notes is beyond the grammar.
    assert not [fault for fault in faults(text) if "Expected a note after “v" not in fault]


@SLOW
@given(ENCODING.sentences("folder-heading"))
def test_every_folder_heading_is_read(text: str) -> None:
    piece = SourceText.of("trial.intav", "longneck 1\n")
    assert not parse(piece, (SourceText.of("heading.intav", text),)).diagnostics


@pytest.mark.parametrize("signs", ["italian", "french"])
@settings(max_examples=200, deadline=None)
@given(st.data())
def test_every_event_and_bar_line_is_read(signs: str, data: st.DataObject) -> None:
    word = data.draw(st.one_of(ENCODING.sentences(f"{signs}-event"), ENCODING.sentences("note")))
    line = f"| {word}" if ENCODING.pattern(f"{signs}-event").fullmatch(word) else f"| -\nv {word}"
    assert not faults(HEADING.format(signs=signs) + line)


# --- heading values -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("rule", "line"),
    [
        ("metre", "metre {}"),
        ("key", "key {}"),
        ("strings", "course 3 = {}"),
        ("hertz", "pitch {}"),
        ("ratio", "values {}"),
        ("ornament", "mark T = {}"),
        ("layer", "layer v = {}"),
    ],
)
@settings(max_examples=60, deadline=None)
@given(st.data())
def test_every_heading_value_is_understood(rule: str, line: str, data: st.DataObject) -> None:
    value = data.draw(ENCODING.sentences(rule))
    text = f"longneck 1\ninstrument theorbo in A\n{line.format(value)}\n"
    outcome = declare(parse(SourceText.of("trial.intav", text)).value)
    # A sentence of the grammar can still ask for a key of nine flats or a sign that is never printed so.
    said = [each.message for each in outcome.diagnostics if "more than seven accidentals" not in each.message]
    assert not said


# --- every short word ---------------------------------------------------------------------------------------

#: Words tried in one piece, each a bar: fewer than the findings that are listed of one piece.
_TOGETHER = 2000

#: Signs of the encoding with one figure or letter of each kind that a rule tells apart ("b" is a label, a letter, and
#: a mark in both places).
ALPHABETS = {
    ("italian-event", "italian"): "=:,_'!?*-\"./38Xb",
    ("french-event", "french"): "=:,_'!?*-\"./48bj",
}


@pytest.mark.parametrize(("rule", "signs"), ALPHABETS)
def test_short_words_are_accepted_by_both_or_neither(rule: str, signs: str) -> None:
    """All strings of up to four characters; and each that is accepted has one reading."""
    pattern = ENCODING.pattern(rule)
    wrong, accepted = [], []
    words = list(_words(ALPHABETS[rule, signs], 4))
    for word, together in zip(words, _read_alone(words, signs), strict=True):
        # among many words of the other system of signs one finding stands for all: what seems wrong is read by itself
        fits = bool(pattern.fullmatch(word))
        reads = together if fits is together else _read_alone([word], signs)[0]
        if fits is not reads:
            wrong.append(word)
        if reads:
            accepted.append(word)
    assert not wrong, wrong[:20]
    assert len(accepted) > 1000
    assert not [word for word in accepted if ENCODING.readings(rule, word) != 1]


def _words(alphabet: str, longest: int) -> itertools.chain[str]:
    return itertools.chain.from_iterable(
        map("".join, itertools.product(alphabet, repeat=length)) for length in range(1, longest + 1)
    )


def _read_alone(words: list[str], signs: str) -> list[bool]:
    """Whether each word is read without a fault as the only word of a bar."""
    return _unspoilt(f"longneck 1\nsigns {signs}\n", [f"| {word}\n" for word in words])


def _unspoilt(heading: str, bars: list[str]) -> list[bool]:
    """Which of many bars are read without a fault, in pieces small enough that all their findings are listed."""
    found: list[bool] = []
    for bunch in _bunches(bars, _TOGETHER):
        outcome = parse(SourceText.of("trial.intav", heading + "".join(bunch)))
        spoilt = {each.span.line for each in outcome.diagnostics if each.code.slug not in BEYOND}
        line = heading.count("\n") + 1
        for bar in bunch:
            lines = bar.count("\n")
            found.append(spoilt.isdisjoint(range(line, line + lines)))
            line += lines
    return found


def _bunches(bars: list[str], size: int) -> Iterator[list[str]]:
    return (bars[start : start + size] for start in range(0, len(bars), size))


def test_short_bar_lines_are_accepted_by_both_or_neither() -> None:
    pattern = ENCODING.pattern("closing")
    words = [word for word in _words('|.!?-"a', 5) if "|" in word and word[0] != '"']
    reads = _unspoilt("longneck 1\n", [f"| 1:0 {word}\n" for word in words])
    wrong = [word for word, read in zip(words, reads, strict=True) if bool(pattern.fullmatch(word)) is not read]
    assert not wrong, wrong[:20]


def test_short_notes_are_accepted_by_both_or_neither() -> None:
    pattern = ENCODING.pattern("note")
    words = list(_words("=_'!?*-\",8Ab#", 4))
    reads = _unspoilt("longneck 1\n", [f"| -\nv {word}\n" for word in words])
    wrong = [word for word, read in zip(words, reads, strict=True) if bool(pattern.fullmatch(word)) is not read]
    assert not wrong, wrong[:20]
