"""Every code of the reading and of the heading: its faulty example raises it, its mended one raises nothing."""

from __future__ import annotations

import pytest

from pipeline.findings.codes import ALL, heading, syntax, whole_piece
from pipeline.model.diagnostics import Code
from pipeline.model.text import SourceText
from pipeline.source.declare import declare
from pipeline.source.parse import parse
from pipeline.source.resolve import resolve

OURS = [code for module in (syntax, heading) for code in vars(module).values() if isinstance(code, Code)]


def slugs(example: str) -> list[str]:
    tablature = parse(SourceText.of("example.intav", whole_piece(example)))
    declared = declare(tablature.value)
    resolved = resolve(tablature.value, declared.value)
    return [each.code.slug for each in (*tablature.diagnostics, *declared.diagnostics, *resolved.diagnostics)]


@pytest.mark.parametrize("code", OURS, ids=lambda code: code.slug)
def test_examples(code: Code) -> None:
    assert code.slug in slugs(code.faulty)
    assert slugs(code.mended) == []


def test_the_table_of_codes() -> None:
    assert all(slug == code.slug for slug, code in ALL.items())
    assert all(code.slug in ALL for code in OURS)
    assert all(code.title and code.why for code in ALL.values())
