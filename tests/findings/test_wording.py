"""How findings speak: a message is a sentence; a hint begins like one, and ends like one unless it ends in something to
be typed, where a full stop would be typed along."""

from __future__ import annotations

import ast
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


# --- every message in the program, also those that no fixture brings about ------------------------------------

#: Where the message stands among the arguments of what makes a finding.
MESSAGE_AT = {"Diagnostic": 2, "Fault": 3, "report": 2, "wrong": 1, "stop": 0}
PROGRAM = Path(__file__).parents[2] / "pipeline"


def _end(node: ast.expr, names: dict[str, list[ast.expr]]) -> Iterator[tuple[int, str]]:
    """The line and the last characters of each text that ``node`` can be; nothing where it ends in a value."""
    match node:
        case ast.Constant(value=str() as text):
            yield node.lineno, text[-1:]
        case ast.JoinedStr(values=[*_, ast.Constant(value=str() as text)]):
            yield node.lineno, text[-1:]
        case ast.JoinedStr():
            yield node.lineno, ""
        case ast.IfExp(body=one, orelse=two):
            yield from _end(one, names)
            yield from _end(two, names)
        case ast.Name(id=name):
            for value in names.get(name, ()):
                yield from _end(value, {})


def _messages() -> Iterator[tuple[str, str]]:
    for file in sorted(PROGRAM.rglob("*.py")):
        for function in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if not isinstance(function, ast.FunctionDef):
                continue
            names: dict[str, list[ast.expr]] = {}
            for node in ast.walk(function):
                if isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name):
                    names.setdefault(node.targets[0].id, []).append(node.value)
            for node in ast.walk(function):
                if isinstance(node, ast.Call):
                    called = getattr(node.func, "id", getattr(node.func, "attr", ""))
                    at = MESSAGE_AT.get(called)
                    if at is not None and len(node.args) > at:
                        for line, end in _end(node.args[at], names):
                            yield f"{file.relative_to(PROGRAM.parent).as_posix()}:{line}", end


def test_every_message_of_the_program_ends_like_a_sentence() -> None:
    found = list(_messages())
    assert len(found) > 100, "messages are found where they are made"
    assert [place for place, end in found if end not in (".", "?")] == []
