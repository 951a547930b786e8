"""Each case is read as a musician would print it, or stands in ``failing.txt`` with what is wrong."""

from __future__ import annotations

from pathlib import Path

import pytest

from pipeline.model.time import WHOLE
from tests.readings.agreement import compare, said, stops_of
from tests.readings.cases import Case, cases

CASES = cases()
IDIOMS = {
    "bells", "broken", "divisions", "ground", "mixed", "pins", "song", "staves", "strums", "texture", "thin", "vocal",
}  # fmt: skip


class Otherwise(Exception):
    """The program reads a stop otherwise: the one failure that the list may excuse."""


#: Name of a case → why it is read otherwise. A case that comes right must be taken off the list.
FAILING = dict(
    line.split(": ", 1) for line in (Path(__file__).parent / "failing.txt").read_text(encoding="utf-8").splitlines()
)


def test_list_of_failing_cases_names_cases() -> None:
    assert set(FAILING) <= {case.name for case in CASES}


def test_all_idioms_are_there() -> None:
    assert {case.idiom for case in CASES} == IDIOMS | {"worked"}
    assert sum(case.bars for case in CASES) >= 150


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_case_is_argued_and_names_every_stop(case: Case) -> None:
    assert case.why.endswith(".") and case.ground
    _, stops = stops_of(case)
    assert len(compare(case)) == len(stops)
    assert all(one.offset >= 0 and all(0 < length <= 4 * WHOLE for length in one.lengths) for one in case.wanted)


@pytest.mark.parametrize(
    "case",
    [
        pytest.param(
            case,
            id=case.name,
            marks=pytest.mark.xfail(strict=True, raises=Otherwise, reason=FAILING[case.name])
            if case.name in FAILING
            else (),
        )
        for case in CASES
    ],
)
def test_is_read_as_a_musician_would_print_it(case: Case) -> None:
    wrong = [said(one) for one in compare(case) if not one.agrees]
    if wrong:
        raise Otherwise("\n".join((case.title, case.why, *wrong)))
