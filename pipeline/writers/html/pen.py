"""A page as a tree of elements. Every word goes in as text; markup comes only from ``element``.

The page carries its style, script and faces inside and asks for nothing else: a Content-Security-Policy lets no request
leave the machine, whatever a page holds.
"""

from __future__ import annotations

import json
import re
from base64 import b64encode
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from hashlib import sha256
from importlib.resources import files
from typing import TypeAlias

from lxml import etree

from pipeline.model.xmltext import legal
from pipeline.writers.faces import UPRIGHT, face_rules

Element: TypeAlias = "etree._Element"
#: What stands inside an element: a text, another element, or nothing.
Child: TypeAlias = "str | etree._Element | None"

#: Images may lie beside the page (facsimiles); nothing else is loaded, and scripts beside it only by a live page. Of
#: scripts inside it only the one runs whose hash stands here (Content Security Policy Level 3, 6.7.3.3).
POLICY = (
    "default-src 'none'; style-src 'unsafe-inline'; script-src {scripts}; img-src 'self' file: data:; "
    "font-src data:; base-uri 'none'; form-action 'none'"
)
BESIDE = "'self' file:"
_SCRIPT = re.compile("</?script", re.IGNORECASE)


def element(tag: str, attributes: dict[str, str] | None = None, *children: Child) -> Element:
    """An element with attributes and children. Texts are put in as text, with what no document may hold left out."""
    made = etree.Element(tag, {name: legal(value) for name, value in (attributes or {}).items()})
    for child in children:
        if child is None:
            continue
        if isinstance(child, str):
            _append_text(made, legal(child))
        else:
            made.append(child)
    return made


@dataclass(frozen=True, slots=True)
class Block:
    """Data for a page's script, put in as it is and never run: ``kind`` is its media type. Large blocks cost nothing
    but their bytes. The text must not be able to end its element early."""

    id: str
    kind: str
    text: str


def page(
    title: str,
    body: Element,
    *,
    style: str = "",
    script: str = "",
    language: str = "en",
    live: bool = False,
    blocks: Sequence[Block] = (),
    drawn: Iterable[tuple[str, str]] = (),
) -> bytes:
    """A whole page in UTF-8. ``body`` is its ``body`` element; ``style`` and ``script`` are added to those of the
    house; ``blocks`` stand before the script; ``drawn`` are faces that drawings in them show, each with the
    characters. A ``live`` page may load scripts that lie beside it.

    Raises ValueError for a block that holds a script element or a comment.
    """
    head = element(
        "head",
        None,
        element("meta", {"charset": "utf-8"}),
        element(
            "meta", {"http-equiv": "Content-Security-Policy", "content": POLICY.format(scripts=_allowed(script, live))}
        ),
        element("meta", {"name": "viewport", "content": "width=device-width, initial-scale=1"}),
        element("title", None, title),
        element("style", None, house_style() + style),
    )
    for block in blocks:
        body.append(element("script", {"type": block.kind, "id": block.id}))
    if script:
        body.append(element("script", None, script))
    root = element("html", {"lang": language}, head, body)
    written = etree.tostring(root, method="html", encoding="utf-8")
    filled = b"".join((b"<!DOCTYPE html>\n", *_filled(written, blocks), b"\n"))
    return filled.replace(b"<style>", b"<style>" + _faces(filled, drawn).encode(), 1)


def _allowed(script: str, live: bool) -> str:
    """Which scripts may run: the page's own, by its hash, and of a live page those that lie beside it."""
    own = f"'sha256-{b64encode(sha256(legal(script).encode()).digest()).decode()}'" if script else ""
    return f"{own} {BESIDE if live else ''}".strip() or "'none'"


def _faces(filled: bytes, drawn: Iterable[tuple[str, str]]) -> str:
    """The upright faces with all characters of the page, its scripts and style with them: a script may show any of its
    own. And what its drawings show."""
    characters = frozenset(filled.decode())
    shown = {name: set(characters) for name in UPRIGHT}
    for name, letters in drawn:
        shown.setdefault(name, set()).update(letters)
    return face_rules(shown)


def _filled(written: bytes, blocks: Sequence[Block]) -> Iterator[bytes]:
    """The page with its blocks in their empty elements, which follow each other in its last part."""
    start = 0
    for block in blocks:
        if "<!--" in block.text or _SCRIPT.search(block.text):
            raise ValueError(f"the block {block.id} could end its element early")
        opening = etree.tostring(element("script", {"type": block.kind, "id": block.id}), method="html")
        opening = opening.removesuffix(b"</script>")
        end = written.rindex(opening) + len(opening)
        yield written[start:end]
        yield block.text.encode(errors="replace")
        start = end
    yield written[start:]


@cache
def house_style() -> str:
    """The style that all pages share."""
    return files("pipeline.writers.html").joinpath("house.css").read_text(encoding="utf-8")


def _append_text(made: Element, text: str) -> None:
    if len(made):
        made[-1].tail = (made[-1].tail or "") + text
    else:
        made.text = (made.text or "") + text


def data(value: object) -> str:
    """A value as JSON that can stand inside a script: no ``<`` in it, so nothing can end the script early."""
    return json.dumps(value, ensure_ascii=False, separators=(",", ":"), allow_nan=False).replace("<", "\\u003c")
