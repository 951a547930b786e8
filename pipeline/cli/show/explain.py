"""What ``longneck explain`` says of a kind of finding: why, a faulty example with its finding, and a mended one."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from difflib import get_close_matches

from rich.text import Text

from pipeline.edition.leading import check_piece
from pipeline.findings.codes import ALL, whole_piece
from pipeline.findings.text import INDENT, STYLES
from pipeline.model.diagnostics import Code, Diagnostic
from pipeline.model.text import SourceText

WIDTH = 96


class UnknownCodeError(Exception):
    """No finding has that name; the message says which one may be meant."""


def overview() -> Iterator[Text]:
    """Every code with its title, one to a line."""
    widest = max(map(len, ALL))
    for code in ALL.values():
        yield Text.assemble((code.slug.ljust(widest), STYLES[code.severity]), "  ", code.title)


def explanation(slug: str) -> Iterator[Text]:
    """All about one code. Raises UnknownCodeError at once if there is none of that name."""
    code = ALL.get(slug.strip().lower())
    if code is None:
        near = get_close_matches(slug.strip().lower(), ALL, 2)
        meant = f"perhaps {' or '.join(near)}?" if near else "longneck explain lists them all"
        raise UnknownCodeError(f"there is no finding called {slug}; {meant}")
    return _explanation(code)


def _explanation(code: Code) -> Iterator[Text]:
    yield Text.assemble((code.slug, STYLES[code.severity]), f"  ({code.severity.value})  ", (code.title, "bold"))
    yield Text()
    yield from map(Text, textwrap.wrap(code.why, WIDTH))
    if not code.faulty:
        return
    yield from _example("Faulty", code.faulty)
    said = _what_is_said(code)
    if said:
        yield Text()
        yield Text("longneck says", "bold")
        for finding in said:
            yield from map(Text, _wrapped(finding.message))
            yield from (Text(line, "italic") for line in _wrapped(finding.hint))
    yield from _example("Mended", code.mended)


def _example(title: str, text: str) -> Iterator[Text]:
    yield Text()
    yield Text(title, "bold")
    for line in text.rstrip("\n").split("\n"):
        yield Text(f"{INDENT}{line}" if line else "")


def _wrapped(text: str) -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent=INDENT, subsequent_indent=INDENT)


def _what_is_said(code: Code) -> list[Diagnostic]:
    """The findings of this code on its own faulty example, if it has any as a text."""
    # Imported late: the list of findings must not wait for music libraries.
    found = check_piece(SourceText.of("example", whole_piece(code.faulty)))
    return [finding for finding in found if finding.code is code]
