"""JSON and XML that can be shown anywhere: reports end in logs and at terminals as they are.

Every sign that a terminal might obey, and the beginning of every command of a service that reads logs (see
``findings/printing.py``), is written as an escape of the form itself. To a reader of the form nothing is lost.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterable, Iterator

_HASH = re.compile("#(?=#)")
_COLON = re.compile("^( *):(?=:)", re.MULTILINE)


class Streamed:
    """A list in a JSON document, made as it is written."""

    def __init__(self, items: Iterable[object]) -> None:
        self.items = items


def sealed_json(document: object) -> Iterator[bytes]:
    """UTF-8, one line feed at the end; in parts, none of which ends in the middle of a text."""
    for text in _parts(document, ""):
        yield _HASH.sub(lambda _: _in_json("#"), _seen(text, _in_json)).encode(errors="replace")
    yield b"\n"


def _parts(value: object, indent: str) -> Iterator[str]:
    """JSON as the library indents it, two spaces a level."""
    inner = f"{indent}  "
    if isinstance(value, dict) and value:
        for number, (name, item) in enumerate(value.items()):
            yield f"{',' if number else '{'}\n{inner}{json.dumps(name, ensure_ascii=False)}: "
            yield from _parts(item, inner)
        yield f"\n{indent}}}"
    elif isinstance(value, list | Streamed):
        begun = False
        for item in value.items if isinstance(value, Streamed) else value:
            yield f"{',' if begun else '['}\n{inner}"
            yield from _parts(item, inner) if isinstance(value, list) else [_dumped(item, inner)]
            begun = True
        yield f"\n{indent}]" if begun else "[]"
    else:
        yield _dumped(value, indent)


def _dumped(value: object, indent: str) -> str:
    text = json.dumps(value, ensure_ascii=False, indent=2, allow_nan=False)
    return text.replace("\n", f"\n{indent}")  # it has no other line feeds: those of texts are escaped


def sealed_xml(document: bytes) -> bytes:
    """A document in UTF-8, with the same content."""
    text = _HASH.sub(_in_xml("#"), _seen(document.decode(), _in_xml))
    return _COLON.sub(rf"\1{_in_xml(':')}", text).encode()


def _seen(text: str, escaped: Callable[[str], str]) -> str:
    """The text with every sign that is not seen as an escape."""
    lines = (line if line.isprintable() else "".join(map(_sign(escaped), line)) for line in text.split("\n"))
    return "\n".join(lines)


def _sign(escaped: Callable[[str], str]) -> Callable[[str], str]:
    def sign(one: str) -> str:
        return one if one.isprintable() or "\ud800" <= one <= "\udfff" else escaped(one)

    return sign


def _in_json(sign: str) -> str:
    """RFC 8259, 7; of a sign beyond the first plane two escapes."""
    units = sign.encode("utf-16-be").hex()
    return "".join(f"\\u{units[place : place + 4]}" for place in range(0, len(units), 4))


def _in_xml(sign: str) -> str:
    """XML 1.0, production 66."""
    return f"&#{ord(sign)};"
