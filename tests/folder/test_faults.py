"""Nothing is ever lost: a short run of ``python -m tests.faults``, and what needs no process of its own."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from pipeline.folder.batch import build_all
from pipeline.folder.files import discover, write_artefacts
from pipeline.model.artefacts import Form
from pipeline.model.options import Options
from tests.faults import harm
from tests.folder.test_batch import PIECE, contents

QUICK = Options(copy=False, forms=(Form.MUSICXML,))


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return tmp_path / "collection"


def test_killed_at_random_moments(folder: Path) -> None:
    assert harm.killed(folder, 10) >= 5


def test_tidying_killed_at_random_moments(folder: Path) -> None:
    harm.tidying_killed(folder, 5)


def test_two_builds_at_once(folder: Path) -> None:
    harm.two_at_once(folder)


def test_stopped_from_the_keyboard(folder: Path) -> None:
    harm.stopped_from_the_keyboard(folder)


@pytest.mark.parametrize("harmed", [harm.full_disk, harm.read_only])
def test_disks_that_cannot_be_written(folder: Path, harmed: object) -> None:
    if os.geteuid() != 0:
        pytest.skip("only root may mount a small disk")
    assert callable(harmed)
    try:
        harmed(folder)
    except harm.NoDiskError as error:
        pytest.skip(str(error))


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    (tmp_path / ".git").mkdir()
    monkeypatch.chdir(tmp_path)
    for name in "abc":
        Path(f"{name}.intav").write_text(PIECE.format(name, "8"), encoding="utf-8")
    return tmp_path


def test_a_source_that_vanishes_is_a_finding_on_it_alone(here: Path) -> None:
    found = discover([Path()])
    list(build_all(found, Path("out"), QUICK))
    clean = contents(Path("out"))
    Path("b.intav").unlink()
    done = list(build_all(found, Path("out"), QUICK))
    assert [[one.code.slug for one in each.diagnostics] for each in done] == [[], ["file-unreadable"], []]
    Path("b.intav").write_text(PIECE.format("b", "8"), encoding="utf-8")
    list(build_all(discover([Path()]), Path("out"), QUICK))
    assert contents(Path("out")) == clean


def test_a_folder_that_fills_up_keeps_its_old_artefacts(here: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """All artefacts lie ready before the first one is replaced."""
    write_artefacts(Path("x"), [("edition.mei", b"old"), ("events.xml", b"old"), ("findings.json", b"old")])
    before = contents(Path("x"))
    sync, calls = os.fsync, []

    def full(handle: int) -> None:
        calls.append(handle)
        if len(calls) == 3:
            raise OSError(28, "No space left on device")
        sync(handle)

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space left"):
        write_artefacts(Path("x"), [("edition.mei", b"new"), ("events.xml", b"new"), ("findings.json", b"new")])
    assert contents(Path("x")) == before
