"""Small cases of notation against rules of engraving, and the form of the files that hold them."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.dump import dump, narrow
from tests.made import score
from tests.notation.reading import FOLDER, Case, cases
from tests.songs import copied

CASES = list(cases())
SOURCES = ("Source: common practice, no source", "Source: from memory", "Source: Read", "Source: MusicXML 4.0")


def _marked(case: Case) -> object:
    marks = [pytest.mark.xfail(strict=True, reason=case.fault)] if case.fault else []
    return pytest.param(case, id=f"{Path(case.file).stem}: {case.name}", marks=marks)


@pytest.mark.parametrize("case", [_marked(case) for case in CASES])
def test_is_notated_by_the_rule(case: Case) -> None:
    make = copied if "layer" in case.heading else score
    made = make("\n".join(case.music), case.head)
    lines = [line.partition(": ") for line in (*dump(made), *narrow(made))]
    found = {key: value for key, _, value in lines}
    assert {key: found.get(key, "") for key in case.expected} == case.expected


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case.file}: {case.name}")
def test_every_case_names_a_rule_with_its_source(case: Case) -> None:
    assert case.rule in case.rules
    assert any(source in case.rules[case.rule] for source in SOURCES)
    assert case.expected


def test_no_two_cases_have_one_name_and_no_rule_is_idle() -> None:
    names = [(case.file, case.name) for case in CASES]
    assert len(names) == len(set(names)) >= 150
    for path in FOLDER.glob("*.txt"):
        here = [case for case in CASES if case.file == path.name]
        assert {case.rule for case in here} == set(here[0].rules)
