"""How findings speak: a message is a sentence; a hint begins like one, and ends like one unless it ends in something to
be typed, where a full stop would be typed along."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from pipeline.edition.leading import check_piece
from pipeline.findings.codes import ALL, whole_piece
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.text import SourceText

FAULTY = sorted((Path(__file__).parents[2] / "fixtures" / "faulty").glob("*.intav"))
#: Words of the encoding and names of programs, which stay as they are typed.
TYPED = ("longneck ", "fingers: ", "'")


def _found() -> Iterator[Diagnostic]:
    for code in ALL.values():
        if code.faulty:
            yield from check_piece(SourceText.of("example.intav", whole_piece(code.faulty)))
    for file in FAULTY:
        yield from check_piece(SourceText.of(file.name, file.read_text(encoding="utf-8", errors="replace")))


FOUND = {(finding.code.slug, finding.message, finding.hint): finding for finding in _found()}


@pytest.mark.parametrize("finding", FOUND.values(), ids=[f"{slug}-{n}" for n, (slug, _, _) in enumerate(FOUND)])
def test_messages_and_hints_are_sentences(finding: Diagnostic) -> None:
    assert finding.message.endswith((".", "?"))
    assert not finding.message.endswith("..")
    first = finding.hint[:1]
    assert not first or not first.islower() or finding.hint.startswith(TYPED)


@pytest.mark.parametrize("code", ALL.values(), ids=ALL)
def test_titles_are_phrases_and_reasons_sentences(code: object) -> None:
    title, why = code.title, code.why  # type: ignore[attr-defined]
    assert title[0].islower() and not title.endswith(".")
    assert why.endswith(".") and (why[0].isupper() or not why[0].isalpha())
