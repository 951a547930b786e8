"""JSON and XML that can be shown anywhere: reports end in logs and at terminals as they are.

Every sign that a terminal might obey, and the beginning of every command of a service that reads logs (see
``findings/printing.py``), is written as an escape of the form itself. To a reader of the form nothing is lost.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable

_HASH = re.compile("#(?=#)")
_COLON = re.compile("^( *):(?=:)", re.MULTILINE)


def sealed_json(document: object) -> bytes:
    """UTF-8, one line feed at the end."""
    text = _seen(json.dumps(document, ensure_ascii=False, indent=2, allow_nan=False), _in_json)
    return (_HASH.sub(lambda _: _in_json("#"), text) + "\n").encode(errors="replace")


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
