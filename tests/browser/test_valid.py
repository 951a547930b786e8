"""The pages are HTML as the Nu Html Checker reads the standard (npm package vnu-jar, run by java)."""

from __future__ import annotations

import os
import shutil
import subprocess
from collections import Counter
from pathlib import Path

import pytest

from pipeline.folder.batch import build_all
from pipeline.folder.files import discover
from pipeline.model.options import Options
from tests.browser.conftest import FIXTURES, PIECE

CHECKER = os.environ.get("LONGNECK_VNU", "")


def faults(*files: Path) -> list[str]:
    if not Path(CHECKER).is_file() or not shutil.which("java"):
        pytest.skip("LONGNECK_VNU names no vnu.jar (npm package vnu-jar), or there is no java")
    done = subprocess.run(
        ["java", "-Xss2m", "-jar", CHECKER, "--format", "gnu", "--errors-only", "--exit-zero-always", *map(str, files)],
        capture_output=True,
        text=True,
        check=True,
    )
    return done.stderr.splitlines()


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    """Every page of a run, plain and live."""
    folder = tmp_path_factory.mktemp("valid")
    (folder / ".git").mkdir()
    (folder / "all signs #1.intav").write_text(PIECE, encoding="utf-8")
    for name in ("anthology/theorbo/02-ground", "faulty/rhythm", "faulty/no-version"):
        shutil.copy(FIXTURES / f"{name}.intav", folder)
    for live in (False, True):
        options = Options(live=live, misprints=live)
        assert not any(done.fault for done in build_all(discover([folder]), folder / f"out-{live}", options))
    return sorted(folder.rglob("*.html"))


def test_proof_pages_and_the_page_of_all_pieces_are_valid(pages: list[Path]) -> None:
    names = Counter(page.name for page in pages)
    assert (names["index.html"], names["proof.html"]) == (2, 8)
    assert faults(*(page for page in pages if page.name in names.keys() - {"critical-report.html"})) == []


def test_critical_reports_are_valid(pages: list[Path]) -> None:
    assert faults(*(page for page in pages if page.name == "critical-report.html")) == []


def test_the_checker_sees_a_fault(tmp_path: Path) -> None:
    (tmp_path / "x.html").write_text("<!DOCTYPE html><title>x</title><p><div></p>", encoding="utf-8")
    assert faults(tmp_path / "x.html")
