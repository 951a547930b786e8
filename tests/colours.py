"""Colours for text editors, made from the grammar: ``python -m tests.colours [--renew]``.

``schemas/encoding.tmLanguage.json`` is a TextMate grammar, which most editors read. Its patterns for words are rules of
``schemas/encoding.ebnf``, so what they do not know is coloured as invalid. It knows no more than one line: whether a
label has its note, or a course is there, the language server says. Without ``--renew`` it is only said whether the
kept file is up to date.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

from pipeline.model.tablature import HEADING_KEYS
from pipeline.source.parse.directives import DIRECTIVES
from tests.ebnf import Grammar

KEPT = Path(__file__).parent.parent / "schemas" / "encoding.tmLanguage.json"
_SCOPE = "source.intav"

Pattern = dict[str, Any]


def made() -> str:
    """The grammar of colours as text."""
    return json.dumps(_language(Grammar.of_encoding()), indent=1, ensure_ascii=False) + "\n"


def _language(grammar: Grammar) -> Pattern:
    def rule(name: str) -> str:
        return f"(?:{grammar.pattern(name).pattern})"

    first = {
        "version": _match(r"^\s*longneck 1(?!\S)", "keyword.control.version"),
        "bar": _line(rule("opening"), "keyword.operator.bar", "#comment", "#bar-words", "#invalid"),
        "source": _line(f"!{rule('siglum')}?", "entity.name.source", "#comment", "#omits", "#bar-words", "#invalid"),
        "layer": _line(rule("layer-name"), "storage.type.layer", "#comment", "#notes", "#invalid"),
        "chords": _line("c", "storage.type.layer", "#comment", "#word"),
        "stanza": _line(rule("figure"), "storage.type.layer", "#comment", "#word"),
        "note-line": _line(f'"{rule("small")}?', "entity.name.label", "#comment", "#note-words"),
        "goes-on": _line(r"\+", "keyword.operator.continued", "#comment", "#bar-words", "#notes", "#word"),
        "page": _match(rf"^\s*{rule('break')}(?!\S)", "keyword.control.break"),
        "directive": _line("|".join(sorted(set(DIRECTIVES))), "keyword.control.directive", "#comment", "#text"),
        "heading": _line("|".join(HEADING_KEYS), "keyword.other.heading", "#comment", "#text"),
    }
    event = f"{rule('italian-event')}|{rule('french-event')}"
    stop = f"{rule('italian-sign')}|{rule('french-sign')}"
    words = {
        "comment": _match(r"(?<!\S);.*$", "comment.line.semicolon"),
        "text": _match(r"(?<!\S)[^;\s]\S*", "string.unquoted"),
        "word": _match(r"(?<!\S)[^;\s]\S*", "string.unquoted.sung"),
        "omits": _match(_alone("omits"), "keyword.other.omits"),
        "bar-words": {
            "patterns": [
                _match(_alone(f"{rule('closing')}|{rule('inside')}"), "keyword.operator.bar-line"),
                _match(_alone(rf"ditto(?:\s+{rule('name')})*(?:\s+{rule('count')})?"), "keyword.control.ditto"),
                _match(_alone(f"{rule('break')}(?:{rule('label')})*"), "keyword.control.break"),
                _inside(_alone(event), "meta.event", "#signs"),
            ]
        },
        "notes": {"patterns": [_inside(_alone(rule("note")), "meta.note", "#signs")]},
        "note-words": {
            "patterns": [
                _match(_alone(f"{rule('siglum')}:|:"), "entity.name.editor"),
                _match(_alone(f"!{rule('siglum')}"), "entity.name.source"),
                _match(_alone(rf">\s+{rule('pins')}"), "keyword.other.pin"),
                {"include": "#text"},
            ]
        },
        "signs": {
            "patterns": [
                _match(rule("label"), "entity.name.label"),
                _match(f"{rule('stop-marks')}|{rule('marks')}", "entity.other.attribute-name.mark"),
                _match(rf"(?:{rule('pair')}|{rule('value')})(?=[^\s=]*=)", "constant.numeric.value"),
                _match(f"{rule('group')}", "constant.numeric.group"),
                _match(f"{rule('pitch')}(?![:])", "constant.other.pitch"),
                _match(stop, "constant.other.stop"),
                _match("[!?*]", "markup.changed.edition"),
                _match("[_=,>-]", "punctuation.separator"),
            ]
        },
        "invalid": _match(r"\S+", "invalid.illegal"),
    }
    names = [*first, "comment", "invalid"]
    return {
        "name": "longneck tablature",
        "scopeName": _SCOPE,
        "fileTypes": ["intav"],
        "patterns": [{"include": f"#{name}"} for name in names],
        "repository": {**first, **words},
    }


def _alone(pattern: str) -> str:
    """A whole word, or several."""
    return rf"(?<!\S)(?:{pattern})(?!\S)"


def _match(pattern: str, name: str) -> Pattern:
    return {"match": pattern, "name": f"{name}.intav"}


def _inside(pattern: str, name: str, *inner: str) -> Pattern:
    """A match whose parts have colours of their own."""
    return {**_match(pattern, name), "captures": {"0": {"patterns": [{"include": one} for one in inner]}}}


def _line(opening: str, name: str, *inner: str) -> Pattern:
    """A line known by its first word, and what may stand in it."""
    return {
        "begin": rf"^\s*((?:{opening}))(?!\S)",
        "beginCaptures": {"1": {"name": f"{name}.intav"}},
        "end": "$",
        "patterns": [{"include": one} for one in inner],
    }


def main() -> None:
    """Write the file, or say whether it is up to date."""
    text = made()
    if "--renew" in sys.argv[1:]:
        KEPT.write_text(text, encoding="utf-8")
    elif not KEPT.exists() or KEPT.read_text(encoding="utf-8") != text:
        sys.exit(f"{KEPT.name} is not what the grammar makes: python -m tests.colours --renew")


if __name__ == "__main__":
    main()
