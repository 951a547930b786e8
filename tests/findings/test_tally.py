"""What is known by what, and what a baseline does to a run."""

from __future__ import annotations

import json
from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.findings.tally import BadBaselineError, Baseline, Key, Taker, read_baseline, renewed, write_baseline
from pipeline.model.diagnostics import Severity
from pipeline.model.text import SourceText
from tests.findings.tallies import ERROR, FIXED, NOTE, PIECE, WARNING, found, one, taken
from tests.outside.machine import valid

A = "book/01.intav"


def key(line: str, code: str = "a-slip", piece: str = A) -> Key:
    return Key(piece, code, line)


# --- what a finding is known by ---------------------------------------------------------------------------------


def test_lines_above_may_come_and_go() -> None:
    moved = PIECE.replace("title Trial\n", "title Trial\nremark One\nremark Two\n")
    (here,), (there,) = one(found(ERROR, 5)).noted, one(found(ERROR, 7), text=moved).noted
    assert here.fingerprint == there.fingerprint
    assert here.key == key("| 2=7,3:0 2=8")


@pytest.mark.parametrize("line", ["  |  2=7,3:0\t2=8  ", "| 2=7,3:0   2=8"])
def test_white_space_does_not_matter(line: str) -> None:
    typed = PIECE.replace("| 2=7,3:0 2=8", line)
    assert next(one(found(ERROR, 5), text=typed).noted).key == key("| 2=7,3:0 2=8")


def test_another_line_piece_or_kind_is_another_finding() -> None:
    base = next(one(found(ERROR, 5)).noted).fingerprint
    others = [
        one(found(ERROR, 5), text=PIECE.replace("2=8", "2=9")),
        one(found(WARNING, 5)),
        taken(("book/02.intav", (found(ERROR, 5, file="book/02.intav"),))),
    ]
    assert base not in {next(tally.noted).fingerprint for tally in others}


def test_equal_bars_are_counted() -> None:
    """Bars 4 and 6 are typed alike: two findings, told apart by their number; a third is new."""
    tally = one(found(ERROR, 4), found(ERROR, 6), known={key("| 1=7,3:0"): 1})
    assert [each.number for each in tally.noted] == [1, 2]
    assert len({each.fingerprint for each in tally.noted}) == 2
    assert [each.known for each in tally.noted] == [True, False]


def test_a_heading_is_told_once() -> None:
    both = tuple(found(ERROR, 2, file="book/heading.intav") for _ in range(2))
    tally = taken((A, both[:1]), ("book/02.intav", both[1:]))
    assert [(file.name, file.is_piece, len(file.noted)) for file in tally.files] == [
        ("book/heading.intav", False, 1),
        (A, True, 0),
        ("book/02.intav", True, 0),
    ]
    assert tally.totals().pieces == 2


# --- known and new ----------------------------------------------------------------------------------------------


def test_known_findings_do_not_fail() -> None:
    tally = one(found(ERROR, 4), found(WARNING, 5), known={key("| 1=7,3:0"): 1})
    assert [each.fails for each in tally.noted] == [False, False]
    totals = tally.totals()
    assert (totals.known, totals.counts[Severity.ERROR], totals.counts[Severity.WARNING]) == (1, 0, 1)
    assert next(one(found(ERROR, 4)).noted).fails


def test_what_speaks_of_the_machine_is_never_known() -> None:
    line = key("| 1=7,3:0", "no-room")
    tally = one(found(FIXED, 4), known={line: 1})
    assert next(tally.noted).fails
    assert renewed(tally, Baseline(), lambda name: True).counts == {}


def test_what_occurs_no_more_is_said() -> None:
    known = {key("| 1=7,3:0"): 2, key("| gone"): 1, key("| else", piece="other/01.intav"): 1}
    assert one(found(ERROR, 4), known=known).gone == ((key("| 1=7,3:0"), 1), (key("| gone"), 1))


