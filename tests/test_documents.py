"""What DEVELOPERS.md and README.md name is there."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
#: Places that a path without a room may be in: the text names it under the heading of its room.
BASES = (".", "pipeline", "pipeline/desk/misprints/search", "pipeline/desk/proof", "tests/benchmarks")
PATH = re.compile(r"`((?:[\w.-]+/)+[\w.-]*|[\w-]+\.(?:py|md|toml|ebnf))`")


def paths(document: str) -> list[str]:
    return sorted(set(PATH.findall((ROOT / document).read_text(encoding="utf-8"))))


@pytest.mark.parametrize("path", paths("DEVELOPERS.md"))
def test_a_path_that_developers_are_sent_to_exists(path: str) -> None:
    assert any((ROOT / base / path).exists() for base in BASES)


@pytest.mark.parametrize("document", ["README.md", "DEVELOPERS.md", "tests/benchmarks/README.md"])
def test_a_link_leads_somewhere(document: str) -> None:
    text = (ROOT / document).read_text(encoding="utf-8")
    for target in re.findall(r"\]\(([^)#]+)\)", text):
        assert ((ROOT / document).parent / target).exists(), target


@pytest.mark.parametrize("document", ["README.md", "DEVELOPERS.md"])
def test_a_module_that_a_command_runs_exists(document: str) -> None:
    text = (ROOT / document).read_text(encoding="utf-8")
    for module in re.findall(r"python -m ((?:tests|pipeline)[\w.]*)", text):
        place = ROOT / module.replace(".", "/")
        assert place.with_suffix(".py").is_file() or (place / "__main__.py").is_file(), module
