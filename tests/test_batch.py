"""Batches: any executor gives the same, and each piece stands alone."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from pathlib import Path

import pytest

from pipeline.batch import Done, Job, Work, build_all, check_all
from pipeline.files import discover
from pipeline.options import Options

PIECE = "longneck 1\ntitle {}\ninstrument theorbo in A\nmetre C\n\n| 2=7,4:0,3:0 4=3:2 3:3\n| 1={},4:2 |||\n"


@pytest.fixture
def pieces(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> tuple[Path, ...]:
    (tmp_path / ".git").mkdir()
    monkeypatch.chdir(tmp_path)
    for number, stop in enumerate(("8", "8:1", "9")):
        Path(f"{number}.intav").write_text(PIECE.format(number, stop), encoding="utf-8")
    return (Path(),)


def in_processes(work: Work, jobs: Sequence[Job]) -> Iterator[Done]:
    with ProcessPoolExecutor(2, mp_context=get_context("spawn")) as pool:
        yield from pool.map(work, jobs)


def backwards(work: Work, jobs: Sequence[Job]) -> Iterator[Done]:
    return reversed([work(job) for job in reversed(jobs)])


def test_work_can_be_sent_to_other_processes(pieces: tuple[Path, ...]) -> None:
    found = discover(pieces)
    assert list(check_all(found, in_processes)) == list(check_all(found))


def test_the_order_of_work_changes_nothing(pieces: tuple[Path, ...]) -> None:
    found = discover(pieces)
    forth = list(build_all(found, Path("forth"), Options()))
    back = list(build_all(found, Path("back"), Options(), backwards))
    assert [done.diagnostics for done in forth] == [done.diagnostics for done in back]
    for one, other in zip(forth, back, strict=True):
        assert [path.read_bytes() for path in one.written] == [path.read_bytes() for path in other.written]


def test_a_piece_gives_the_same_alone_and_among_others(pieces: tuple[Path, ...]) -> None:
    together = list(check_all(discover(pieces)))
    alone = [next(check_all(discover([Path(done.name)]))) for done in together]
    assert alone == together
    assert [len(done.diagnostics) for done in together] == [0, 1, 0]