def test_a_piece_that_is_no_more_takes_its_findings_along() -> None:
    known = {key("| else", piece="other/01.intav"): 1}
    assert one(known=known, exists=lambda name: name == A).gone == ((key("| else", piece="other/01.intav"), 1),)


def test_a_heading_counts_as_read_with_a_piece_below_it() -> None:
    above, beside = key("x", piece="heading.intav"), key("x", piece="other/heading.intav")
    assert one(known={above: 1, beside: 1}).gone == ((above, 1),)


def test_renewing_keeps_what_the_run_did_not_read() -> None:
    before = Baseline({key("| old"): 1, key("| else", piece="other/01.intav"): 3, key("| x", piece="lost.intav"): 1})
    new = renewed(one(found(ERROR, 4), found(NOTE, 6)), before, lambda name: name != "lost.intav")
    assert new.counts == {
        key("| 1=7,3:0"): 1,
        key("| 1=7,3:0", "a-question"): 1,
        key("| else", piece="other/01.intav"): 3,
    }


# --- the file ---------------------------------------------------------------------------------------------------

_TEXTS = st.text(st.characters(exclude_categories=("Cs",)), max_size=8)


@given(st.dictionaries(st.builds(Key, _TEXTS, _TEXTS, _TEXTS), st.integers(1, 9), max_size=5))
def test_written_and_read_again(counts: dict[Key, int]) -> None:
    data = write_baseline(Baseline(counts))
    valid(data, "baseline")
    assert read_baseline(data).counts == counts
    assert write_baseline(Baseline(dict(reversed(counts.items())))) == data


def test_one_finding_is_one_line() -> None:
    data = write_baseline(Baseline({key("| é"): 1, key("| a"): 2}))
    assert data.decode().splitlines()[3:5] == [
        '    {"piece": "book/01.intav", "code": "a-slip", "line": "| a", "count": 2},',
        '    {"piece": "book/01.intav", "code": "a-slip", "line": "| é", "count": 1}',
    ]


GOOD = {"piece": "a", "code": "b", "line": "c", "count": 1}
BROKEN = {
    b"\xff": "it is not UTF-8",
    b'{\n "form": 1,,\n}': "line 2, column 12: ",
    b"[" * 100_000: "it is not a baseline",
    b"[]": "it is not a baseline of form 1",
    b'{"form": 2, "known": []}': "it is not a baseline of form 1",
    b'{"form": 1, "known": {}}': "“known” is not a list",
    json.dumps({"form": 1, "known": [GOOD, 7]}).encode(): "known finding 2 needs piece, code, line, count",
    json.dumps({"form": 1, "known": [{**GOOD, "line": 7}]}).encode(): "known finding 1: “line” is no text",
    json.dumps({"form": 1, "known": [{**GOOD, "count": True}]}).encode(): "known finding 1: “count” is no count",
    json.dumps({"form": 1, "known": [{**GOOD, "count": 0}]}).encode(): "known finding 1: “count” is no count",
    b'{"form": 1, "known": [' + b"9" * 10_000 + b"]}": "it is not a baseline",
}


@pytest.mark.parametrize("data", BROKEN, ids=range(len(BROKEN)))
def test_a_broken_baseline_is_refused_with_a_reason(data: bytes) -> None:
    with pytest.raises(BadBaselineError) as error:
        read_baseline(data)
    assert str(error.value).startswith(BROKEN[data])


@given(st.binary(max_size=40))
def test_no_bytes_break_the_reader(data: bytes) -> None:
    with suppress(BadBaselineError):
        read_baseline(data)


def test_names_and_places_are_those_of_the_collection() -> None:
    taker = Taker(lambda name: f"top/{name}")
    taker.take("a.intav", [found(ERROR, 4, file="a.intav")], {"a.intav": SourceText.of("a.intav", PIECE)})
    (noted,) = taker.tally(lambda name: True).noted
    assert (noted.finding.span.file, noted.key.piece) == ("top/a.intav", "top/a.intav")
