"""The table for typists: the README has it to the letter, and everything that it says to type can be typed."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from pipeline.cli.show.typing import ROWS, markdown, typing_table
from pipeline.findings.codes.syntax import UNDECLARED_LAYER
from pipeline.model.tablature import HEADING_KEYS
from pipeline.model.text import SourceText
from pipeline.source.declare import declare
from pipeline.source.parse import parse

README = Path(__file__).parents[2] / "README.md"
HEADING = 'longneck 1\nsource A = X\nsource B = Y\ninstrument theorbo in A\nmetre C\nmark T = "t" trill, after\n'
BARS = "section Prima parte\n| 1=1:0\n| 1=1:2\n| 1=1:3\n"
SAMPLES = sorted({sample for _, typed in ROWS for sample in re.findall("`([^`]+)`", typed)})
#: Spoken of, not typed alone.
PARTS = {"_"}


def test_the_readme_has_the_same_table() -> None:
    text = README.read_text(encoding="utf-8")
    assert "\n".join(markdown()) in text
    assert "longneck explain typing" in text


def test_the_command_prints_every_row() -> None:
    shown = "\n".join(line.plain for line in typing_table())
    assert "`" not in shown
    assert all(seen.split(";")[0] in shown for seen, _ in ROWS)


@pytest.mark.parametrize("sample", [sample for sample in SAMPLES if sample not in PARTS])
def test_what_it_says_can_be_typed(sample: str) -> None:
    first = sample.split(maxsplit=1)[0]
    if first in HEADING_KEYS:
        outcome = declare(parse(SourceText.of("piece.intav", HEADING + sample + "\n")).value)
        assert not [one.message for one in outcome.diagnostics if one.code.slug != "heading-repeated"]
        return
    music = _music(sample) + "\n"
    letters = HEADING.replace("metre C", "signs french") + BARS.replace(":0", "a").replace(":2", "c").replace(":3", "d")
    assert not _faults(HEADING + BARS + music) or not _faults(letters + music)


def _faults(text: str) -> list[str]:
    found = parse(SourceText.of("piece.intav", text)).diagnostics
    return [one.message for one in found if one.code is not UNDECLARED_LAYER]


def _music(sample: str) -> str:
    """The lines of music in which a sample stands."""
    label = re.search(r'"([a-z])', sample)
    if re.fullmatch(r"[.|-]+", sample):
        return f"| - {sample}"
    if sample[0] in "|&":
        return sample + (f'\n"{label[1]} : clef C3' if label else "")
    if sample[0] == '"' and label:
        return f'| -\n" EB: none\n{sample}'.replace("| -", f'| "{label[1]}=-').replace('" EB: none\n', "")
    if re.match(r"!B |v |1 ", sample):
        return "| -\n" + ("v 2=D5 _E D\n" if sample[0] == "1" else "") + sample
    return "| " + " ".join(f"{word}-" if word.endswith("=") else word for word in sample.split())
