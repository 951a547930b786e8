"""The colours of text editors: up to date, and nothing that can be read is coloured as invalid.

How the patterns are applied is told by the manual of the format (TextMate manual, "Language Grammars"): the pattern
that matches first in the line wins, of several the one listed first; the patterns of a capture colour what it holds.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from pipeline.cli.show.typing import ROWS
from pipeline.model.signs import Signs
from pipeline.model.tablature import HEADING_KEYS
from pipeline.source.parse.body import is_music
from pipeline.source.parse.events import shape_of
from tests.colours import KEPT, made

ROOT = Path(__file__).parents[2]
LANGUAGE = json.loads(KEPT.read_text(encoding="utf-8")) if KEPT.exists() else {}
TYPED = re.compile(r"`([^`]+)`")

Pattern = dict[str, Any]
#: A stretch of a line and the colour it has last been given.
Token = tuple[str, str]


@cache
def compiled(pattern: str) -> re.Pattern[str]:
    return re.compile(pattern)


def flat(patterns: list[Pattern]) -> Iterator[Pattern]:
    """The patterns, those included in their places."""
    for one in patterns:
        if "include" in one:
            named = LANGUAGE["repository"][one["include"].removeprefix("#")]
            yield from flat(named["patterns"] if "match" not in named and "begin" not in named else [named])
        else:
            yield one


def tokens(line: str, patterns: list[Pattern] | None = None, start: int = 0, end: int | None = None) -> list[Token]:
    """The coloured stretches of a line."""
    last = len(line) if end is None else end
    known = list(flat(LANGUAGE["patterns"] if patterns is None else patterns))
    found: list[Token] = []
    at = start
    while at < last:
        hits = [
            (hit, one) for one in known if (hit := compiled(one.get("match") or one["begin"]).search(line, at, last))
        ]
        if not hits:
            break
        hit, one = min(hits, key=lambda pair: pair[0].start())
        if "begin" in one:
            found.append((hit[1], one["beginCaptures"]["1"]["name"]))
            return [*found, *tokens(line, one["patterns"], hit.end(), last)]
        inner = one.get("captures", {}).get("0", {}).get("patterns")
        found += tokens(line, inner, hit.start(), hit.end()) if inner else [(hit[0], one["name"])]
        at = max(hit.end(), at + 1)
    return found


def invalid(line: str) -> list[str]:
    return [text for text, name in tokens(line) if name.startswith("invalid")]


def as_line(typed: str) -> str:
    """What the table says is typed, as a whole line: signs without stops get one, words of a bar their bar."""
    first, *others = typed.split()
    of_bar = first[:2] in ("||", "|-") or (first.isdigit() and not others)
    if first in HEADING_KEYS or (is_music(first) and not of_bar):
        return typed
    return f"| 4=1:0 {typed}1:0" if typed.endswith("=") else f"| 4=1:0 {typed}"


def rows() -> list[str]:
    """Everything between back quotes, but the one sign that is only named there."""
    return [as_line(typed) for _, row in ROWS for typed in TYPED.findall(row) if typed != "_"]


def test_the_kept_file_is_what_the_grammar_makes() -> None:
    assert KEPT.read_text(encoding="utf-8") == made()


@pytest.mark.parametrize("line", rows())
def test_nothing_of_the_table_is_invalid(line: str) -> None:
    assert tokens(line) and not invalid(line)


def test_nothing_of_the_anthology_is_invalid() -> None:
    pieces = sorted((ROOT / "fixtures" / "anthology").rglob("*.intav"))
    assert len(pieces) > 5
    wrong = [
        (piece.name, number, word)
        for piece in pieces
        for number, line in enumerate(piece.read_text(encoding="utf-8").split("\n"), start=1)
        for word in invalid(line)
    ]
    assert not wrong


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("| 2=X;4:2 3:3", ["2=X;4:2"]),
        ("| 2=3:2 (3:3)", ["(3:3)"]),
        ("v 2=H5 D5", ["2=H5"]),
        ("secton Prima", ["secton", "Prima"]),
        ("|2=3:2", ["|2=3:2"]),
    ],
)
def test_what_cannot_be_read_is_invalid(line: str, words: list[str]) -> None:
    assert invalid(line) == words
    inside = [word for word in words if line.startswith("| ")]
    assert all(shape_of(word, signs).event is None for word in inside for signs in Signs)


def test_the_signs_of_an_event_have_colours_of_their_own() -> None:
    found = dict(tokens("| 4.='r=X,4:2,3:3!3:5\"a'T".replace("='r=", "'r=")))
    kinds = {text: name.rpartition(".intav")[0] for text, name in found.items()}
    assert kinds["4."] == "constant.numeric.value"
    assert kinds["4:2"] == "constant.other.stop"
    assert kinds['"a'] == "entity.name.label"
    assert kinds["'T"] == "entity.other.attribute-name.mark"
    assert kinds["!"] == "markup.changed.edition"
