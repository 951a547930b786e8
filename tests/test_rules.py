"""The rules of the house are configured, not only described: what they forbid is refused."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
PURE = ("model", "source", "edition", "writers", "findings", "desk")


def _refused(place: str, line: str) -> bool:
    """True if the linter refuses a module of this one line at that place for a banned name."""
    asked = [sys.executable, "-m", "ruff", "check", "--select", "TID251,PTH123", "--stdin-filename", place, "-"]
    done = subprocess.run(asked, input=f"{line}\n", cwd=ROOT, capture_output=True, text=True, check=False)
    return done.returncode == 1 and ("TID251" in done.stdout or "PTH123" in done.stdout)


@pytest.mark.parametrize("room", PURE)
@pytest.mark.parametrize(
    "line", ["import random", "import time", "from datetime import date", "from pathlib import Path", "open('x')"]
)
def test_no_chance_clock_or_file_below_the_folder(room: str, line: str) -> None:
    assert _refused(f"pipeline/{room}/trial.py", line)


def test_the_piece_is_pure_too() -> None:
    assert _refused("pipeline/piece.py", "import os")


@pytest.mark.parametrize("room", ["folder", "cli"])
def test_the_edge_may_ask_the_system(room: str) -> None:
    assert not _refused(f"pipeline/{room}/trial.py", "import time")
